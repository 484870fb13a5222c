//! A rail with a second section behind its reservoir: the cheapest source, stage, rectifier, bank, resistor or choke, and second bank.
//!
//! The first bank is bounded in closed form, as if nothing followed; what may follow it is screened by the ripple it leaves, and
//! each train that is left is solved exactly at every vertex. A raw rail is a stage without a regulator.

use crate::{
    candidate::bank::BankOption,
    circuit::supply::Body,
    requirement,
    stress::{bench::no_load_peak_v, position::Position, stage::load_of},
};

use super::{
    link::{Link, LinkOption},
    list::Fed,
    protect::Fusing,
    ready::Fit,
    rectifying::Rectifying,
    search::{Outcome, Search, State},
    sectioned_quick::Quick,
    sectioned_ripple::{Before, best_of},
    sectioned_screen::greatest_bank,
    sectioned_told::{Behind, Ended, Rippling, name},
};

/// Trains looked at in one circuit before the search is given up, which the report says.
const LOOKS_MAX: u32 = 20_000;
/// Trains looked at behind one source before going on to the next.
const PROBE_TRIES: u32 = 200;
/// Estimates made in one circuit before the search is given up, and behind one source in the first pass.
const ESTIMATES_MAX: u32 = 40_000_000;
const PROBE_ESTIMATES: u32 = 100_000;
/// The same where any design will do, and trains looked at behind one source.
const ANY_LOOKS: u32 = 600;
const ANY_TRIES: u32 = 30;
const ANY_ESTIMATES: u32 = 1_000_000;
/// Estimates that what a first bank leaves counts for.
const BEFORE_ESTIMATES: u32 = 30;
/// Second banks looked at in the first pass behind one first bank.
const PROBE_BANKS: u32 = 3;
/// Values of a resistor series that are tried downward where the largest drops too much.
const VALUES_MAX: u32 = 6;

/// A source, a stage, a rectifier and a first bank.
#[derive(Clone, Copy)]
pub(super) struct Train<'t, 'a> {
    pub(super) fed: &'t Fed<'a>,
    pub(super) fit: &'t Fit<'t, 'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
}

impl Train<'_, '_> {
    /// Least score of all but what joins the banks and the second one; what cools the stage at the least.
    fn score(&self) -> f64 {
        self.fed.option.score
            + self.fed.fuse_score
            + self.rectifying.least_score()
            + self.bank.score
            + self.fit.least_score(self.fit.need_v)
    }
}

impl<'a> Search<'_, 'a> {
    /// The least score over all sources, the cheapest first.
    pub(super) fn go_through_sections(&self, mut state: State<'a>) -> Outcome<'a> {
        let links = self.links(self.second == Some(requirement::Section::Clc));
        let bank = self.banks.first().map_or(f64::INFINITY, |bank| bank.score);
        let link = links.first().map_or(f64::INFINITY, |link| link.score);
        let stages = self.stages.iter().map(|one| one.least_score(one.need_v));
        let stage = stages.fold(f64::INFINITY, f64::min);
        let rest = self.least_rectifier + 2.0 * bank + link + stage;
        let mut sources: Vec<(f64, &Fed<'a>)> = self
            .sources
            .iter()
            .filter(|fed| state.fusing == Fusing::Fitted || fed.proof)
            .filter(|fed| state.may_use(&fed.option.transformer.common))
            .filter(|fed| load_of(self.asked.rail, Body::Heavy) <= fed.direct_a * (1.0 + 1e-9))
            .map(|fed| (fed.option.score + fed.fuse_score + rest, fed))
            .collect();
        // Sources of equal score keep the order of their list.
        sources.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A first pass that gives up early on each source finds some design, whose score shortens the second. Where any design
        // will do it is the only one, and soon over.
        let any = state.seeks_any();
        let (mut left, mut estimates_left) =
            if any { (ANY_LOOKS, ANY_ESTIMATES) } else { (LOOKS_MAX, ESTIMATES_MAX) };
        let passes: &[bool] = if any { &[true] } else { &[true, false] };
        for &probe in passes {
            for &(least, fed) in &sources {
                if least > state.bound() || left == 0 || estimates_left == 0 {
                    break;
                }
                let (tries, estimates) = match (any, probe) {
                    (true, _) => (left.min(ANY_TRIES), estimates_left.min(PROBE_ESTIMATES)),
                    (false, true) => (PROBE_TRIES, PROBE_ESTIMATES),
                    (false, false) => (left, estimates_left),
                };
                let mut known = Behind { probe, tries, estimates, ..Behind::default() };
                self.behind_source(fed, &links, &mut known, &mut state);
                if any || !probe {
                    left -= tries - known.tries;
                    estimates_left -= estimates - known.estimates;
                }
            }
        }
        state.into_outcome()
    }

    /// Every stage behind a source, the cheapest first.
    fn behind_source(
        &self,
        fed: &Fed<'a>,
        links: &[LinkOption<'a>],
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) {
        let peak_v = no_load_peak_v(self.topology, &fed.option.source, self.mains_v);
        let stands = |bank: &&BankOption<'a>| peak_v <= bank.voltage_limit_v * (1.0 + 1e-9);
        let banks: Vec<&BankOption<'a>> = self.banks.iter().filter(stands).collect();
        let (Some(least_bank), Some(least_link)) = (banks.first(), links.first()) else { return };
        let rest = self.least_rectifier + 2.0 * least_bank.score + least_link.score;
        for fit in &self.fits_behind(fed, peak_v, state) {
            let least = fed.option.score + fed.fuse_score + rest + fit.least_score(fit.need_v);
            if least > state.bound() || Self::lacks(fit, state) {
                continue;
            }
            known.next_stage();
            if self.behind_stage((fed, fit), (links, &banks), known, state) == Ended::Source {
                return;
            }
        }
    }

    /// Every rectifier and first bank behind a source and before a stage, the cheapest first.
    fn behind_stage(
        &self,
        (fed, fit): (&Fed<'a>, &Fit<'_, 'a>),
        (links, banks): (&[LinkOption<'a>], &[&BankOption<'a>]),
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) -> Ended {
        let peak_v = no_load_peak_v(self.topology, &fed.option.source, self.mains_v);
        let reverse_v = self.reverse_v(peak_v);
        let (Some(least_bank), Some(least_link), Some(rectifying)) =
            (banks.first(), links.first(), self.rectifiers.first())
        else {
            return Ended::Source;
        };
        let first = Train { fed, fit, rectifying, bank: least_bank };
        if self.falls_short(&first, self.extremes.0, banks, state) {
            return Ended::Stage;
        }
        // With the least drop of all rectifiers: what no rectifier mends.
        let lively = (self.extremes.0, self.extremes.0);
        let best = best_of(banks);
        let regulated = fit.seat.is_some();
        if regulated
            && let Ok(before) = self.left_by(&first, greatest_bank(banks), lively)
            && self.ripples_always((&first, &before), (links, best), (known.probe, &mut *state))
        {
            return Ended::Stage;
        }
        let behind = least_bank.score + least_link.score;
        for rectifying in self.rectifiers.iter().filter(|one| reverse_v <= one.reverse_limit_v * (1.0 + 1e-9))
        {
            let id = rectifying.part.common().id.0.as_str();
            if state.lacking.contains(&(Position::Rectifier, id)) {
                continue;
            }
            let least = Train { fed, fit, rectifying, bank: least_bank };
            if least.score() + behind > state.bound()
                || self.falls_short(&least, rectifying.hottest, banks, state)
            {
                continue;
            }
            let mut sagging: Vec<(f64, f64)> = Vec::new();
            for bank in banks {
                let train = Train { fed, fit, rectifying, bank };
                if train.score() + behind > state.bound() {
                    break;
                }
                if state.lacking.contains(&(Position::Reservoir, bank.reservoir.part.common.id.0.as_str())) {
                    continue;
                }
                let (farad, esr) = (bank.bank.farad.low, bank.bank.esr_ohm.high);
                if sagging.iter().any(|&(most, least)| farad <= most && esr >= least) {
                    continue;
                }
                let probe = known.probe;
                let mut dead = || {
                    let before = self.left_by(&train, bank.bank, lively);
                    let to = (links, best);
                    before
                        .is_ok_and(|before| self.ripples_always((&train, &before), to, (probe, &mut *state)))
                };
                if regulated && *known.dead.entry(name(bank)).or_insert_with(&mut dead) {
                    continue;
                }
                if !known.estimates_left(BEFORE_ESTIMATES) {
                    return Ended::Source;
                }
                let before = match self.before(&train, state) {
                    Ok(before) => before,
                    Err(sags) => {
                        if sags {
                            sagging.push((farad, esr));
                        }
                        continue;
                    }
                };
                match self.behind_bank(&train, &before, (links, banks), known, state) {
                    ended @ (Ended::Source | Ended::Stage) => return ended,
                    Ended::Rectifier => break,
                    _ => {}
                }
            }
        }
        Ended::Stage
    }

    /// Every resistor or choke and second bank behind a first bank, the cheapest first.
    fn behind_bank(
        &self,
        train: &Train<'_, 'a>,
        before: &Before,
        (links, banks): (&[LinkOption<'a>], &[&BankOption<'a>]),
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) -> Ended {
        let least = banks.first().map_or(f64::INFINITY, |bank| bank.score);
        let base = train.score();
        // What smooths most first: it asks least of the second bank, and the rest is seldom looked at.
        let mut fitted: Vec<(&LinkOption<'a>, Link<'a>)> = links
            .iter()
            .filter_map(|option| Some((option, option.fitted(self.asked, before.room_ohm, before.room_a)?)))
            .collect();
        fitted.sort_by(|a, b| b.1.smooths(self.asked).total_cmp(&a.1.smooths(self.asked)));
        let mut room_ohm = before.room_ohm;
        let best = best_of(banks);
        for (option, most) in fitted {
            if self.ripples_through((train, before), most, best, known.probe) {
                continue;
            }
            if base + option.score + least > state.bound() {
                continue;
            }
            let mut link = option.fitted(self.asked, room_ohm, before.room_a);
            for _ in 0..VALUES_MAX {
                let Some(one) = link.filter(|one| one.greatest_ohm(self.asked) > known.bare.ohm) else {
                    break;
                };
                if let Some(borne_ohm) = self.burns(train, one, state) {
                    // Behind a regulator less of it takes less.
                    link = option.fitted(self.asked, before.room_ohm.min(borne_ohm), before.room_a);
                    if link.is_some_and(|less| less.greatest_ohm(self.asked) < one.greatest_ohm(self.asked)) {
                        continue;
                    }
                    break;
                }
                match self.behind_link(train, before, (one, option.score), banks, known, state) {
                    // What one series drops too much another of that value does too.
                    Ended::Drops(short_ohm) => {
                        room_ohm = one.greatest_ohm(self.asked) - short_ohm;
                        link = option.fitted(self.asked, room_ohm, before.room_a);
                    }
                    Ended::Heats(over) => {
                        let least = one.greatest_ohm(self.asked) / over;
                        link = option.fitted(self.asked, least, before.room_a);
                    }
                    Ended::Second | Ended::Ripples | Ended::Surges | Ended::Link => break,
                    other => return other,
                }
            }
        }
        Ended::Second
    }

    /// Every second bank behind a first bank and a resistor or choke, the cheapest first.
    fn behind_link(
        &self,
        train: &Train<'_, 'a>,
        before: &Before,
        (link, link_score): (Link<'a>, f64),
        banks: &[&BankOption<'a>],
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) -> Ended {
        let base = train.score() + link_score;
        // Second banks that ripple too much by the estimate: greatest capacitance and least ESR.
        let mut rippled: Vec<(f64, f64)> = Vec::new();
        // Least capacitance of a second bank whose charging is too much for the rectifier.
        let mut surge_farad = f64::INFINITY;
        let mut left = PROBE_BANKS;
        for second in banks {
            if base + second.score > state.bound() {
                break;
            }
            let id = second.reservoir.part.common.id.0.as_str();
            let seats = (name(train.bank), link.smooths(self.asked).to_bits(), name(second));
            let of = |bank: &BankOption<'a>| (bank.bank.farad.low, bank.bank.esr_ohm.high);
            let estimated = |bank: &BankOption<'a>| (bank.bank.farad.low, bank.bank.esr_ohm.low);
            let rippling =
                Rippling { first: of(train.bank), link: link.smooths(self.asked), second: of(second) };
            if state.lacking.contains(&(Position::SectionCapacitor, id))
                || known.ripples.iter().any(|one| one.tells(&rippling))
                || second.bank.farad.high >= surge_farad
                || known.failed.contains(&seats)
            {
                continue;
            }
            let (farad, esr_ohm) = estimated(second);
            if rippled.iter().any(|&(most, least)| farad <= most && esr_ohm >= least) {
                continue;
            }
            if !known.estimates_left(1) {
                return Ended::Source;
            }
            if self.ripples_through((train, before), link, (farad, esr_ohm), known.probe) {
                rippled.push((farad, esr_ohm));
                continue;
            }
            let peak_v = no_load_peak_v(self.topology, &train.fed.option.source, self.mains_v);
            let bleeders = self.bleeders_of_two(&train.bank.reservoir, (link, &second.reservoir), peak_v);
            let amps = || bleeders.iter().map(|bleeding| bleeding.amps);
            let (least_a, most_a) = (amps().fold(f64::INFINITY, f64::min), amps().fold(0.0, f64::max));
            if bleeders.is_empty() {
                continue;
            }
            let Some(tries) = known.tries.checked_sub(1) else { return Ended::Source };
            known.tries = tries;
            if known.probe {
                let Some(own) = left.checked_sub(1) else { return Ended::First };
                left = own;
            }
            let passed = match self.quick_sectioned(train, link, (second, [least_a, most_a]), state) {
                Quick::Passes(passed) => passed,
                Quick::Ripples => {
                    known.ripples(rippling);
                    continue;
                }
                Quick::Drops(short_ohm) => return Ended::Drops(short_ohm),
                Quick::First => return Ended::First,
                Quick::Heats(over) => return Ended::Heats(over),
                Quick::Boils => return Ended::Second,
                Quick::Burdens => return Ended::Link,
                Quick::Misses => continue,
                Quick::Fails => {
                    known.failed.insert(seats);
                    continue;
                }
            };
            match self.complete_sectioned(
                train,
                (link, link_score),
                (second, bleeders.as_slice(), &passed),
                known,
                state,
            ) {
                Ended::Second => {}
                Ended::Ripples => known.ripples(rippling),
                Ended::Surges => surge_farad = surge_farad.min(second.bank.farad.high),
                other => return other,
            }
        }
        Ended::Second
    }
}

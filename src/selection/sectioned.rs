//! A raw rail with a second section behind its reservoir: the cheapest source, rectifier, bank, resistor or choke, and second bank.
//!
//! The first bank is bounded in closed form, as if nothing followed; what may follow it is screened by the ripple it leaves, and
//! each train that is left is solved exactly at every vertex.

use crate::{
    candidate::bank::BankOption,
    circuit::{operate::OperatingPoint, supply::Body},
    quantity::{Ohms, Volts},
    requirement,
    stress::{
        assembly::{Assembly, Reservoir},
        bench::no_load_peak_v,
        position::Position,
        stage::{load_high_a, load_of},
    },
};

use super::{
    bleeding::Bleeding,
    choked::{BARE_MAX, CLEAR_MISS, bare},
    fallen::Fallen,
    leaf::Completer,
    link::{Link, LinkOption},
    list::Fed,
    protect::Fusing,
    rectifying::Rectifying,
    search::{Outcome, Search, State},
    sectioned_screen::{Before, Quick},
    sectioned_told::{Behind, Ended, Rippling, name},
};

/// By how much a stress of the transformer must miss for nothing behind it to mend that.
const SOURCE_MISS: f64 = 1.3;
/// Trains looked at in one circuit before the search is given up, which the report says.
const LOOKS_MAX: u32 = 20_000;
/// Trains looked at behind one source before going on to the next.
const PROBE_TRIES: u32 = 200;
/// Second banks looked at in the first pass behind one first bank.
const PROBE_BANKS: u32 = 3;
/// Least by which a resistor that failed is made smaller, as a share or in Ω.
const LEAST_SHARE: f64 = 1e-3;
/// Values of a resistor series that are tried downward where the largest drops too much.
const VALUES_MAX: u32 = 6;

/// A source, a rectifier and a first bank.
pub(super) struct Train<'t, 'a> {
    pub(super) fed: &'t Fed<'a>,
    pub(super) rectifying: &'t Rectifying<'a>,
    pub(super) bank: &'t BankOption<'a>,
}

impl<'a> Search<'_, 'a> {
    /// The least score over all sources, the cheapest first.
    pub(super) fn go_through_sections(&self, mut state: State<'a>) -> Outcome<'a> {
        let links = self.links(self.second == Some(requirement::Section::Clc));
        let bank = self.banks.first().map_or(f64::INFINITY, |bank| bank.score);
        let link = links.first().map_or(f64::INFINITY, |link| link.score);
        let rest = self.least_rectifier + 2.0 * bank + link;
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
        // A first pass that gives up early on each source finds some design, whose score shortens the second.
        let mut left = LOOKS_MAX;
        for probe in [true, false] {
            for &(least, fed) in &sources {
                if least > state.bound() || left == 0 {
                    break;
                }
                let tries = if probe { PROBE_TRIES } else { left };
                let mut known = Behind { probe, tries, ..Behind::default() };
                self.behind_source(fed, &links, &mut known, &mut state);
                if !probe {
                    left = known.tries;
                }
            }
        }
        state.into_outcome()
    }

    /// Every rectifier and first bank behind a source, the cheapest first.
    fn behind_source(
        &self,
        fed: &Fed<'a>,
        links: &[LinkOption<'a>],
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) {
        let peak_v = no_load_peak_v(self.topology, &fed.option.source, self.mains_v);
        let reverse_v = self.reverse_v(peak_v);
        if self.peaks(fed, peak_v, state) {
            return;
        }
        let stands = |bank: &&BankOption<'a>| peak_v <= bank.voltage_limit_v * (1.0 + 1e-9);
        let banks: Vec<&BankOption<'a>> = self.banks.iter().filter(stands).collect();
        let (Some(least_bank), Some(least_link)) = (banks.first(), links.first()) else { return };
        if self.falls_short(fed, self.extremes.0, &banks, state) {
            return;
        }
        let behind = least_bank.score + least_link.score;
        for rectifying in self.rectifiers.iter().filter(|one| reverse_v <= one.reverse_limit_v * (1.0 + 1e-9))
        {
            let id = rectifying.part.common().id.0.as_str();
            if state.lacking.contains(&(Position::Rectifier, id)) {
                continue;
            }
            let base = fed.option.score + fed.fuse_score + rectifying.least_score();
            if base + least_bank.score + behind > state.bound()
                || self.falls_short(fed, rectifying.hottest, &banks, state)
            {
                continue;
            }
            let mut sagging: Vec<(f64, f64)> = Vec::new();
            for bank in &banks {
                if base + bank.score + behind > state.bound() {
                    break;
                }
                if state.lacking.contains(&(Position::Reservoir, bank.reservoir.part.common.id.0.as_str())) {
                    continue;
                }
                let train = Train { fed, rectifying, bank };
                let (farad, esr) = (bank.bank.farad.low, bank.bank.esr_ohm.high);
                if sagging.iter().any(|&(most, least)| farad <= most && esr >= least) {
                    continue;
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
                match self.behind_bank(&train, &before, (links, &banks), known, state) {
                    Ended::Source => return,
                    Ended::Rectifier => break,
                    _ => {}
                }
            }
        }
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
        let base =
            train.fed.option.score + train.fed.fuse_score + train.rectifying.least_score() + train.bank.score;
        // What smooths most first: it asks least of the second bank, and the rest is seldom looked at.
        let mut fitted: Vec<(&LinkOption<'a>, Link<'a>)> = links
            .iter()
            .filter_map(|option| Some((option, option.fitted(self.asked, before.room_ohm, before.room_a)?)))
            .collect();
        fitted.sort_by(|a, b| b.1.smooths(self.asked).total_cmp(&a.1.smooths(self.asked)));
        let mut room_ohm = before.room_ohm;
        for (option, _) in fitted {
            if base + option.score + least > state.bound() {
                continue;
            }
            let mut link = option.fitted(self.asked, room_ohm, before.room_a);
            for _ in 0..VALUES_MAX {
                let Some(one) = link.filter(|one| one.greatest_ohm(self.asked) > known.bare.ohm) else {
                    break;
                };
                if self.burns(train, one, state) {
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
        let base = train.fed.option.score
            + train.fed.fuse_score
            + train.rectifying.least_score()
            + train.bank.score
            + link_score;
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
            let rippling =
                Rippling { first: of(train.bank), link: link.smooths(self.asked), second: of(second) };
            if state.lacking.contains(&(Position::SectionCapacitor, id))
                || known.ripples.iter().any(|one| one.tells(&rippling))
                || second.bank.farad.high >= surge_farad
                || known.failed.contains(&seats)
                || self.ripples_through(before, link, second, (known.probe, &mut *state))
            {
                continue;
            }
            let peak_v = no_load_peak_v(self.topology, &train.fed.option.source, self.mains_v);
            let bleeders = self.bleeders_of_two(&train.bank.reservoir, (link, &second.reservoir), peak_v);
            let least_a = bleeders.iter().map(|bleeding| bleeding.amps).fold(f64::INFINITY, f64::min);
            if bleeders.is_empty() {
                continue;
            }
            let Some(tries) = known.tries.checked_sub(1) else { return Ended::Source };
            known.tries = tries;
            if known.probe {
                let Some(own) = left.checked_sub(1) else { return Ended::First };
                left = own;
            }
            let load = match self.quick_sectioned(train, link, (second, least_a), state) {
                Quick::Passes(load) => load,
                Quick::Ripples => {
                    known.ripples(rippling);
                    continue;
                }
                Quick::Drops(short_ohm) => return Ended::Drops(short_ohm),
                Quick::First => return Ended::First,
                Quick::Heats(over) => return Ended::Heats(over),
                Quick::Boils => return Ended::Second,
                Quick::Fails => {
                    known.failed.insert(seats);
                    continue;
                }
            };
            match self.complete_sectioned(
                train,
                (link, link_score),
                (second, bleeders.as_slice(), load),
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

    /// One train with every bleeder and way of cooling.
    fn complete_sectioned(
        &self,
        train: &Train<'_, 'a>,
        (link, link_score): (Link<'a>, f64),
        (second, bleeders, (heat_w, average_a)): (&BankOption<'a>, &[Bleeding<'a>], (f64, f64)),
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) -> Ended {
        let (source, rectifying) = (&train.fed.option, train.rectifying);
        let Some(blank) = self.blank else { return Ended::Source };
        let score = source.score + rectifying.score + train.bank.score + link_score + second.score;
        let mut mended = false;
        let mut looked = false;
        for bleeding in bleeders {
            for way in &rectifying.ways {
                let score = score + bleeding.score + way.score;
                if score + train.fed.fuse_score > state.bound() {
                    break;
                }
                if !rectifying.bears(self.asked, way, heat_w, average_a) {
                    continue;
                }
                looked = true;
                let assembly = Assembly {
                    transformer: source.transformer,
                    primary: source.primary,
                    wiring: source.wiring,
                    rectifier: rectifying.part,
                    rectifier_cooling: way.cooling,
                    reservoir: train.bank.reservoir,
                    section: Some(link.section(second.reservoir)),
                    bleeder: bleeding.choice,
                    ..blank
                };
                let completer = Completer::of(self.asked, self.shop, state.fusing);
                let bound = state.bound();
                state.judge_one();
                let fallen = match completer.complete(&assembly, &[], score, bound, &mut state.tally) {
                    Ok(found) => {
                        state.keep(found);
                        mended = true;
                        continue;
                    }
                    Err(fallen) => fallen,
                };
                if bare(&fallen, bound) {
                    known.bare.ohm = known.bare.ohm.max(link.greatest_ohm(self.asked));
                    known.bare.row += 1;
                    return if known.bare.row >= BARE_MAX { Ended::Source } else { Ended::First };
                }
                match fallen {
                    Fallen::Worked { code: "rectifier-surge-current", utilisation, .. } => {
                        return if utilisation > CLEAR_MISS { Ended::Rectifier } else { Ended::First };
                    }
                    Fallen::Worked { code: "rectifier-surge-i2t", .. } => return Ended::Surges,
                    Fallen::Worked { code: "raw-voltage-window", utilisation, .. } => {
                        let rail = self.asked.rail;
                        let floor_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
                        let short_v = floor_v * (1.0 - 1.0 / utilisation);
                        return Ended::Drops(LEAST_SHARE.max(short_v / load_high_a(rail)));
                    }
                    Fallen::Worked { code: "resistor-power" | "choke-rms-current", utilisation, .. } => {
                        return Ended::Heats(utilisation.max(1.0 + LEAST_SHARE));
                    }
                    Fallen::Worked { code: "section-resistor-short", .. } => return Ended::Link,
                    Fallen::Worked { code: "transformer-dc-magnetisation", .. } => return Ended::Source,
                    Fallen::Worked { code, utilisation, .. }
                        if utilisation > SOURCE_MISS && code.starts_with("transformer-") =>
                    {
                        return Ended::Source;
                    }
                    Fallen::Worked { code: "raw-ripple", utilisation, .. } if utilisation > CLEAR_MISS => {
                        return Ended::Ripples;
                    }
                    Fallen::Worked {
                        code: "rectifier-average-current" | "rectifier-junction-temperature",
                        utilisation,
                        ..
                    } if utilisation > CLEAR_MISS => {}
                    Fallen::Lacking(position, part) => {
                        state.lacking.insert((position, part));
                        match position {
                            Position::Transformer => return Ended::Source,
                            Position::Rectifier => return Ended::Rectifier,
                            Position::Reservoir => return Ended::First,
                            _ => return Ended::Second,
                        }
                    }
                    _ => mended = true,
                }
            }
        }
        if looked && !mended { Ended::Rectifier } else { Ended::Second }
    }

    /// Every bleeder that discharges both banks, cheapest first.
    fn bleeders_of_two(
        &self,
        first: &Reservoir<'a>,
        (link, second): (Link<'a>, &Reservoir<'a>),
        peak_v: f64,
    ) -> Vec<Bleeding<'a>> {
        let between = Ohms(link.greatest_ohm(self.asked));
        self.bleeders_by((first, Some(second)), (between, Volts(peak_v)))
    }
}

/// Heat of one package of a rectifier, W, and average current of one diode, A, at a point.
pub(super) fn burden(point: &OperatingPoint, packages: f64) -> (f64, f64) {
    (point.diode_w / packages, point.diode_avg_a)
}

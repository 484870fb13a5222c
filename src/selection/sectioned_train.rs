//! A train with a second section that passed where most fail, with every bleeder and every cooling of its rectifier.

use crate::{
    candidate::bank::BankOption,
    circuit::operate::OperatingPoint,
    quantity::{Ohms, Volts},
    stress::assembly::{Assembly, Reservoir},
};

use super::{
    bleeding::Bleeding,
    choked::{BARE_MAX, bare},
    fallen::Fallen,
    leaf::Completer,
    link::Link,
    search::{Search, State},
    sectioned::Train,
    sectioned_quick::Passed,
    sectioned_told::{Behind, Ended, told},
};

impl<'a> Search<'_, 'a> {
    /// One train with every bleeder and way of cooling.
    pub(super) fn complete_sectioned(
        &self,
        train: &Train<'_, 'a>,
        (link, link_score): (Link<'a>, f64),
        (second, bleeders, passed): (&BankOption<'a>, &[Bleeding<'a>], &Passed<'a>),
        known: &mut Behind<'a>,
        state: &mut State<'a>,
    ) -> Ended {
        let (source, rectifying) = (&train.fed.option, train.rectifying);
        let stage = &train.fit.ready.option;
        let Some(blank) = self.blank else { return Ended::Source };
        let section = link.section(second.reservoir);
        let before = (train.bank.reservoir, section);
        let Some(around) = self.around_section(source, train.fit, before, state) else { return Ended::Link };
        let cooling = passed.coolings.first().map_or(0.0, |(_, way)| way.score);
        let stage_score = stage.score + around.score;
        let score =
            source.score + rectifying.score + train.bank.score + link_score + second.score + stage_score;
        let mut mended = false;
        let mut looked = false;
        for bleeding in bleeders {
            for way in &rectifying.ways {
                let score = score + bleeding.score + way.score;
                if score + train.fed.fuse_score + cooling > state.bound() {
                    break;
                }
                if !rectifying.bears(self.asked, way, passed.heat_w, passed.average_a) {
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
                    section: Some(section),
                    bleeder: bleeding.choice,
                    regulation: stage.regulation.map(|one| around.about(one)),
                    ..blank
                };
                let completer = Completer::of(self.asked, self.shop, state.fusing);
                let bound = state.bound();
                state.judge_one();
                let coolings = passed.coolings.as_slice();
                let fallen = match completer.complete(&assembly, coolings, score, bound, &mut state.tally) {
                    Ok(found) => {
                        state.keep(found);
                        mended = true;
                        continue;
                    }
                    Err(fallen) => fallen,
                };
                let uncooled = completer.coolings_fell.borrow();
                if !coolings.is_empty() && uncooled.len() >= coolings.len() {
                    return Ended::of_coolings(&uncooled);
                }
                if bare(&fallen, bound) {
                    known.bare.ohm = known.bare.ohm.max(link.greatest_ohm(self.asked));
                    known.bare.row += 1;
                    return if known.bare.row >= BARE_MAX { Ended::Source } else { Ended::First };
                }
                if let Fallen::Lacking(position, part) = fallen {
                    state.lacking.insert((position, part));
                }
                match told(self.asked, stage, &fallen) {
                    Ended::Cooling => {}
                    Ended::Mended => mended = true,
                    ended => return ended,
                }
            }
        }
        if looked && !mended { Ended::Rectifier } else { Ended::Second }
    }

    /// Every bleeder that discharges both banks, cheapest first.
    pub(super) fn bleeders_of_two(
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

//! What stands beside a regulator: the cheapest input capacitor, output capacitor, reverse diode and clamp diode that pass together.
//!
//! Depends on stage and source alone, so it is settled once for both; no operating point enters.

use crate::{
    candidate::shop::Shop,
    catalog::{Common, DiodePart, SmallCapacitor},
    circuit::supply::Air,
    stress::{
        assembly::Regulation,
        bench::Bench,
        registry::{Rule, by_code},
        verdict::{EQUALITY, Verdict},
    },
};

use super::leaf::SCORE_TIE;

/// The parts, with their score.
#[derive(Clone, Copy, Debug)]
pub(super) struct Around<'a> {
    pub(super) input: Option<&'a SmallCapacitor>,
    pub(super) output: Option<&'a SmallCapacitor>,
    pub(super) reverse_diode: Option<&'a DiodePart>,
    pub(super) clamp_diode: Option<&'a DiodePart>,
    pub(super) score: f64,
}

/// Rules that stage and source settle: no rectifier, reservoir, bleeder or operating point enters.
const OF_STAGE: [&str; 10] = [
    "regulator-accuracy",
    "regulator-input-voltage",
    "regulator-differential-voltage",
    "regulator-short-dissipation",
    "regulator-start-up",
    "regulator-minimum-load",
    "pass-collector-voltage",
    "pass-operating-area",
    "resistor-power",
    "resistor-tolerance",
];

/// The first rule that a stage breaks behind its source, whatever the rest; the bench has no bleeder.
pub(super) fn stage_fault(bench: &Bench<'_>, scratch: &mut Vec<Verdict>) -> Option<Verdict> {
    OF_STAGE.iter().filter_map(|code| by_code(code)).find_map(|rule| failed(rule, bench, scratch))
}

fn failed(rule: &Rule, bench: &Bench<'_>, scratch: &mut Vec<Verdict>) -> Option<Verdict> {
    scratch.clear();
    (rule.judge)(bench, scratch);
    let index = scratch.iter().position(|verdict| !verdict.holds())?;
    Some(scratch.swap_remove(index))
}

/// Whether a part may stand in the air inside, as the rule on the air asks of everything but the four main positions.
pub(super) fn stands_in(air: &Air, common: &Common) -> bool {
    air.cold_c >= common.temperature_min.0 && air.hot_c <= common.temperature_max.0 * (1.0 + EQUALITY)
}

/// Id of a part that may be absent: nothing comes before everything.
fn id(common: Option<&Common>) -> &str {
    common.map_or("", |common| common.id.0.as_str())
}

/// The cheapest parts around the regulator of a bench; of equal scores the first by ids of input capacitor, output capacitor
/// and diode. What fails is told to `miss`.
pub(super) fn around<'a>(
    shop: &Shop<'a>,
    bench: &mut Bench<'a>,
    scratch: &mut Vec<Verdict>,
    miss: &mut dyn FnMut(&Verdict, &str),
) -> Option<Around<'a>> {
    let air = bench.supply.air;
    let input_rule = by_code("regulator-input-capacitor")?;
    let output_rule = by_code("regulator-output-capacitor")?;
    let diode_rule = by_code("regulator-reverse-diode")?;
    let capacitors = || {
        let some = shop.small_capacitors.iter().filter(|one| stands_in(&air, one.common));
        std::iter::once((None, 0.0)).chain(some.map(|one| (Some(one.part), one.score(1))))
    };
    let mut input: Option<(Option<&'a SmallCapacitor>, f64)> = None;
    for (part, score) in capacitors() {
        if input.is_some_and(|known| score > known.1 + SCORE_TIE) {
            break;
        }
        bench.assembly.regulation.as_mut()?.input = part;
        if let Some(verdict) = failed(input_rule, bench, scratch) {
            miss(&verdict, id(part.map(|part| &part.common)));
        } else if input
            .is_none_or(|known| id(part.map(|part| &part.common)) < id(known.0.map(|part| &part.common)))
        {
            input = Some((part, score));
        }
    }
    let (input, input_score) = input?;
    let (clamp_diode, clamp_score) = clamp(shop, bench, scratch, miss)?;
    let mut best: Option<Around<'a>> = None;
    for (output, output_score) in capacitors() {
        let most = best.map_or(f64::INFINITY, |known| known.score - input_score - clamp_score) + SCORE_TIE;
        if output_score > most {
            break;
        }
        bench.assembly.regulation.as_mut()?.output = output;
        if let Some(verdict) = failed(output_rule, bench, scratch) {
            miss(&verdict, id(output.map(|part| &part.common)));
            continue;
        }
        let some = shop.diodes.iter().filter(|one| stands_in(&air, one.common));
        let diodes = std::iter::once((None, 0.0)).chain(some.map(|one| (Some(one.part), one.score(1))));
        for (reverse_diode, diode_score) in diodes {
            let score = input_score + clamp_score + output_score + diode_score;
            let found = Around { input, output, reverse_diode, clamp_diode, score };
            if best.is_some_and(|known| found.score > known.score + SCORE_TIE) {
                break;
            }
            bench.assembly.regulation.as_mut()?.reverse_diode = reverse_diode;
            if let Some(verdict) = failed(diode_rule, bench, scratch) {
                miss(&verdict, id(reverse_diode.map(|part| &part.common)));
            } else if best.is_none_or(|known| found.before(&known)) {
                best = Some(found);
            }
        }
    }
    best
}

/// The cheapest diode from common to output that passes, or none where none is asked for; of equal scores the first by id.
fn clamp<'a>(
    shop: &Shop<'a>,
    bench: &mut Bench<'a>,
    scratch: &mut Vec<Verdict>,
    miss: &mut dyn FnMut(&Verdict, &str),
) -> Option<(Option<&'a DiodePart>, f64)> {
    let air = bench.supply.air;
    let rule = by_code("output-clamp")?;
    let some = shop.diodes.iter().filter(|one| stands_in(&air, one.common));
    let mut best: Option<(Option<&'a DiodePart>, f64)> = None;
    for (part, score) in std::iter::once((None, 0.0)).chain(some.map(|one| (Some(one.part), one.score(1)))) {
        if best.is_some_and(|known| score > known.1 + SCORE_TIE) {
            break;
        }
        let own = id(part.map(|part| &part.common));
        bench.assembly.regulation.as_mut()?.clamp_diode = part;
        if let Some(verdict) = failed(rule, bench, scratch) {
            miss(&verdict, own);
        } else if best.is_none_or(|known| own < id(known.0.map(|part| &part.common))) {
            best = Some((part, score));
        }
    }
    best
}

impl<'a> Around<'a> {
    /// A stage with these parts around it.
    pub(super) fn about(&self, stage: Regulation<'a>) -> Regulation<'a> {
        Regulation {
            input: self.input,
            output: self.output,
            reverse_diode: self.reverse_diode,
            clamp_diode: self.clamp_diode,
            ..stage
        }
    }
}

impl Around<'_> {
    /// Whether this is cheaper, or as cheap and earlier by ids.
    fn before(&self, other: &Self) -> bool {
        let ids = |one: &Self| {
            let output = id(one.output.map(|part| &part.common)).to_owned();
            (output, id(one.reverse_diode.map(|part| &part.common)).to_owned())
        };
        self.score < other.score - SCORE_TIE
            || (self.score <= other.score + SCORE_TIE && ids(self) < ids(other))
    }
}

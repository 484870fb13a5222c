//! Thermal cut-out in service.

use crate::circuit::supply::Body;
use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    regulator_point::greatest_hot,
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
    winding,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "cut-out-margin",
        asks: "the windings stay below the least opening temperature of the cut-out, and a fitted one carries the primary's current and voltage",
        why: "a cut-out that opens in service ends it",
        worst: "load +, mains +, f −, ambient +",
        limits: "the cut-out is taken to have the mean temperature of the windings; rated voltages as for fuses, those of a system",
        source: "ratings: the part's row",
    },
    group: Group::Protection,
    judge,
};

/// Tolerance of a built-in cut-out whose maker states none, K. House practice.
const BUILT_IN_TOLERANCE_K: f64 = 5.0;

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let fitted = bench.assembly.cut_out;
    let own = bench.assembly.transformer.cut_out;
    let Some(hottest) = greatest_hot(bench, Body::Heavy, |point| point.winding_c) else {
        return verdicts.push(tell::idle(code, Position::CutOut, "no warm point was solved"));
    };
    let reference = bench.supply.air.hot_c;
    if let Some(part) = fitted {
        let opens = part.opens_at.0 - part.tolerance_k.0;
        verdicts.push(bench.temperature(code, Position::CutOut, hottest, opens, reference));
        let current = winding::greatest_primary_a(bench, Body::Instant);
        verdicts.push(bench.at_most(code, Position::CutOut, current, part.current.0, Unit::Amps));
        let (volts, rating) = (bench.supply.mains_v.nominal, part.voltage.0);
        let stress = tell::stress(code, Position::CutOut, Unit::Volts, Sense::AtMost, volts, rating);
        verdicts.push(Verdict::Stress(Stress { rating: Some(rating), ..stress }));
    }
    if let Some(own) = own {
        let opens = own.0 - BUILT_IN_TOLERANCE_K;
        let verdict = bench.temperature(code, Position::Transformer, hottest, opens, reference);
        verdicts.push(tell::noted(verdict, "5 K of tolerance assumed for the built-in cut-out"));
    }
    if fitted.is_none() && own.is_none() {
        verdicts.push(tell::idle(code, Position::CutOut, "no thermal cut-out"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Celsius, Volts},
        stress::fixture::Fixture,
    };

    /// By hand: 120 °C less 5 K.
    #[test]
    fn a_cut_out_must_not_open_in_service() {
        let mut fixture = Fixture::regulated().with_cut_out();
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(heat), Verdict::Stress(current), Verdict::Stress(volts)] = &found[..] else {
            panic!("{found:?}")
        };
        assert!((heat.limit - 115.0).abs() < 1e-9 && heat.holds() && current.holds() && volts.holds());
        fixture.cut_out.as_mut().unwrap().opens_at = Celsius(heat.applied);
        assert!(!fixture.holds(&RULE));
        fixture.cut_out.as_mut().unwrap().opens_at = Celsius(120.0);
        fixture.cut_out.as_mut().unwrap().current = Amps(0.05);
        assert!(!fixture.holds(&RULE));
        fixture.cut_out.as_mut().unwrap().current = Amps(2.0);
        assert!(fixture.holds(&RULE));
        fixture.cut_out.as_mut().unwrap().voltage = Volts(125.0);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn the_built_in_one_is_held_to_the_same_and_none_is_idle() {
        let mut fixture = Fixture::regulated();
        assert!(fixture.idle(&RULE));
        fixture.transformer.cut_out = Some(Celsius(120.0));
        assert!(fixture.holds(&RULE));
        fixture.transformer.cut_out = Some(Celsius(60.0));
        assert!(!fixture.holds(&RULE));
    }
}

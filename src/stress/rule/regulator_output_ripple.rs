//! Ripple at the load behind the regulator.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    regulator_point::{self, RegulatorStage},
    tell,
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-output-ripple",
        asks: "the raw ripple, reduced by the rejection that is left at the headroom of the same vertex, stays within what is asked",
        why: "rejection collapses near drop-out, so the corner of most ripple and that of least headroom both count",
        worst: "mains + for the raw ripple, mains − for the headroom; both ends of ESR",
        limits: "the rejection of 100 or 120 Hz is taken for the whole raw ripple; its harmonics are rejected less and are smaller",
        source: "V_r,out = V_r,in · 10^(−A/20), A in proportion to the headroom below that at which it is stated: common practice, no source",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let Some(rejection) = stage.part().rejection else {
        return verdicts.push(tell::missing(code, Position::Regulator, "ripple rejection"));
    };
    let path = match stage.heat_path(bench) {
        Err(why) => return verdicts.push(regulator_point::unbuildable(code, &why)),
        Ok(path) => path,
    };
    let ripple = |point: &_| stage.output_ripple_v(Some(&path), point).map(|volts| -volts);
    let Some(worst) = regulator_point::least(bench, ripple) else {
        return verdicts.push(tell::missing(code, Position::Regulator, "drop-out at the greatest current"));
    };
    let applied = -worst.value;
    if applied.is_infinite() {
        let text = format!("no headroom is left at {}: no ripple is claimed", worst.vertex.text());
        return verdicts.push(tell::fact(code, Position::Regulator, false, text));
    }
    let note = match (rejection.guaranteed, rejection.adjust_capacitor.is_some()) {
        (true, false) => "",
        (false, false) => "typical rejection, less the policy's allowance",
        (true, true) => "no adjust-pin capacitor: the divider passes its share of the rejection back",
        (false, true) => {
            "typical rejection, less the policy's allowance; no adjust-pin capacitor: the divider passes its share back"
        }
    };
    let limit = bench.asked.rail.ripple.0.0;
    let stress = tell::stress(code, Position::Regulator, Unit::Volts, Sense::AtMost, applied, limit);
    verdicts.push(Verdict::Stress(Stress {
        vertex: Some(worst.vertex),
        origin: Origin::Requirement,
        note: note.to_owned(),
        ..stress
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{catalog::family::regulator::Rejection, quantity::Volts, requirement::Ripple};
    use approx::assert_relative_eq;

    /// By hand: at each vertex the raw ripple over `10^(60 h/h_r/20)`, `h_r` = 2 V less drop-out, at most 60 dB.
    #[test]
    fn the_ripple_is_the_worst_of_raw_ripple_and_what_is_left_of_the_rejection() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.secondaries[0].rated = Volts(17.0);
        let bench = fixture.bench();
        let mut by_hand = 0.0_f64;
        for point in &bench.points {
            let amps = point.vertex.load.of(0.1, 1.5);
            let drop_out = 0.3 + 0.5 * (amps - 0.1) / 1.9;
            let headroom = point.valley_v - 12.24 - drop_out;
            let decibels = 60.0 * (headroom / (2.0 - drop_out)).min(1.0);
            by_hand = by_hand.max((point.crest_v - point.valley_v) / 10.0_f64.powf(decibels / 20.0));
        }
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-9);
        assert!(stress.holds());
        fixture.rail().ripple = Ripple(Volts(by_hand * 0.9));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn without_headroom_no_ripple_is_claimed() {
        let mut fixture = Fixture::regulated();
        fixture.output.high_v = 15.0;
        assert!(matches!(fixture.judged(&RULE).as_slice(), [Verdict::Fact { holds: false, .. }]));
    }

    /// By hand: 6 dB of allowance; and for the adjustable part `20 log(V_out / 1.25 V)` without the capacitor it needs.
    #[test]
    fn typical_and_unmet_conditions_take_their_share_of_the_rejection() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.secondaries[0].rated = Volts(24.0);
        let guaranteed = fixture.stress(&RULE).applied;
        let stated = fixture.regulator.as_ref().unwrap().rejection.unwrap();
        fixture.regulator.as_mut().unwrap().rejection = Some(Rejection { guaranteed: false, ..stated });
        let typical = fixture.stress(&RULE);
        assert_relative_eq!(typical.applied / guaranteed, 10.0_f64.powf(0.3), max_relative = 1e-9);
        assert!(typical.note.contains("typical"));
        let mut adjustable = Fixture::adjustable(120.0, 1020.0);
        adjustable.transformer.secondaries[0].rated = Volts(24.0);
        let with = adjustable.stress(&RULE).applied;
        let bare = Rejection { adjust_capacitor: Some(crate::quantity::Farads(1e-5)), ..stated };
        adjustable.regulator.as_mut().unwrap().rejection = Some(bare);
        let without = adjustable.stress(&RULE).applied;
        assert_relative_eq!(without / with, adjustable.output.set_v / 1.25, max_relative = 1e-9);
        fixture.regulator.as_mut().unwrap().rejection = None;
        assert!(fixture.misses(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

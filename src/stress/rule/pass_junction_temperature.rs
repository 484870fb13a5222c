//! Junction temperature of the pass transistors.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    regulator_point::{self, RegulatorStage},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-junction-temperature",
        asks: "the junction of the most loaded pass transistor stays as far below its greatest temperature as the policy asks",
        why: "on a shared sink the heat of all raises each, and the one that carries most is the warmest",
        worst: "mains +, load +, C +, output at its low accuracy, warm windings, ambient +",
        limits: "the sink has one temperature; what the ballast resistors take is not counted off the transistor's own heat",
        source: "T_j = T_air + ΔT_sink(P_all) + P_1 (R_jc + R_cs); rating: the part's row",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    let Some(pass) = bench.assembly.regulation.as_ref().and_then(|one| one.pass.as_ref()) else {
        return verdicts.push(tell::idle(code, at, "the rail has no pass transistors"));
    };
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let path = match stage.heat_path(bench) {
        Err(why) => return verdicts.push(regulator_point::unbuildable(code, &why)),
        Ok(path) => path,
    };
    if stage.pass_to_sink().is_none() {
        let text = "sink or insulating pad does not take the transistors' package".to_owned();
        return verdicts.push(tell::fact(code, at, false, text));
    }
    verdicts.push(match stage.greatest_pass_junction(bench, &path) {
        None => tell::idle(code, at, "no warm point was solved"),
        Some(worst) => bench.temperature(code, at, worst, pass.part.junction_max.0, bench.supply.air.hot_c),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Kelvins, Ratio},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand, resistors without tolerance: the sink `(P · 0.2 · 75^0.25)^0.8` over 45 °C with all the heat but what the resistors take,
    /// 0.487097 V (21.5/15.5 − 0.9), and 1.5 K/W at 2.685484 A.
    #[test]
    fn the_junction_stands_on_the_sink_of_all() {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let across = point.mean_v - 11.76;
        let watts = (across - 0.487_097) * 8.0 + (point.mean_v - 0.487_097) * 0.005;
        let by_hand = 45.0 + (watts * 0.2 * 75.0_f64.powf(0.25)).powf(0.8) + 1.5 * 2.685_484 * across;
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-6);
        fixture.limit(RULE.page.code, LimitKind::BelowMaximum(Kelvins(100.0)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn transistors_need_a_sink_that_takes_them() {
        let mut fixture = Fixture::passed();
        fixture.transistor.common.package = "stud".to_owned();
        assert!(!fixture.holds(&RULE));
        fixture.regulator_cooled = false;
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

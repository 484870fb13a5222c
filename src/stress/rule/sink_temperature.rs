//! Temperature of the heat sinks.

use crate::{
    circuit::{operate::diodes, supply::Body},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        regulator_point::{self, RegulatorStage},
        tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "sink-temperature",
        asks: "each heat sink stays below the policy's temperature and its own greatest",
        why: "a sink heats its neighbours, and a hand that finds it",
        worst: "mains +, load +, C +, output at its low accuracy, ambient +",
        limits: "a regulator and its pass transistors share one sink, any other part has its own; still air",
        source: "ΔT = (P R ΔT_r^n)^(1/(1+n)); limit: common practice, no source",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let before = verdicts.len();
    let reference = bench.supply.air.hot_c;
    let mut put = |verdict| verdicts.push(verdict);
    if let Some(cooling) = &bench.assembly.rectifier_cooling {
        let rectifier = &bench.supply.rectifier;
        let packages = f64::from(diodes(bench.supply.topology)) / f64::from(rectifier.elements_per_package);
        let hottest = regulator_point::greatest_hot(bench, Body::Light, |point| {
            point.air_c + rectifier.path.sink_rise_k(point.diode_w / packages)
        });
        if let Some(worst) = hottest {
            let rating = cooling.sink.common.temperature_max.0;
            put(bench.temperature(code, Position::RectifierSink, worst, rating, reference));
        }
    }
    if let Some(Ok(stage)) = RegulatorStage::of(bench)
        && let Some(cooling) = &stage.regulation.cooling
    {
        match stage.heat_path(bench) {
            Err(why) => put(regulator_point::unbuildable(code, &why)),
            Ok(path) => {
                let hottest = regulator_point::greatest_hot(bench, Body::Heavy, |point| {
                    point.air_c + path.sink_rise_k(stage.sink_heat_w(Body::Heavy, point))
                });
                if let Some(worst) = hottest {
                    let rating = cooling.sink.common.temperature_max.0;
                    put(bench.temperature(code, Position::RegulatorSink, worst, rating, reference));
                }
            }
        }
    }
    if verdicts.len() == before {
        verdicts.push(tell::idle(code, Position::RegulatorSink, "no heat sink, or no warm point was solved"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{policy::LimitKind, quantity::KelvinsPerWatt};
    use approx::assert_relative_eq;

    /// By hand: 45 °C and `(P · 3 · 75^0.25)^0.8`.
    #[test]
    fn the_sink_rises_by_its_own_law() {
        let mut fixture = Fixture::regulated();
        fixture.sink.resistance = KelvinsPerWatt(1.5);
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let watts = (point.mean_v - 11.76) * 1.5 + point.mean_v * 0.005;
        let by_hand = 45.0 + (watts * 1.5 * 75.0_f64.powf(0.25)).powf(0.8);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-9);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::AtMost(60.0));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn the_rectifier_has_its_own_sink_and_a_rail_without_any_is_idle() {
        let mut fixture = Fixture::regulated();
        fixture.rectifier_cooled = true;
        assert_eq!(fixture.judged(&RULE).len(), 2);
        fixture.rectifier_cooled = false;
        fixture.regulator_cooled = false;
        assert!(fixture.idle(&RULE));
    }
}

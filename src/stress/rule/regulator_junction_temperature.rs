//! Junction temperature of the regulator.

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
        code: "regulator-junction-temperature",
        asks: "the junction stays as far below its greatest temperature as the policy asks",
        why: "heat ends a regulator's life, and its shutdown ends the supply's service",
        worst: "mains +, load +, C +, output at its low accuracy, warm windings, ambient +",
        limits: "still air, fins upright, altitude counted; neighbours on the same sink are not",
        source: "T_j = T_air + P (R_jc + R_cs + R_sa(ΔT)); rating: the part's row",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let path = match stage.heat_path(bench) {
        Err(why) => return verdicts.push(regulator_point::unbuildable(code, &why)),
        Ok(path) => path,
    };
    verdicts.push(match stage.greatest_junction(bench, &path) {
        None => tell::idle(code, Position::Regulator, "no warm point was solved"),
        Some(worst) => {
            let rating = stage.part().junction_max.0;
            bench.temperature(code, Position::Regulator, worst, rating, bench.supply.air.hot_c)
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{
        circuit::{
            corner::{End, Thermal},
            supply::Body,
        },
        policy::LimitKind,
        quantity::{Amps, Kelvins, KelvinsPerWatt, Ratio, Seconds},
        requirement::PeakLoad,
    };
    use approx::assert_relative_eq;

    /// By hand: 45 °C, 2.5 K/W to the sink, and the sink's rise `(P · 3 · 75^0.25)^0.8`.
    #[test]
    fn the_junction_is_warmer_than_its_air_by_the_whole_chain() {
        let mut fixture = Fixture::regulated();
        fixture.sink.resistance = KelvinsPerWatt(1.5);
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let watts = (point.mean_v - 11.76) * 1.5 + point.mean_v * 0.005;
        let by_hand = 45.0 + 2.5 * watts + (watts * 1.5 * 75.0_f64.powf(0.25)).powf(0.8);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-9);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::BelowMaximum(Kelvins(60.0)));
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: 1.9 A for 0.1 s in each second on 1.0 A. The sink (60 s) sees √(1 + 0.1007517 · 2.61) = 1.123816 A, the 2.5 K/W
    /// between junction and sink the heat of the peak itself.
    #[test]
    fn a_short_peak_heats_the_junction_at_once_and_the_sink_by_its_rms() {
        let mut fixture = Fixture::regulated();
        fixture.sink.resistance = KelvinsPerWatt(1.5);
        fixture.rail().current_max = Amps(1.0);
        fixture.rail().peak =
            Some(PeakLoad { current: Amps(1.9), duration: Seconds(0.1), share: Ratio(0.1) });
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let at = |body: Body| {
            let points = bench.points_of(body).iter();
            points.clone().find(|point| Some(point.vertex) == stress.vertex).unwrap().clone()
        };
        let (slow, fast) = (at(Body::Heavy), at(Body::Instant));
        assert_relative_eq!(slow.load_a, 1.123_816 + 0.017, max_relative = 1e-5);
        assert_relative_eq!(fast.load_a, 1.917, max_relative = 1e-9);
        assert!(fast.vertex.load == End::High && fast.vertex.thermal == Thermal::Hot);
        let lasting_w = (slow.mean_v - 11.76) * 1.123_816 + slow.mean_v * 0.005;
        let peak_w = (fast.mean_v - 11.76) * 1.9 + fast.mean_v * 0.005;
        let by_hand = 45.0 + 2.5 * peak_w + (lasting_w * 1.5 * 75.0_f64.powf(0.25)).powf(0.8);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-5);
        // The windings are as warm as the lasting load makes them, at the peak too.
        assert_relative_eq!(fast.winding_c, slow.winding_c, max_relative = 1e-9);
        fixture.rail().peak =
            Some(PeakLoad { current: Amps(1.9), duration: Seconds(600.0), share: Ratio(0.1) });
        assert!(fixture.stress(&RULE).applied > stress.applied);
    }

    #[test]
    fn a_sink_that_does_not_take_the_package_fails_and_free_air_needs_its_rating() {
        let mut fixture = Fixture::regulated();
        fixture.sink.mounts.clear();
        assert!(matches!(fixture.judged(&RULE).as_slice(), [Verdict::Fact { holds: false, .. }]));
        fixture.regulator_cooled = false;
        assert!(!fixture.holds(&RULE));
        if let Some(part) = &mut fixture.regulator {
            part.junction_air = None;
        }
        assert!(fixture.misses(&RULE));
    }
}

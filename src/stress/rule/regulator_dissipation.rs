//! Heat of the regulator against the power its mounting can take.

use crate::circuit::supply::Body;
use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    regulator_point::{self, RegulatorStage},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-dissipation",
        asks: "the mean dissipation stays within the greatest power the sink's maker states, or in free air within what junction-to-air allows",
        why: "a stated power is a limit of the mounting beside that of the junction",
        worst: "mains +, load +, C +, output at its low accuracy, warm windings, ambient +",
        limits: "with pass transistors the heat of all of them; the first minutes with cold windings are hotter by a few per cent and are not counted",
        source: "P = (V̄_in − V_out) I + V̄_in I_gnd; rating: the sink's row, or (T_j,max − T_air)/R_ja",
    },
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let Some(worst) =
        regulator_point::greatest_hot(bench, Body::Heavy, |point| stage.sink_heat_w(Body::Heavy, point))
    else {
        return verdicts.push(tell::idle(code, Position::Regulator, "no warm point was solved"));
    };
    verdicts.push(match &stage.regulation.cooling {
        Some(cooling) => match cooling.sink.power_max {
            Some(rating) => bench.at_most(code, Position::RegulatorSink, worst, rating.0, Unit::Watts),
            None => tell::idle(code, Position::RegulatorSink, "the sink's maker states no greatest power"),
        },
        None => match stage.part().junction_air {
            Some(to_air) => {
                let room_k = stage.part().junction_max.0 - bench.supply.air.hot_c;
                bench.at_most(code, Position::Regulator, worst, room_k / to_air.0, Unit::Watts)
            }
            None => tell::missing(code, Position::Regulator, "junction-to-air resistance without a sink"),
        },
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{
        circuit::corner::End,
        quantity::{Amps, Watts},
    };
    use approx::assert_relative_eq;

    /// By hand: (mean − 11.76 V) · 1.5 A + mean · 5 mA at the highest mean input.
    #[test]
    fn the_heat_is_that_of_the_highest_mean_input() {
        let mut fixture = Fixture::regulated();
        assert!(fixture.idle(&RULE));
        fixture.sink.power_max = Some(Watts(40.0));
        let stress = fixture.stress(&RULE);
        let vertex = stress.vertex.unwrap();
        assert_eq!((vertex.mains, vertex.load, vertex.emf), (End::High, End::High, End::High));
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| point.vertex == vertex).unwrap();
        let by_hand = (point.mean_v - 11.76) * 1.5 + point.mean_v * 0.005;
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-9);
        assert!(stress.holds());
        fixture.sink.power_max = Some(Watts(5.0));
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: (150 − 45) K over 50 K/W: 2.1 W.
    #[test]
    fn in_free_air_the_junction_sets_the_power() {
        let mut fixture = Fixture::regulated();
        fixture.regulator_cooled = false;
        assert_relative_eq!(fixture.stress(&RULE).limit, 2.1, max_relative = 1e-12);
        assert!(!fixture.holds(&RULE));
        fixture.rail().current_max = Amps(0.12);
        assert!(fixture.holds(&RULE));
        if let Some(part) = &mut fixture.regulator {
            part.junction_air = None;
        }
        assert!(fixture.misses(&RULE));
    }
}

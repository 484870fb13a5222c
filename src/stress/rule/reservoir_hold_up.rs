//! Time the reservoir carries the load after the mains has gone.

use crate::{
    physics::reservoir::corner::hold_up_time,
    quantity::{Amps, Farads, Volts},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        regulator_point::{self, RegulatorStage},
        tell,
        verdict::{Origin, Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-hold-up",
        asks: "from the valley, the reservoir carries the load for the time required before the output sags",
        why: "a gap in the mains must not reset what the supply feeds",
        worst: "mains −, load +, C − at end of life, EMF −",
        limits: "the mains is lost at the valley, the worst instant; drop-out is taken as it is at the valley; of a second section only the second bank counts",
        source: "t = C · (V_valley − V_least)/I; V_least: output and drop-out, of a raw rail the lower end of its window",
    },
    // Drop-out depends on the junction, which only the regulator's cooling settles.
    group: Group::RegulatorCooling,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let rail = bench.asked.rail;
    let Some(asked) = rail.hold_up else {
        verdicts.push(tell::idle(code, Position::Reservoir, "no hold-up is asked for"));
        return;
    };
    // Behind a second section the first bank only helps: from the valley of the second it is left out.
    let second = bench.supply.second_bank().map(|bank| bank.farad.low * bank.farad_cold_ratio.min(1.0));
    let farad = |point: &crate::circuit::operate::OperatingPoint| {
        second.unwrap_or_else(|| bench.supply.across_farad(point.farad))
    };
    let time = |point: &crate::circuit::operate::OperatingPoint, spare_v: f64| {
        hold_up_time(Farads(farad(point)), Volts(spare_v), Volts(0.0), Amps(point.load_a)).0
    };
    let worst = match RegulatorStage::of(bench) {
        None => {
            let least_v = rail.voltage.0 * (1.0 - rail.tolerance.0);
            regulator_point::least(bench, |point| Some(time(point, point.valley_v - least_v)))
        }
        Some(Err(_)) => None,
        Some(Ok(stage)) => match stage.heat_path(bench) {
            Ok(path) => regulator_point::least(bench, |point| {
                Some(time(point, stage.headroom_v(Some(&path), point)?))
            }),
            Err(why) => {
                verdicts.push(regulator_point::unbuildable(code, &why));
                return;
            }
        },
    };
    let Some(worst) = worst else {
        verdicts.push(tell::missing(code, Position::Regulator, "drop-out at the load current"));
        return;
    };
    let (factor, origin) = bench.figure(code, 1.0);
    let limit = asked.0 * factor;
    let plain = tell::stress(code, Position::Reservoir, Unit::Seconds, Sense::AtLeast, worst.value, limit);
    verdicts.push(Verdict::Stress(Stress {
        vertex: Some(worst.vertex),
        origin: if matches!(origin, Origin::Rating) { Origin::Requirement } else { origin },
        ..plain
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Seconds, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: `C (V_valley − 12.6 V)/I` at the vertex found; 21 V − 40 % is 12.6 V, the load 1.512 A.
    #[test]
    fn a_raw_rail_holds_until_the_lower_end_of_its_window() {
        let mut fixture = Fixture::raw();
        assert!(fixture.idle(&RULE));
        fixture.requirement.rails[0].hold_up = Some(Seconds(0.001));
        fixture.requirement.rails[0].tolerance = crate::quantity::Ratio(0.4);
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        assert_relative_eq!(
            stress.applied,
            point.farad * (point.valley_v - 12.6) / 1.512,
            max_relative = 1e-12
        );
        assert!(stress.holds());
        fixture.requirement.rails[0].hold_up = Some(Seconds(0.1));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_regulated_rail_holds_until_its_headroom_is_gone() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.rails[0].hold_up = Some(Seconds(0.005));
        let stress = fixture.stress(&RULE);
        // At most the charge above 12.24 V and 0.3 V of drop-out from the peak at low mains, 20.37 V.
        assert!(stress.applied > 0.0 && stress.applied < 0.0064 * (20.37 - 12.54) / 1.5);
        assert!(stress.holds());
        fixture.regulator.as_mut().unwrap().drop_out.clear();
        assert!(fixture.misses(&RULE));
    }
}

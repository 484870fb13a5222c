//! Headroom of the regulator at the valley of its input, hot and cold.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    regulator_point::{self, RegulatorStage},
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-headroom",
        asks: "the valley of the input less the output at its greatest and the greatest drop-out leaves what the policy asks",
        why: "below drop-out the regulator passes the ripple and the output sags with the mains",
        worst: "mains −, load +, f −, C −, ESR +; hot with the junction of that vertex, or cold with cold diodes and capacitors",
        limits: "drop-out is interpolated, never extrapolated in current; outside the stated temperatures the largest stated value stands in",
        source: "h = v_min − V_out,max − V_do; limit: common practice, no source",
    },
    group: Group::RegulatorCooling,
    judge,
};

/// Headroom asked where the policy is silent, V. House practice.
const HEADROOM_V: f64 = 0.5;

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(stage) = RegulatorStage::judged(bench, code, verdicts) else { return };
    let path = match stage.heat_path(bench) {
        Err(why) => return verdicts.push(regulator_point::unbuildable(code, &why)),
        Ok(path) => path,
    };
    let Some(worst) = regulator_point::least(bench, |point| stage.headroom_v(Some(&path), point)) else {
        return verdicts.push(tell::missing(code, Position::Regulator, "drop-out at the greatest current"));
    };
    let (limit, origin) = bench.figure(code, HEADROOM_V);
    let outside = bench
        .points
        .iter()
        .find(|point| point.vertex == worst.vertex)
        .and_then(|point| stage.drop_out(Some(&path), point))
        .is_some_and(|drop_out| drop_out.outside);
    let note = if outside {
        "junction outside the stated temperatures: the largest stated drop-out at this current stands in"
    } else {
        ""
    };
    let stress = tell::stress(code, Position::Regulator, Unit::Volts, Sense::AtLeast, worst.value, limit);
    verdicts.push(Verdict::Stress(Stress {
        vertex: Some(worst.vertex),
        origin,
        note: note.to_owned(),
        ..stress
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{
        circuit::corner::{End, Thermal},
        quantity::{Amps, Celsius, Ratio, Seconds, Volts},
        requirement::PeakLoad,
    };
    use approx::assert_relative_eq;

    /// By hand: the least valley less 12.24 V less 0.3 + 0.5·1.4/1.9 V of drop-out, the same hot and cold.
    #[test]
    fn headroom_is_what_the_valley_leaves_over_output_and_drop_out() {
        let fixture = Fixture::regulated();
        let valley = fixture.bench().least(|point| point.valley_v);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(
            stress.applied,
            valley.value - 12.24 - 0.3 - 0.5 * 1.4 / 1.9,
            max_relative = 1e-9
        );
        assert_eq!(stress.vertex, Some(valley.vertex));
        assert_eq!(valley.vertex.mains, End::Low);
        assert!(stress.holds());
    }

    /// A peak needs its drop-out and its valley whatever its length, with windings no warmer than its rms makes them: between
    /// a lasting load of its size cold and warmed up.
    #[test]
    fn a_peak_of_a_millisecond_needs_the_headroom_of_a_lasting_load() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.ambient.min = Celsius(39.9);
        let peak = PeakLoad { current: Amps(1.8), duration: Seconds(1e-3), share: Ratio(0.01) };
        fixture.rail().peak = Some(peak);
        fixture.rail().current_max = Amps(0.5);
        let short = fixture.stress(&RULE);
        fixture.rail().peak = None;
        fixture.rail().current_max = Amps(1.8);
        let lasting = fixture.bench();
        let least = |thermal| {
            let points = lasting.points.iter().filter(|point| point.vertex.thermal == thermal);
            points.map(|point| point.valley_v).fold(f64::INFINITY, f64::min) - 12.24 - 0.3 - 0.5 * 1.7 / 1.9
        };
        assert!(short.applied > least(Thermal::Hot) && short.applied < least(Thermal::Cold));
    }

    #[test]
    fn a_rail_two_volts_higher_fails() {
        let mut fixture = Fixture::regulated();
        fixture.output.high_v += 2.0;
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn more_current_than_the_drop_out_is_stated_for_is_a_missing_rating() {
        let mut fixture = Fixture::regulated();
        fixture.rail().current_max = Amps(2.5);
        fixture.transformer.secondaries[0].rated = Volts(24.0);
        assert!(fixture.misses(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

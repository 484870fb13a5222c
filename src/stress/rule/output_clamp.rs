//! Diode from common to an output that has one of the opposite sign beside it.

use crate::{
    catalog::DiodePart,
    stress::{
        bench::Bench,
        junction,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "output-clamp",
        asks: "a diode from common to output is fitted beside an output of the opposite sign, blocks the output and carries the opposite load",
        why: "a load from output to output drives the later of the two below common, where its regulator may stay",
        worst: "output +, ambient +",
        limits: "the load from output to output draws at most the greatest load of the opposite rail; an output shorted to the other is not judged",
        source: "common practice, no source; ratings: the diode's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let idle = |why| tell::idle(code, Position::ClampDiode, why);
    let Some((stage, output)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(idle("the rail has no regulator"));
    };
    let Some(opposite_a) = opposite_a(bench) else {
        return verdicts.push(idle("no output of the opposite sign"));
    };
    let Some(diode) = stage.clamp_diode else {
        let text =
            "an output of the opposite sign stands beside it and no diode from common to output is fitted";
        return verdicts.push(tell::fact(code, Position::ClampDiode, false, text.to_owned()));
    };
    let blocked = bench.against(
        code,
        Position::ClampDiode,
        output.high_v,
        diode.element.reverse_repetitive.0,
        Unit::Volts,
    );
    verdicts.push(Verdict::Stress(blocked));
    let carried = bench.against(code, Position::ClampDiode, opposite_a, left_a(bench, diode), Unit::Amps);
    verdicts.push(Verdict::Stress(carried));
}

/// Greatest load of any rail of the opposite sign, A; `None` where there is none.
fn opposite_a(bench: &Bench<'_>) -> Option<f64> {
    let own = bench.asked.rail.polarity;
    let others = bench.asked.requirement.rails.iter().filter(|rail| rail.polarity != own);
    let greatest = |rail: &crate::requirement::Rail| {
        rail.peak.map_or(rail.current_max.0, |peak| peak.current.0.max(rail.current_max.0))
    };
    others.map(greatest).reduce(f64::max)
}

/// Average current of a diode that the air inside leaves of its rating, A.
fn left_a(bench: &Bench<'_>, diode: &DiodePart) -> f64 {
    junction::left_at(&diode.average, bench.supply.air.hot_c)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Celsius, Volts},
        requirement::Polarity,
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// The regulated rail beside one of the opposite sign that draws so much.
    fn beside(amps: f64) -> Fixture {
        let mut fixture = Fixture::regulated();
        let mut other = fixture.rail().clone();
        other.polarity = Polarity::Negative;
        other.current_max = Amps(amps);
        fixture.requirement.rails.push(other);
        fixture.clamp_diode = true;
        fixture
    }

    /// By hand: 12.24 V against 100 V and 2 A against the whole 3 A of the diode in air of 45 °C.
    #[test]
    fn it_blocks_the_output_and_carries_the_opposite_load() {
        let found = beside(2.0).judged(&RULE);
        let [Verdict::Stress(volts), Verdict::Stress(amps)] = &found[..] else { panic!("{found:?}") };
        assert!(volts.holds() && amps.holds());
        assert_relative_eq!(volts.applied, 12.24, max_relative = 1e-6);
        assert_relative_eq!(amps.applied, 2.0, max_relative = 1e-12);
        assert_relative_eq!(amps.limit, 3.0, max_relative = 1e-9);
        assert!(!beside(3.1).holds(&RULE));
    }

    #[test]
    fn one_that_is_missing_fails_as_does_one_of_low_voltage_or_in_hot_air() {
        let mut fixture = beside(2.0);
        fixture.clamp_diode = false;
        assert!(!fixture.holds(&RULE));
        let mut fixture = beside(2.0);
        fixture.diode.element.reverse_repetitive = Volts(12.0);
        assert!(!fixture.holds(&RULE));
        let mut fixture = beside(2.0);
        (fixture.diode.average.full_to, fixture.diode.average.zero_at) = (Celsius(0.0), Celsius(90.0));
        assert!(!fixture.holds(&RULE), "half of 3 A is left at 45 °C");
    }

    #[test]
    fn without_an_output_of_the_opposite_sign_nothing_is_asked() {
        assert!(Fixture::regulated().idle(&RULE));
        let mut fixture = beside(2.0);
        fixture.requirement.rails[1].polarity = Polarity::Positive;
        assert!(fixture.idle(&RULE));
    }
}

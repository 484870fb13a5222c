//! Base current of the pass transistors.

use crate::stress::{
    bench::{Bench, Worst},
    pass_point::PassNumbers,
    position::Position,
    registry::{Group, Page, Rule},
    stage, tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-base-current",
        asks: "the base current of the most loaded pass transistor at its least gain stays within its derated rating",
        why: "the regulator forces whatever base current the load asks for",
        worst: "load +, gain −",
        limits: "that the regulator carries all base currents is judged by regulator-output-current",
        source: "I_B = I_E/(h + 1); rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    let Some(pass) = bench.assembly.regulation.as_ref().and_then(|one| one.pass.as_ref()) else {
        return verdicts.push(tell::idle(code, at, "the rail has no pass transistors"));
    };
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    let load = bench.greatest(|point| point.load_a);
    let worst = Worst { value: PassNumbers::of(bench.asked, pass).base_a(through_a), ..load };
    verdicts.push(bench.at_most(code, at, worst, pass.part.base_current.0, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Ratio},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand, resistors without tolerance: 2.685484 A over 30.
    #[test]
    fn the_base_current_is_the_emitter_current_over_the_gain_and_one() {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 2.685_484 / 30.0, max_relative = 1e-6);
        assert!(stress.holds());
        fixture.transistor.base_current = Amps(0.08);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

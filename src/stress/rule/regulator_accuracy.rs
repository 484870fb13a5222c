//! Deviation of the output from what is asked.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-accuracy",
        asks: "the sum of the absolute terms (set value, reference, set resistors, adjust current, line, load) stays within the tolerance asked",
        why: "a rail out of tolerance is wrong however cool it runs",
        worst: "all terms at their extremes together",
        limits: "drift with age is not stated by makers and not counted",
        source: "ΔV = Σ|ΔV_i|: worst-case sum, common practice, no source",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(output) = bench.output else {
        return verdicts.push(tell::idle(code, Position::Regulator, "the rail has no regulator"));
    };
    let rail = bench.asked.rail;
    let applied = (output.terms.setting + output.terms.spread()) / rail.voltage.0;
    let stress =
        tell::stress(code, Position::Regulator, Unit::Percent, Sense::AtMost, applied, rail.tolerance.0);
    verdicts.push(Verdict::Stress(Stress { origin: Origin::Requirement, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Ratio;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 2 % of 12 V, 0.05 %/V over 26.44 − 12 V, 0.5 % of 12 V times 1.4/2: 2.0 + 0.722 + 0.35 %.
    #[test]
    fn the_terms_add_as_absolute_values() {
        let mut fixture = Fixture::regulated().staged();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 0.02 + 0.0005 * (26.438 - 12.0) + 0.0035, max_relative = 1e-4);
        assert!(stress.holds());
        fixture.rail().tolerance = Ratio(0.03);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }

    #[test]
    fn a_wrong_set_resistor_is_a_wrong_set_value() {
        assert!(Fixture::adjustable(120.0, 1000.0).stress(&RULE).applied > 0.05);
        let good = Fixture::adjustable(120.0, 1020.0).stress(&RULE);
        assert!(good.applied < Fixture::adjustable(120.0, 1000.0).stress(&RULE).applied);
    }
}

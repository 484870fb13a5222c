//! Greatest input voltage of the regulator.

use crate::{
    catalog::Regulator,
    stress::{
        bench::Bench,
        registry::{Group, Page, Rule},
        regulator_point::input_verdict,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-input-voltage",
        asks: "the no-load peak of the reservoir, and what a choke behind it lets a second bank rise to at switch-on, stays within the derated greatest input voltage",
        why: "the pass element breaks down at its input rating, whatever the load",
        worst: "mains +, EMF +, no load, cold",
        limits: "a floating regulator has no such rating; its differential is judged instead; mains transients are not in it",
        source: "V_pk = √2 · k · V_rated · (1 + tolerance) · mains high; rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let elsewhere = "the part floats: see regulator-differential-voltage";
    let ratings = |part: &Regulator| [part.input_max, part.differential_max];
    verdicts.push(input_verdict(bench, RULE.page.code, ratings, elsewhere));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{
        policy::LimitKind,
        quantity::{Ratio, Volts},
    };
    use approx::assert_relative_eq;

    /// By hand: √2 · 16.5 V · 1.1 · 1.03 = 26.438 V against 35 V.
    #[test]
    fn the_no_load_peak_at_high_mains_is_the_greatest_input() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 26.438, max_relative = 1e-4);
        assert!(stress.holds() && (stress.limit - 35.0).abs() < 1e-12);
    }

    #[test]
    fn a_ratio_of_three_quarters_leaves_too_little() {
        let mut fixture = Fixture::regulated();
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.75)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_floating_part_is_judged_by_its_differential_and_one_without_either_misses_it() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        assert!(fixture.idle(&RULE));
        if let Some(part) = &mut fixture.regulator {
            part.differential_max = None;
        }
        assert!(fixture.misses(&RULE));
        if let Some(part) = &mut fixture.regulator {
            part.input_max = Some(Volts(35.0));
        }
        assert!(fixture.holds(&RULE));
    }
}

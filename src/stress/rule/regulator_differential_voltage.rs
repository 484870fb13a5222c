//! Greatest voltage from input to output.

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
        code: "regulator-differential-voltage",
        asks: "the whole greatest input (no-load peak, or what a choke before a second bank lets it rise to), which stands across the part at switch-on and with the output shorted, stays within the derated differential",
        why: "a floating regulator knows only the voltage across itself, and the output starts at nothing",
        worst: "mains +, EMF +, no load, output at zero",
        limits: "says nothing of a part whose input is rated to common; see regulator-input-voltage",
        source: "rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let elsewhere = "the input is rated to common: see regulator-input-voltage";
    let ratings = |part: &Regulator| [part.differential_max, part.input_max];
    verdicts.push(input_verdict(bench, RULE.page.code, ratings, elsewhere));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{policy::LimitKind, quantity::Ratio, stress::fixture::Fixture};

    /// By hand: 26.44 V against 40 V, and against 60 % of it.
    #[test]
    fn the_whole_input_stands_across_a_floating_part() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        assert!((fixture.stress(&RULE).applied - 26.438).abs() < 1e-3);
        assert!(fixture.holds(&RULE));
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.6)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_part_with_neither_rating_misses_it_and_a_fixed_one_is_idle() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        if let Some(part) = &mut fixture.regulator {
            part.differential_max = None;
        }
        assert!(fixture.misses(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

//! Greatest steady voltage of the reservoir against its rated voltage.

use crate::stress::{
    bench::Bench,
    registry::{Group, Page, Rule},
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-voltage",
        asks: "the no-load peak at high mains stays within the derated rated voltage",
        why: "without load the winding rises by its regulation and the reservoir charges to the peak of it",
        worst: "mains +, EMF +, no load",
        limits: "no diode drop is taken off: at leakage currents there is none",
        source: "V_pk = √2 · k · V_rated · (1 + tolerance) · mains high; rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    for (at, bank) in bench.assembly.banks() {
        let rating = bank.part.rated.0;
        verdicts.push(bench.at_most(RULE.page.code, at, bench.no_load_bank(1.0), rating, Unit::Volts));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Ratio, Volts},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: √2 · 15 V · 1.1 · 1.03 · 1.1 = 26.438 V of 35 V: 0.755.
    #[test]
    fn a_35_v_part_behind_15_v_is_at_three_quarters() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.utilisation(), 0.7554, max_relative = 1e-3);
        assert!(stress.holds());
    }

    #[test]
    fn seven_tenths_by_policy_or_a_25_v_part_fails() {
        let mut fixture = Fixture::regulated();
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.7)));
        assert!(!fixture.holds(&RULE));
        fixture.policy.limits.clear();
        fixture.capacitor.rated = Volts(25.0);
        assert!(!fixture.holds(&RULE));
    }
}

//! Ripple current of the most loaded reservoir against its rating.

use crate::stress::{
    bench::Bench,
    registry::{Group, Page, Rule},
    ripple, tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-ripple-current",
        asks: "the equivalent rms ripple current of the most loaded capacitor stays within the derated rating",
        why: "ripple heats the core, and heat is life",
        worst: "load +, mains +, C +, ESR −, f +, windings cold",
        limits: "says nothing of how current divides among unequal capacitors; equal ones share with the policy's imbalance",
        source: "I_eq² = Σ(I_h/k_h)² over the harmonics; rating and multipliers: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    for (at, bank) in bench.assembly.banks() {
        verdicts.push(ripple::equivalent(bench, at).map_or_else(
            || tell::missing(code, at, "ripple multipliers by frequency"),
            |worst| bench.at_most(code, at, worst, bank.part.ripple.0, Unit::Amps),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::operate::OperatingPoint;
    use crate::{
        policy::LimitKind,
        quantity::{Amps, Ratio},
        stress::{fixture::Fixture, position::Position},
    };

    /// By hand: the equivalent current lies between rms over the greatest multiplier and rms over that of 100 Hz.
    #[test]
    fn the_equivalent_current_lies_between_the_bounds_of_the_multipliers() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        let greatest = fixture.bench().greatest(|point| point.bank_rms_a).value;
        assert!(stress.applied < greatest && stress.applied > greatest / 1.1);
        assert!(stress.holds());
    }

    /// Second method: the greatest over the points one by one, without any of them left out by the bound.
    #[test]
    fn leaving_points_out_by_the_bound_changes_nothing() {
        for fixture in [Fixture::regulated(), Fixture::raw().half_wave()] {
            let bench = fixture.bench();
            let found = ripple::equivalent(&bench, Position::Reservoir).unwrap();
            let alone = |point: &OperatingPoint| {
                ripple::equivalent(
                    &Bench { points: vec![point.clone()], ..bench.clone() },
                    Position::Reservoir,
                )
                .unwrap()
                .value
            };
            let all = bench.greatest(alone);
            assert_eq!((found.value, found.vertex), (all.value, all.vertex));
        }
    }

    #[test]
    fn a_small_rating_or_a_strict_policy_fails_and_no_multipliers_is_a_missing_rating() {
        let mut fixture = Fixture::regulated();
        let applied = fixture.stress(&RULE).applied;
        fixture.capacitor.ripple = Amps(applied * 1.1);
        assert!(fixture.holds(&RULE));
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.8)));
        assert!(!fixture.holds(&RULE));
        fixture.capacitor.ripple_multipliers.clear();
        assert!(fixture.misses(&RULE));
    }

    /// Facts of the trade (common practice, no source): what follows a section carries far less ripple than what stands before it.
    #[test]
    fn each_bank_of_a_section_is_judged_and_the_second_carries_less() {
        let found = Fixture::smoothed(5.0).judged(&RULE);
        let [Verdict::Stress(first), Verdict::Stress(second)] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!([first.position, second.position], [Position::Reservoir, Position::SectionCapacitor]);
        assert!(second.applied < 0.3 * first.applied && second.applied > 0.0, "{found:?}");
    }
}

//! Reverse voltage with mains transients against the non-repetitive rating.

use crate::stress::{
    bench::Bench,
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-transient-voltage",
        asks: "the peak reverse voltage times the policy's transient factor stays within V_RSM, or V_RRM where none is stated",
        why: "switching and lightning reach the secondary through the transformer",
        worst: "mains +, EMF +, no load",
        limits: "the factor stands for the installation; a transient is not computed",
        source: "factor: the policy's parameters; ratings: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let element = junction::element(bench);
    let factor = bench.asked.policy.parameters.transient_factor;
    let worst = bench.no_load_emf(factor * junction::reverse_multiple(bench.assembly.topology));
    let rating = element.reverse_surge.unwrap_or(element.reverse_repetitive).0;
    let verdict = bench.at_most(RULE.page.code, Position::Rectifier, worst, rating, Unit::Volts);
    verdicts.push(if element.reverse_surge.is_some() {
        verdict
    } else {
        tell::noted(verdict, "no non-repetitive rating stated: the repetitive one is taken")
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 1.5 · 26.438 V = 39.66 V.
    #[test]
    fn the_transient_is_the_steady_peak_times_the_factor() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 39.657, max_relative = 1e-4);
        assert_relative_eq!(stress.limit, 150.0, max_relative = 1e-12);
        assert!(stress.holds());
    }

    #[test]
    fn without_a_surge_rating_the_repetitive_one_is_taken_and_said() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.reverse_surge = None;
        fixture.bridge.element.reverse_repetitive = Volts(39.0);
        let stress = fixture.stress(&RULE);
        assert!(!stress.holds() && stress.note.contains("repetitive"));
    }
}

//! Ripple current of the most loaded reservoir against its rating.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    ripple,
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
    let part = bench.assembly.reservoir.part;
    verdicts.push(ripple::equivalent(bench).map_or(
        Verdict::MissingRating {
            code: RULE.page.code,
            position: Position::Reservoir,
            rating: "ripple multipliers by frequency",
        },
        |worst| bench.at_most(RULE.page.code, Position::Reservoir, worst, part.ripple.0, Unit::Amps),
    ));
}

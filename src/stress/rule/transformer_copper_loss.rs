//! Copper loss of all windings, warm, against that at rating.

use crate::circuit::supply::Body;
use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
    winding,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-copper-loss",
        asks: "the copper loss of all windings at their own temperature stays within that at rating",
        why: "it is what the maker's temperature rise was measured with",
        worst: "load +, mains +, warmed up",
        limits: "core loss apart; see transformer-winding-temperature",
        source: "Σ R_k I_k² at the thermal fixed point; at rating (k − 1) · VA",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let worst =
        bench.greatest_of(Body::Heavy, |point| if winding::warm(point) { point.copper_w } else { f64::NAN });
    let rating = bench.supply.source.copper_rated_w;
    verdicts.push(if worst.value.is_nan() {
        tell::idle(RULE.page.code, Position::Transformer, "no warm point was solved")
    } else {
        bench.at_most(RULE.page.code, Position::Transformer, worst, rating, Unit::Watts)
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 10 % of 15 V · 4 A is 6 W, in 0.375 Ω at 95 °C: 16 A².
    #[test]
    fn the_loss_is_that_of_both_resistances_at_the_winding_temperature() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.limit, 6.0, max_relative = 1e-12);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let warm = (234.5 + point.winding_c) / (234.5 + 95.0);
        let by_hand = 0.375 * warm * point.path_rms_a * point.path_rms_a;
        assert_relative_eq!(stress.applied, by_hand, max_relative = 2e-4);
        assert!(stress.holds());
    }

    #[test]
    fn twice_the_load_fails() {
        let mut fixture = Fixture::raw();
        fixture.requirement.rails[0].current_max = Amps(3.0);
        assert!(!fixture.holds(&RULE));
    }
}

//! rms of the primary against the current that the transformer's rating implies.

use crate::{
    circuit::supply::Body,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
        winding,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-primary-current",
        asks: "the rms primary current, core loss and magnetising current included, stays within what the rating implies",
        why: "the primary heats with its own current, and half-wave loads and high mains load it more than the secondary tells",
        worst: "load +, mains +, f −, windings cold",
        limits: "beyond a relative flux of 1.15 the no-load current is not known and that at 1.15 is taken; see transformer-flux",
        source: "I_p = √((I_load + P_fe/V)² + I_mag²); rating: the same law at the rated apparent power",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let part = bench.assembly.transformer;
    let Some(_) = bench.assembly.winding() else {
        verdicts.push(tell::missing(RULE.page.code, Position::Transformer, "secondary"));
        return;
    };
    let rating_a = winding::primary_rating_a(part, &bench.supply.source);
    let worst = winding::greatest_primary_a(bench, Body::Heavy);
    verdicts.push(bench.at_most(RULE.page.code, Position::Transformer, worst, rating_a, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::VoltAmps, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 1.1 · 60 / 230 = 0.28696 A and 3 / 230 = 0.01304 A in phase; magnetising √(0.05² − 0.01304²) = 0.04827 A;
    /// together 0.30385 A.
    #[test]
    fn the_rating_is_the_current_of_the_rated_apparent_power() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.limit, 0.30385, max_relative = 1e-4);
        assert!(stress.holds());
    }

    #[test]
    fn a_transformer_of_half_the_apparent_power_fails() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.rating = VoltAmps(30.0);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn the_primary_carries_more_than_the_referred_load_and_less_than_all_added() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        for point in &bench.points {
            let found = winding::primary_rms_a(&bench.supply.source, point);
            assert!(found > point.primary_load_rms_a && found < point.primary_load_rms_a + 0.1);
        }
    }
}

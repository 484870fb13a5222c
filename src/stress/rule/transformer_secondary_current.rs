//! rms of each secondary against its rated current.

use crate::{
    circuit::supply::Body,
    quantity::Amps,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-secondary-current",
        asks: "the rms current of each secondary stays within its derated rating",
        why: "the reservoir is charged in short pulses, whose rms is far above the direct current they carry",
        worst: "load +, mains +, windings cold",
        limits: "counts the pulse alone; the whole heat is judged by transformer-copper-loss and transformer-winding-temperature",
        source: "exact steady state; windings in series carry it all, in parallel half each, a tapped half its own polarity",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let Some(one) = bench.assembly.winding() else {
        verdicts.push(tell::missing(RULE.page.code, Position::Transformer, "secondary"));
        return;
    };
    let wiring = bench.assembly.wiring;
    let worst = bench.greatest_of(Body::Heavy, |point| wiring.current_of_one(Amps(point.path_rms_a)).0);
    verdicts.push(bench.at_most(RULE.page.code, Position::Transformer, worst, one.current.0, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::{assembly::Wiring, fixture::Fixture};
    use approx::assert_relative_eq;

    /// Law: the rms of a full-wave winding is never below 1.11 (π/2√2) of the direct current, textbook form factor.
    #[test]
    fn the_rms_is_above_the_form_factor_of_the_sine_and_below_three_times_the_direct_current() {
        let stress = Fixture::regulated().stress(&RULE);
        let direct = 1.517;
        assert!(stress.applied > 1.11 * direct && stress.applied < 3.0 * direct, "{}", stress.applied);
        assert!(stress.holds());
    }

    #[test]
    fn windings_in_parallel_share_what_one_would_carry() {
        let parallel = Fixture::regulated().two_windings(Wiring::Parallel);
        let bench = parallel.bench();
        let whole = bench.greatest_of(Body::Heavy, |point| point.path_rms_a).value;
        assert_relative_eq!(parallel.stress(&RULE).applied, whole / 2.0, max_relative = 1e-12);
    }

    #[test]
    fn a_winding_rated_at_the_direct_current_fails() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.secondaries[0].current = crate::quantity::Amps(1.6);
        assert!(!fixture.holds(&RULE));
    }
}

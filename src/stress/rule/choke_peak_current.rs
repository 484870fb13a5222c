//! Peak current of the filter choke.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "choke-peak-current",
        asks: "the peak current of the choke stays where its inductance holds",
        why: "beyond it the core saturates, the inductance collapses and the ripple rises",
        worst: "load +, mains +, L − at the end of C −",
        limits: "steady state; in the surge of switch-on the choke saturates and is counted as its absence",
        source: "rating: the part's row; exact steady state",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (code, at) = (RULE.page.code, Position::SectionChoke);
    let Some(choke) = bench.assembly.choke() else {
        return verdicts.push(tell::idle(code, at, "the rail has no choke"));
    };
    let worst =
        bench.greatest(|point| point.section.and_then(|one| one.choke_a).map_or(0.0, |[_, peak]| peak));
    verdicts.push(bench.at_most(code, at, worst, choke.current_peak.0, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    /// Second method: mean plus the rise of the integral of the whole rectified sine above its mean, 0.2105 V̂/(ω L), a few per
    /// cent off by resistance and the ripple behind it.
    #[test]
    fn the_peak_is_the_load_plus_the_ripple_of_the_choke() {
        let mut fixture = Fixture::choked();
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let henry = 0.9 * fixture.choke.as_ref().unwrap().inductance.0;
        let ripple_a = 0.2105 * bench.emf_peak_v() / (2.0 * std::f64::consts::PI * 49.5 * henry);
        let load_a = bench.supply.load_a.high;
        assert!(
            (stress.applied - load_a - ripple_a).abs() < 0.1 * ripple_a,
            "{stress:?} {ripple_a} {load_a}"
        );
        assert!(stress.holds());
        fixture.choke.as_mut().unwrap().current_peak = Amps(1.55);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

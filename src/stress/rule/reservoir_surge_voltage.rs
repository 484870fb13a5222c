//! Voltage of the reservoir with mains transients against its surge voltage.

use crate::stress::{
    bench::{Bench, Worst},
    registry::{Group, Page, Rule},
    surge,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-surge-voltage",
        asks: "the no-load peak times the policy's transient factor, and what a choke lets it rise to at switch-on, stay within the surge voltage",
        why: "a mains swell charges the reservoir to its own peak; behind a choke input it overshoots at switch-on",
        worst: "mains +, EMF +, no load",
        limits: "how often and how long a swell lasts is for the maker's surge test to cover",
        source: "factor: the policy's parameters; rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    for (at, bank) in bench.assembly.banks() {
        let worst = || {
            let swell = bench.no_load_bank(bench.asked.policy.parameters.transient_factor);
            Worst { value: swell.value.max(surge::overshoot_v(bench, at)), ..swell }
        };
        let stated = (bank.part.surge.map(|volts| volts.0), "surge voltage");
        verdicts.push(bench.against_stated(RULE.page.code, at, stated, Unit::Volts, worst));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 1.5 · 26.438 V = 39.66 V of 44 V.
    #[test]
    fn the_surge_is_the_peak_times_the_factor() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 39.657, max_relative = 1e-4);
        assert!(stress.holds());
        fixture.capacitor.surge = Some(Volts(39.0));
        assert!(!fixture.holds(&RULE));
        fixture.capacitor.surge = None;
        assert!(fixture.misses(&RULE));
    }

    /// Limit: a filter far below the ripple doubles the mean, 4/π of the peak; the policy's factor asks more until it falls below.
    #[test]
    fn a_choke_input_overshoots_at_switch_on() {
        let mut fixture = Fixture::choked();
        fixture.policy.parameters.transient_factor = 1.0;
        let peak_v = fixture.bench().emf_peak_v();
        let stress = fixture.stress(&RULE);
        assert!(stress.applied > 1.27 * peak_v && stress.applied < 1.32 * peak_v, "{stress:?}");
    }
}

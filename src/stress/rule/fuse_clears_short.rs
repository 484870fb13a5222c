//! What interrupts a shorted reservoir.

use crate::stress::{
    bench::Bench,
    fault,
    registry::{Group, Page, Rule},
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "fuse-clears-short",
        asks: "with the reservoir shorted the mains fuse surely opens within the policy's time, or another named means acts",
        why: "a shorted reservoir feeds its whole current into the windings",
        worst: "mains −, EMF −, windings hot: the smallest fault current",
        limits: "between gates only the gate below is promised; the windings warm on during the fault and the current falls",
        source: "gates: IEC 60127-2 or UL 248-14 as makers print them; time: the policy, common practice, no source",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let found = fault::shorted_reservoir(bench);
    verdicts.push(fault::clearing(bench, RULE.page.code, "a shorted reservoir", found));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{catalog::family::transformer::ShortCircuitClass, quantity::Amps};
    use approx::assert_relative_eq;

    /// Source: gates of IEC 60127-2 sheet 3 as makers print them: 2.75 times within 10 s, 4 times within 3 s.
    #[test]
    fn the_gate_below_the_fault_current_sets_the_time() {
        let mut fixture = Fixture::regulated();
        let amps = fault::shorted_reservoir(&fixture.bench()).primary_a;
        for (multiple, seconds) in [(2.8, 10.0), (4.1, 3.0)] {
            fixture.fuse.as_mut().unwrap().rated = Amps(amps / multiple);
            fixture.fuse.as_mut().unwrap().cold_resistance = None;
            let now = fault::shorted_reservoir(&fixture.bench()).primary_a;
            assert!((now / amps - 1.0).abs() < 0.01);
            let stress = fixture.stress(&RULE);
            assert_relative_eq!(stress.applied, seconds, max_relative = 1e-12);
            assert!(stress.holds());
        }
    }

    #[test]
    fn a_fuse_too_large_needs_another_means() {
        let mut fixture = Fixture::regulated();
        fixture.fuse.as_mut().unwrap().rated = Amps(5.0);
        assert!(!fixture.holds(&RULE));
        fixture.transformer.short_circuit = ShortCircuitClass::InherentlyProof;
        assert!(fixture.holds(&RULE));
        fixture.fuse = None;
        assert!(fixture.holds(&RULE));
        fixture.transformer.short_circuit = ShortCircuitClass::NotProof;
        assert!(!fixture.holds(&RULE));
        assert!(fixture.with_cut_out().holds(&RULE));
    }

    #[test]
    fn a_gate_later_than_the_policy_allows_fails() {
        let mut fixture = Fixture::regulated();
        let amps = fault::shorted_reservoir(&fixture.bench()).primary_a;
        fixture.fuse.as_mut().unwrap().rated = Amps(amps / 2.3);
        // Two minutes at 2.1 times the rating, one allowed.
        let stress = fixture.stress(&RULE);
        assert!((stress.applied - 120.0).abs() < 1e-9 && !stress.holds());
        fixture.policy.parameters.fault_time = crate::quantity::Seconds(120.0);
        assert!(fixture.holds(&RULE));
    }
}

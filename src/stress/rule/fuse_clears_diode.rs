//! What interrupts one shorted diode.

use crate::stress::{
    bench::Bench,
    fault,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "fuse-clears-diode",
        asks: "with one diode of the rectifier shorted the mains fuse surely opens within the policy's time, or another named means acts",
        why: "a shorted diode loads the winding every other half period with less current than a shorted reservoir, and a fuse that bears the inrush may carry it for ever",
        worst: "mains −, EMF −, windings hot: the smallest fault current",
        limits: "the dc that saturates the core adds to the primary current and is left out; a half-wave rectifier is left to the shorted reservoir",
        source: "gates: IEC 60127-2 or UL 248-14 as makers print them; time: the policy, common practice, no source",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(found) = fault::shorted_diode(bench) else {
        let why = "a single shorted diode feeds ac to the reservoir, which shorts: see fuse-clears-short";
        return verdicts.push(tell::idle(code, Position::PrimaryFuse, why));
    };
    verdicts.push(fault::clearing(bench, code, "one shorted diode", found));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Seconds},
        stress::fixture::Fixture,
    };

    /// Common practice: a fuse sized for inrush carries one shorted diode, 2 to 2.3 times its rating, and is promised to open
    /// within two minutes only from 2.1 times.
    #[test]
    fn a_fuse_that_bears_inrush_need_not_open_on_one_shorted_diode() {
        let mut fixture = Fixture::regulated();
        fixture.policy.parameters.fault_time = Seconds(120.0);
        let amps = fault::shorted_diode(&fixture.bench()).unwrap().primary_a;
        fixture.fuse.as_mut().unwrap().rated = Amps(amps / 2.0);
        assert!(!fixture.holds(&RULE));
        fixture.fuse.as_mut().unwrap().rated = Amps(amps / 2.3);
        assert!(fixture.holds(&RULE));
        fixture.fuse.as_mut().unwrap().rated = Amps(amps / 2.0);
        assert!(fixture.with_cut_out().holds(&RULE));
    }

    #[test]
    fn a_half_wave_rectifier_is_left_to_the_shorted_reservoir() {
        assert!(Fixture::regulated().half_wave().idle(&RULE));
    }
}

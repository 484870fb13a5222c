//! rms current of one diode against its rating.

use crate::circuit::supply::Body;
use crate::stress::{
    bench::Bench,
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-rms-current",
        asks: "the rms current of one diode stays within its derated rating",
        why: "short pulses of the same average heat leads and bond wires with their square",
        worst: "load +, mains +, windings cold",
        limits: "says nothing of the junction; see rectifier-junction-temperature",
        source: "exact steady state; rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let stated = (junction::element(bench).rms_max.map(|amps| amps.0), "rms forward current");
    let worst = || bench.greatest_of(Body::Light, |point| point.diode_rms_a);
    verdicts.push(bench.against_stated(RULE.page.code, Position::Rectifier, stated, Unit::Amps, worst));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// Law: each pulse of a bridge flows through two of four diodes, so one has 1/√2 of the winding's rms.
    #[test]
    fn one_diode_of_a_bridge_has_the_windings_rms_over_root_two() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        let path = fixture.bench().greatest(|point| point.path_rms_a).value;
        assert_relative_eq!(stress.applied, path / std::f64::consts::SQRT_2, max_relative = 1e-9);
        assert!(stress.holds());
    }

    #[test]
    fn a_rating_below_the_average_fails_and_none_is_missing() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.rms_max = Some(Amps(1.2));
        assert!(!fixture.holds(&RULE));
        fixture.bridge.element.rms_max = None;
        assert!(fixture.misses(&RULE));
    }
}

//! Peak reverse voltage of the rectifier against its repetitive rating.

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
        code: "rectifier-reverse-voltage",
        asks: "the peak reverse voltage of one diode at no load and high mains stays within its derated V_RRM",
        why: "a junction that breaks down is a short across the winding",
        worst: "mains +, EMF +, no load",
        limits: "steady mains only; see rectifier-transient-voltage",
        source: "half-wave and centre-tap 2 · V_pk, bridge V_pk, with a reservoir; V_pk = √2 · k · V_rated · (1 + tolerance) · mains high",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let worst = bench.no_load_emf(junction::reverse_multiple(bench.assembly.topology));
    let rating = junction::element(bench).reverse_repetitive.0;
    verdicts.push(bench.at_most(RULE.page.code, Position::Rectifier, worst, rating, Unit::Volts));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Ratio, Volts},
        stress::{assembly::Wiring, fixture::Fixture},
    };
    use approx::assert_relative_eq;

    /// By hand: √2 · 15 V · 1.1 · 1.03 · 1.1 = 26.438 V.
    #[test]
    fn a_bridge_sees_the_no_load_peak_once() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 26.438, max_relative = 1e-4);
        assert!(stress.holds());
    }

    /// Source: Handbook for Sound Engineers, Table 19-1, and a transformer selection sheet: twice the peak.
    #[test]
    fn half_wave_and_centre_tap_see_it_twice() {
        let tapped = Fixture::regulated().two_windings(Wiring::CentreTap).stress(&RULE);
        assert_relative_eq!(tapped.applied, 52.876, max_relative = 1e-4);
        let half = Fixture::raw().half_wave().stress(&RULE);
        assert_relative_eq!(half.applied, 52.876, max_relative = 1e-4);
    }

    #[test]
    fn half_the_rating_by_policy_refuses_a_50_v_part() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.reverse_repetitive = Volts(50.0);
        assert!(fixture.holds(&RULE));
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.5)));
        assert!(!fixture.holds(&RULE));
    }
}

//! Heating integral of the first half cycle at switch-on against the part's.

use crate::stress::{
    bench::Bench,
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    surge::{self, Limiter},
    tell,
    verdict::{EQUALITY, Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-surge-i2t",
        asks: "the integral of the squared current over the first half cycle stays within the derated I²t",
        why: "what melts a die or its wire is energy, whatever the shape of the pulse",
        worst: "as rectifier-surge-current",
        limits: "one half cycle; the maker's integral is on a 10 ms basis",
        source: "bound min(i_pk² · T/4, i_pk · (C · V_pk + I · T/2)) where it suffices, else the exact worst over all phases; rating: the part's row",
    },
    group: Group::Surge,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(rating) = junction::element(bench).i2t else {
        verdicts.push(tell::missing(code, Position::Rectifier, "heating integral"));
        return;
    };
    let (limit, origin) = bench.upper(code, rating.0);
    let first =
        |state| surge::first_half_cycle(bench, state, |found| found.integral_a2s <= limit * (1.0 + EQUALITY));
    let found = first(Limiter::Hot);
    let cold = bench.assembly.limiter.map(|_| first(Limiter::Cold).integral_a2s);
    let how = if found.bound { surge::BOUND_NOTE } else { "" };
    let unit = Unit::AmpsSquaredSeconds;
    let plain = tell::stress(code, Position::Rectifier, unit, Sense::AtMost, found.integral_a2s, limit);
    verdicts.push(Verdict::Stress(Stress {
        rating: Some(rating.0),
        origin,
        note: surge::note(how, cold.map(|integral| (integral, "A²s"))),
        ..plain
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{AmpsSquaredSeconds, Farads},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: a half sine of the bound's peak and the longest half period, 1/(2 · 49.5) s.
    #[test]
    fn a_large_reservoir_is_bounded_by_the_half_sine_of_the_peak() {
        let mut fixture = Fixture::regulated();
        fixture.capacitor.capacitance = Farads(0.1);
        let stress = fixture.stress(&RULE);
        let peak = surge::first_half_cycle(&fixture.bench(), Limiter::Hot, |_| true).peak_a;
        assert_relative_eq!(stress.applied, peak * peak / 49.5 / 4.0, max_relative = 1e-9);
        assert!(stress.holds());
    }

    /// By hand: 47 µF + 20 % at 26.438 V and 1.517 A for 10.1 ms, times the peak.
    #[test]
    fn a_small_reservoir_is_bounded_by_its_charge() {
        let mut fixture = Fixture::regulated();
        let peak = surge::first_half_cycle(&fixture.bench(), Limiter::Hot, |_| true).peak_a;
        fixture.capacitor.capacitance = Farads(47e-6);
        fixture.requirement.rails[0].current_max = crate::quantity::Amps(0.1);
        let charge = 47e-6 * 1.2 * 26.438 + 0.117 / 99.0;
        assert_relative_eq!(fixture.stress(&RULE).applied, peak * charge, max_relative = 1e-3);
    }

    #[test]
    fn the_exact_worst_phase_is_asked_for_where_the_bound_fails() {
        let mut fixture = Fixture::regulated();
        let bound = fixture.stress(&RULE);
        assert!(bound.note.contains("upper bound"));
        fixture.bridge.element.i2t = Some(AmpsSquaredSeconds(0.99 * bound.applied));
        let exact = fixture.stress(&RULE);
        assert!(exact.applied < bound.applied && exact.note.is_empty() && exact.holds());
    }

    #[test]
    fn a_small_part_fails_and_none_stated_is_missing() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.i2t = Some(AmpsSquaredSeconds(2.0));
        assert!(!fixture.holds(&RULE));
        fixture.bridge.element.i2t = None;
        assert!(fixture.misses(&RULE));
    }
}

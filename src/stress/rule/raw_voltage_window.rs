//! Voltage of an unregulated rail against its window.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "raw-voltage-window",
        asks: "the mean voltage of an unregulated rail stays within its window over all mains and load, no load included unless a choke needs some",
        why: "regulation of the winding, mains tolerance and diode drop all reach the load",
        worst: "upper end: mains +, EMF +, no load (of a choke input the least load); lower end: mains −, EMF −, load +, warmed up",
        limits: "the mean; ripple about it is judged by raw-ripple",
        source: "exact steady state, and at no load the peak; window: the requirement",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if bench.assembly.regulation.is_some() {
        verdicts.push(tell::idle(code, Position::Reservoir, "the rail is regulated"));
        return;
    }
    let rail = bench.asked.rail;
    let window = |sign: f64| rail.voltage.0 * (1.0 + sign * rail.tolerance.0);
    // Behind a choke input the least load stays connected, as its own rule says.
    let highest = match bench.assembly.choke_input() {
        Some(_) => bench.greatest(|point| point.mean_v),
        None => bench.no_load(1.0),
    };
    let lowest = bench.least(|point| point.mean_v);
    for (sense, worst, limit) in
        [(Sense::AtMost, highest, window(1.0)), (Sense::AtLeast, lowest, window(-1.0))]
    {
        let plain = tell::stress(code, Position::Reservoir, Unit::Volts, sense, worst.value, limit);
        verdicts.push(Verdict::Stress(Stress {
            vertex: Some(worst.vertex),
            origin: Origin::Requirement,
            ..plain
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Ratio, Volts},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: 26.438 V without load; 21 V ± 30 % is 14.7 V to 27.3 V.
    #[test]
    fn the_window_reaches_from_full_load_at_low_mains_to_no_load_at_high_mains() {
        let verdicts = Fixture::raw().judged(&RULE);
        let [Verdict::Stress(upper), Verdict::Stress(lower)] = verdicts.as_slice() else {
            panic!("two ends: {verdicts:?}");
        };
        assert_relative_eq!(upper.applied, 26.438, max_relative = 1e-4);
        assert_relative_eq!(upper.limit, 27.3, max_relative = 1e-12);
        assert_relative_eq!(lower.limit, 14.7, max_relative = 1e-12);
        // Peak at low mains, √2 · 16.5 V · 0.97 · 0.9 = 20.37 V, less two drops, ripple and winding.
        assert!(lower.applied < 20.37 - 1.6 && lower.applied > 14.7);
        assert!(upper.holds() && lower.holds());
    }

    #[test]
    fn either_end_fails_on_its_own() {
        let mut fixture = Fixture::raw();
        fixture.requirement.rails[0].tolerance = Ratio(0.2);
        let ends =
            |fixture: &Fixture| -> Vec<bool> { fixture.judged(&RULE).iter().map(Verdict::holds).collect() };
        assert_eq!(ends(&fixture), [false, false]);
        fixture.requirement.rails[0].voltage = Volts(18.0);
        assert_eq!(ends(&fixture), [false, true]);
        assert!(Fixture::regulated().idle(&RULE));
    }
}

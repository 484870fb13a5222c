//! Output current of the regulator.

use crate::stress::{
    bench::{Bench, Worst},
    pass_point::PassNumbers,
    position::Position,
    registry::{Group, Page, Rule},
    stage, tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-output-current",
        asks: "load, set resistors and minimum-load resistor together stay within the derated guaranteed current",
        why: "above its guaranteed current a part may limit before it regulates",
        worst: "load +",
        limits: "a peak load counts as if it lasted",
        source: "rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(regulation) = &bench.assembly.regulation else {
        return verdicts.push(tell::idle(code, Position::Regulator, "the rail has no regulator"));
    };
    let load = bench.greatest(|point| point.load_a);
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    // Pass transistors leave the regulator its drive resistor's current and their base currents.
    let value = regulation
        .pass
        .as_ref()
        .map_or(through_a, |pass| PassNumbers::of(bench.asked, pass).regulator(through_a).0);
    let worst = Worst { value, ..load };
    let rating = regulation.part.output_current.0;
    verdicts.push(bench.at_most(code, Position::Regulator, worst, rating, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{policy::LimitKind, quantity::Ratio};
    use approx::assert_relative_eq;

    /// By hand: 1.5 A and 1.275 V over 120 Ω less 1.125 % through the set resistors, against 2 A.
    #[test]
    fn the_set_resistors_count_with_the_load() {
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 1.5 + 1.275 / (120.0 * 0.98875), max_relative = 1e-9);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.75)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_raw_rail_has_nothing_to_judge() {
        assert!(Fixture::raw().idle(&RULE));
    }
}

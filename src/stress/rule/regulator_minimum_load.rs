//! Least current through the regulator against its minimum load.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    resistor, stage, tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-minimum-load",
        asks: "least load, set resistors and minimum-load resistor draw at least the greatest minimum load the maker states",
        why: "below its minimum load a floating regulator's output rises toward the input",
        worst: "load −, output −, resistors +",
        limits: "the adjust current is left out, which is never optimistic",
        source: "rating: the part's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some((stage, output)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(tell::idle(code, Position::Regulator, "the rail has no regulator"));
    };
    let Some(needed) = stage.part.minimum_load_max else {
        return verdicts.push(tell::idle(code, Position::Regulator, "the part needs no minimum load"));
    };
    let asked = bench.asked;
    let set_a = stage.set.map_or(0.0, |(upper, _)| stage::set_current_a(asked, stage.part, upper, false));
    let resistor_a =
        stage.minimum_load.map_or(0.0, |choice| output.low_v / resistor::greatest_ohm(asked, choice));
    let drawn = asked.rail.current_min.0 + set_a + resistor_a;
    let (ratio, origin) = bench.figure(code, 1.0);
    let stress = tell::stress(code, Position::Regulator, Unit::Amps, Sense::AtLeast, drawn, ratio * needed.0);
    verdicts.push(Verdict::Stress(Stress { rating: Some(needed.0), origin, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Amps;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 1.225 V over 240 Ω and 1.125 %: 5.05 mA; 12 V over 2.2 kΩ adds 5.3 mA.
    #[test]
    fn set_and_minimum_load_resistors_draw_what_the_load_does_not() {
        let mut fixture = Fixture::adjustable(240.0, 2000.0);
        assert!(fixture.holds(&RULE));
        fixture.rail().current_min = Amps(0.0);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 1.225 / (240.0 * 1.01125), max_relative = 1e-9);
        assert!(!stress.holds());
        fixture.minimum_load = Some(2200.0);
        let low = fixture.output.low_v;
        let stress = fixture.stress(&RULE);
        let by_hand = 1.225 / (240.0 * 1.01125) + low / (2200.0 * 1.01125);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-9);
        assert!(stress.holds());
    }

    #[test]
    fn a_part_that_needs_none_is_idle() {
        assert!(Fixture::regulated().idle(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

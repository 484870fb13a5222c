//! Capacitor at the output of the regulator.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    small_capacitor::Place,
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-output-capacitor",
        asks: "it stands the greatest output, and lies in the window of capacitance and ESR that keeps the regulator stable",
        why: "a regulator oscillates outside its window",
        worst: "output +; capacitance − with bias, and + with that of the load",
        limits: "ESR is that of 20 °C; an aluminium part's grows in the cold",
        source: "window: the regulator's row; ratings: the capacitor's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some((stage, output)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(tell::idle(code, Position::OutputCapacitor, "the rail has no regulator"));
    };
    let place = Place {
        code,
        position: Position::OutputCapacitor,
        window: stage.part.output_capacitor,
        volts: output.high_v,
        beside: bench.asked.rail.load_capacitance,
    };
    place.judge(bench, stage.output, verdicts);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Farads, Volts},
        stress::fixture::Fixture,
    };

    /// By hand: 12.24 V against 50 V; 9 µF against 1 µF.
    #[test]
    fn the_window_bounds_the_capacitance_both_ways() {
        let mut fixture = Fixture::regulated();
        assert!(fixture.holds(&RULE));
        let mut window = fixture.regulator.as_ref().unwrap().output_capacitor.unwrap();
        window.max = Some(Farads(20e-6));
        fixture.regulator.as_mut().unwrap().output_capacitor = Some(window);
        assert!(fixture.holds(&RULE));
        fixture.rail().load_capacitance = Farads(47e-6);
        assert!(!fixture.holds(&RULE));
        window.max = None;
        window.min = Farads(10e-6);
        fixture.regulator.as_mut().unwrap().output_capacitor = Some(window);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_small_voltage_rating_fails() {
        let mut fixture = Fixture::regulated();
        fixture.small.rated = Volts(10.0);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

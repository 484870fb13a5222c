//! Capacitor at the input of the regulator.

use crate::{
    quantity::Farads,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        small_capacitor::Place,
        surge, tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-input-capacitor",
        asks: "it stands the greatest input, and lies in the window of capacitance and ESR that the regulator's maker asks for",
        why: "a regulator far from its reservoir oscillates without it",
        worst: "mains +, EMF +, no load; capacitance − with bias",
        limits: "how near it stands to the part is for the layout; ESR is that of 20 °C",
        source: "window: the regulator's row; ratings: the capacitor's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some((stage, _)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(tell::idle(code, Position::InputCapacitor, "the rail has no regulator"));
    };
    let place = Place {
        code,
        position: Position::InputCapacitor,
        window: stage.part.input_capacitor,
        volts: surge::input_peak(bench).value,
        beside: Farads(0.0),
    };
    place.judge(bench, stage.input, verdicts);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Ohms, Volts},
        stress::{fixture::Fixture, verdict::Unit},
    };

    /// By hand: 26.44 V against 50 V, 9 µF against 1 µF, 0.1 Ω against 2 Ω.
    #[test]
    fn a_film_capacitor_of_ten_microfarads_does() {
        let mut fixture = Fixture::regulated();
        let found = fixture.judged(&RULE);
        assert_eq!(found.len(), 3);
        assert!(found.iter().all(Verdict::holds));
        fixture.small.rated = Volts(25.0);
        let [Verdict::Stress(volts), ..] = &fixture.judged(&RULE)[..] else { panic!("a voltage first") };
        assert!(!volts.holds() && volts.unit == Unit::Volts);
    }

    #[test]
    fn a_capacitor_without_a_stated_esr_misses_it_where_the_window_needs_it() {
        let mut fixture = Fixture::regulated();
        fixture.small.esr_max = None;
        assert!(!fixture.holds(&RULE));
        let mut window = fixture.regulator.as_ref().unwrap().input_capacitor.unwrap();
        window.esr_max = None;
        window.esr_min = Some(Ohms(0.01));
        fixture.regulator.as_mut().unwrap().input_capacitor = Some(window);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

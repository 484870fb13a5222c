//! Voltage of the resistors.

use crate::stress::{
    assembly::Section,
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    resistor::{self, Loaded},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "resistor-voltage",
        asks: "section, set, minimum-load and bleeder resistors stay within the derated limiting voltage of their series",
        why: "a film breaks down along its spiral whatever its power",
        worst: "output +; bleeder, and section resistor at switch-on: mains +, EMF +, no load",
        limits: "dc or rms; pulses are not judged",
        source: "rating: the series' row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let before = verdicts.len();
    let whole = |position| move |choice| Loaded { position, choice, volts: bench.no_load_peak_v() };
    let bleeder = bench.assembly.bleeder.map(whole(Position::Bleeder));
    let section = bench.assembly.section.and_then(Section::resistor).map(whole(Position::SectionResistor));
    for loaded in resistor::around_regulator(bench).chain(bleeder).chain(section) {
        let rating = loaded.choice.series.voltage_max.0;
        let stress = bench.against(code, loaded.position, loaded.volts, rating, Unit::Volts);
        verdicts.push(Verdict::Stress(stress));
    }
    if verdicts.len() == before {
        verdicts.push(tell::idle(code, Position::Bleeder, "no resistor in the rail"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, stress::fixture::Fixture};

    /// By hand: the bleeder stands 26.44 V.
    #[test]
    fn the_bleeder_stands_the_no_load_peak() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert!((stress.applied - 26.438).abs() < 1e-3 && stress.holds());
        fixture.resistors.voltage_max = Volts(25.0);
        assert!(!fixture.holds(&RULE));
        fixture.bleeder = None;
        assert!(fixture.idle(&RULE));
        assert_eq!(Fixture::adjustable(120.0, 1020.0).judged(&RULE).len(), 3);
        assert_eq!(Fixture::smoothed(2.0).judged(&RULE).len(), 2);
    }
}

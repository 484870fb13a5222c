//! Power of the resistors around the regulator.

use crate::{
    circuit::{operate::OperatingPoint, supply::Body},
    stress::{
        assembly::Section,
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        resistor, tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "resistor-power",
        asks: "section, set, minimum-load, ballast and drive resistors stay within the derated power at the air inside",
        why: "a hot set resistor drifts and takes the output with it; a section resistor carries the whole load",
        worst: "output +, resistors −, ambient +; section resistor: load +, its ripple in it",
        limits: "the bleeder has its own rule; the pulse of switch-on in a section resistor is not judged",
        source: "P = V²/R, I_rms² R; rating: the series' row, straight to nothing at its end",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let before = verdicts.len();
    if let Some(choice) = bench.assembly.section.and_then(Section::resistor) {
        let worst = bench.greatest_of(Body::Light, OperatingPoint::section_w);
        let rating = resistor::power_rating(bench.asked, choice.series);
        verdicts.push(bench.at_most(code, Position::SectionResistor, worst, rating, Unit::Watts));
    }
    for loaded in resistor::around_regulator(bench) {
        let watts = loaded.volts * loaded.volts / resistor::least_ohm(bench.asked, loaded.choice);
        let rating = resistor::power_rating(bench.asked, loaded.choice.series);
        let stress = bench.against(code, loaded.position, watts, rating, Unit::Watts);
        verdicts.push(Verdict::Stress(stress));
    }
    if verdicts.len() == before {
        verdicts.push(tell::idle(code, Position::SetUpper, "no such resistor in the rail"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Watts;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 1.275² V² over 120 Ω less 1.125 %: 13.7 mW; the greatest output less 1.225 V, squared, over 1020 Ω less 1.125 %.
    #[test]
    fn set_resistors_take_their_voltage_squared_over_their_least_value() {
        let mut fixture = Fixture::adjustable(120.0, 1020.0);
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(upper), Verdict::Stress(lower)] = &found[..] else { panic!("{found:?}") };
        assert_relative_eq!(upper.applied, 1.275 * 1.275 / (120.0 * 0.98875), max_relative = 1e-9);
        let across = fixture.output.high_v - 1.225;
        assert_relative_eq!(lower.applied, across * across / (1020.0 * 0.98875), max_relative = 1e-9);
        assert!(upper.holds() && lower.holds());
        fixture.resistors.power = Watts(0.1);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }

    /// By hand: 1.512 A through 2 Ω and 1.125 % is 4.62 W; the ripple that the resistor passes adds a few per cent.
    #[test]
    fn a_section_resistor_carries_the_load_and_its_ripple() {
        let mut fixture = Fixture::smoothed(2.0);
        let stress = fixture.stress(&RULE);
        let alone = 1.512 * 1.512 * 2.0 * 1.01125;
        assert_eq!(stress.position, Position::SectionResistor);
        assert!(stress.applied > alone && stress.applied < 1.1 * alone, "{stress:?}");
        assert!(!stress.holds());
        fixture.resistors.power = Watts(10.0);
        assert!(fixture.holds(&RULE));
    }
}

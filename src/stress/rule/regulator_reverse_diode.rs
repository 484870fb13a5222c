//! Diode from output to input of the regulator.

use crate::{
    catalog::family::rectifier::Element,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        surge, tell,
        verdict::{Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-reverse-diode",
        asks: "it is fitted where the maker asks for it, blocks the whole input, and bears the charge of the output capacitors",
        why: "with the input shorted the output capacitors discharge backward through the pass element",
        worst: "mains +, EMF +, no load; output +, ESR −",
        limits: "the discharge is bounded by its energy in the least ESR of the output capacitor and the diode's slope",
        source: "∫i² = C V²/(2R): derived; ratings: the diode's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some((stage, output)) = bench.assembly.regulation.as_ref().zip(bench.output) else {
        return verdicts.push(tell::idle(code, Position::ReverseDiode, "the rail has no regulator"));
    };
    let Some(diode) = stage.reverse_diode else {
        verdicts.push(if stage.part.wants_reverse_diode {
            let text = "the maker asks for a diode from output to input and none is fitted".to_owned();
            tell::fact(code, Position::ReverseDiode, false, text)
        } else {
            tell::idle(code, Position::ReverseDiode, "the maker asks for none")
        });
        return;
    };
    let element = &diode.element;
    verdicts.push(bench.at_most(
        code,
        Position::ReverseDiode,
        surge::input_peak(bench),
        element.reverse_repetitive.0,
        Unit::Volts,
    ));
    let fitted = stage.output.map_or(0.0, |part| part.capacitance.0 * (1.0 + part.tolerance.0));
    let farad = fitted + bench.asked.rail.load_capacitance.0;
    let esr = stage.output.and_then(|part| part.esr_min).map_or(0.0, |ohms| ohms.0);
    let (slope_ohm, rating) = (slope_ohm(element), element.i2t);
    let Some(rating) = rating else {
        return verdicts.push(tell::missing(code, Position::ReverseDiode, "heating integral"));
    };
    let integral = farad * output.high_v * output.high_v / (2.0 * (esr + slope_ohm));
    let stress = tell::stress(
        code,
        Position::ReverseDiode,
        Unit::AmpsSquaredSeconds,
        Sense::AtMost,
        integral,
        rating.0,
    );
    verdicts.push(Verdict::Stress(Stress { rating: Some(rating.0), ..stress }));
}

/// Least slope between two stated points of the forward characteristic, Ω.
fn slope_ohm(element: &Element) -> f64 {
    let slopes = element.forward.windows(2).filter_map(|pair| match pair {
        [a, b] if a.junction == b.junction && b.current.0 > a.current.0 => {
            Some((b.voltage.0 - a.voltage.0) / (b.current.0 - a.current.0))
        }
        _ => None,
    });
    slopes.fold(f64::INFINITY, f64::min).max(1e-3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Farads, Volts};
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 26.44 V against 100 V; 11 µF at 12.24 V through 1 mΩ and 50 mΩ: 0.0162 A²s against 112.5 A²s.
    #[test]
    fn a_rectifier_diode_bears_a_small_output_capacitor() {
        let mut fixture = Fixture::regulated();
        assert!(fixture.idle(&RULE));
        fixture.reverse_diode = true;
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(volts), Verdict::Stress(integral)] = &found[..] else { panic!("{found:?}") };
        assert!(volts.holds() && integral.holds());
        assert_relative_eq!(integral.applied, 11e-6 * 12.24 * 12.24 / (2.0 * 0.051), max_relative = 1e-6);
        fixture.rail().load_capacitance = Farads(0.1);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn one_that_is_asked_for_and_missing_fails_as_does_one_of_low_voltage() {
        let mut fixture = Fixture::adjustable(120.0, 1020.0);
        assert!(fixture.holds(&RULE));
        fixture.diode.element.reverse_repetitive = Volts(20.0);
        assert!(!fixture.holds(&RULE));
        fixture.reverse_diode = false;
        assert!(!fixture.holds(&RULE));
        fixture.reverse_diode = true;
        fixture.diode.element.i2t = None;
        assert!(fixture.judged(&RULE).iter().any(|one| matches!(one, Verdict::MissingRating { .. })));
    }
}

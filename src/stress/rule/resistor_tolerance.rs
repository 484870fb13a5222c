//! Whether each resistor is a value of its series.

use crate::{
    quantity::{Ohms, Quantity},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        resistor, tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "resistor-tolerance",
        asks: "each resistor has a preferred value of its series, between the ends that the maker offers",
        why: "a value that is not made cannot be bought, and its tolerance is nobody's",
        worst: "none",
        limits: "what tolerance and temperature coefficient do to the output is judged by regulator-accuracy",
        source: "IEC 60063 preferred values (E3 to E24 from memory, finer ones computed); ends: the series' row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let before = verdicts.len();
    let around = resistor::around_regulator(bench).map(|loaded| (loaded.position, loaded.choice));
    let bleeder = bench.assembly.bleeder.map(|choice| (Position::Bleeder, choice));
    for (position, choice) in around.chain(bleeder) {
        let Ohms(value) = choice.value;
        let near = resistor::values_of(choice.series).and_then(|series| series.nearest(value));
        let preferred = near.is_some_and(|near| (near - value).abs() <= 1e-9 * value);
        let offered =
            value >= choice.series.from.0 * (1.0 - 1e-9) && value <= choice.series.to.0 * (1.0 + 1e-9);
        let text = if preferred && offered {
            String::new()
        } else {
            let why = if preferred { "outside the ends of" } else { "not a preferred value of" };
            format!("{} is {why} series `{}`", choice.value.to_exact_text(), choice.series.common.id)
        };
        verdicts.push(tell::fact(code, position, preferred && offered, text));
    }
    if verdicts.len() == before {
        verdicts.push(tell::idle(code, Position::Bleeder, "no resistor in the rail"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;

    /// Source: IEC 60063, E24 (from memory): 1.0 and 2.2 are values, 1.02 is not (it is one of E96).
    #[test]
    fn a_value_between_two_preferred_ones_fails() {
        assert!(Fixture::regulated().holds(&RULE));
        let mut fixture = Fixture::adjustable(120.0, 1000.0);
        assert!(fixture.holds(&RULE));
        fixture.set = Some((120.0, 1020.0));
        assert!(!fixture.holds(&RULE));
        fixture.resistors.per_decade = 96;
        fixture.set = Some((121.0, 1020.0));
        fixture.bleeder = None;
        assert!(fixture.holds(&RULE));
        fixture.resistors.from = Ohms(200.0);
        assert!(!fixture.holds(&RULE));
        fixture.set = None;
        assert!(fixture.idle(&RULE));
    }
}

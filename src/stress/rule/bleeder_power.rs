//! Power of the bleeder.

use crate::{
    physics::bleeder::power,
    quantity::{Ohms, Volts},
    stress::{
        bench::{Bench, Worst},
        position::Position,
        registry::{Group, Page, Rule},
        resistor, tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "bleeder-power",
        asks: "the bleeder stays within the derated power at the air inside",
        why: "it is on as long as the mains is, at the highest voltage of the rail",
        worst: "mains +, EMF +, no load, R −, ambient +",
        limits: "the ripple is not taken off: the peak counts as if it lasted",
        source: "P = V²/R; rating: the series' row, straight to nothing at its end",
    },
    group: Group::Bleeder,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(choice) = bench.assembly.bleeder else {
        return verdicts.push(tell::idle(code, Position::Bleeder, "the rail has no bleeder"));
    };
    let no_load = bench.no_load(1.0);
    let watts = power(Volts(no_load.value), Ohms(resistor::least_ohm(bench.asked, choice)));
    let rating = resistor::power_rating(bench.asked, choice.series);
    let worst = Worst { value: watts.0, ..no_load };
    verdicts.push(bench.at_most(code, Position::Bleeder, worst, rating, Unit::Watts));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{policy::LimitKind, quantity::Ratio};
    use approx::assert_relative_eq;

    /// By hand: 26.438² V² over 2.2 kΩ less 1.125 %: 0.3213 W of 0.6 W.
    #[test]
    fn the_bleeder_takes_the_square_of_the_no_load_peak() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 26.438 * 26.438 / (2200.0 * 0.98875), max_relative = 1e-4);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.5)));
        assert!(!fixture.holds(&RULE));
        fixture.bleeder = None;
        assert!(fixture.idle(&RULE));
    }
}

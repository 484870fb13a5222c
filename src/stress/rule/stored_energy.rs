//! Energy the reservoir holds: a caution, never a failure.

use crate::{
    physics::bleeder::stored_energy,
    quantity::{Farads, Volts},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::Verdict,
    },
};

/// Energy from which the text cautions, J: usual warn line, from memory.
const CAUTION_J: f64 = 2.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "stored-energy",
        asks: "how much energy the reservoir holds at no load and high mains",
        why: "a charged reservoir burns tools and fingers long after the mains is off",
        worst: "mains +, EMF +, C +, no load",
        limits: "a caution, never a failure; how fast it is discharged is judged by bleeder-discharge-time",
        source: "C · V²/2, of a second section both banks; cautioned from 2 J, a usual warn line (from memory)",
    },
    group: Group::Whole,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let volts = bench.no_load_peak_v();
    let joules = stored_energy(Farads(bench.stored_farad()), Volts(volts)).0;
    let caution = if joules >= CAUTION_J { "; caution: discharge and measure before touching" } else { "" };
    let text = format!("{joules:.2} J at {volts:.1} V{caution}");
    verdicts.push(tell::fact(RULE.page.code, Position::Reservoir, true, text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;

    fn text(fixture: &Fixture) -> String {
        match fixture.judged(&RULE).as_slice() {
            [Verdict::Fact { holds: true, text, .. }] => text.clone(),
            other => panic!("not one fact that holds: {other:?}"),
        }
    }

    /// By hand: 12 000 µF at 26.438 V: 4.19 J; a tenth of it 0.42 J.
    #[test]
    fn four_joules_are_cautioned_and_half_a_joule_is_told() {
        let mut fixture = Fixture::regulated();
        assert!(text(&fixture).starts_with("4.19 J at 26.4 V; caution"));
        fixture.capacitor.capacitance = Farads(0.001);
        assert_eq!(text(&fixture), "0.42 J at 26.4 V");
    }
}

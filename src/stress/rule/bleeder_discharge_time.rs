//! How long the bleeder takes to discharge the reservoir.

use crate::{
    policy::Known,
    quantity::{Ohms, Volts},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        resistor, tell,
        verdict::{Origin, Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "bleeder-discharge-time",
        asks: "through the bleeder alone the reservoir falls to the policy's voltage within the policy's time after the mains goes off",
        why: "a reservoir without load stays charged for hours",
        worst: "C +, R +, mains +, EMF +, no load",
        limits: "only the bleeder counts; regulator and load discharge it sooner but may be absent",
        source: "t = R C ln(V_0/V_d), through a second section that of its slowest motion; time and voltage: the policy, common practice, no source",
    },
    group: Group::Bleeder,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let parameters = &bench.asked.policy.parameters;
    let peak_v = bench.no_load_peak_v();
    if peak_v <= parameters.discharge_voltage.0 {
        let why = "the no-load peak is no higher than the policy's discharge voltage";
        return verdicts.push(tell::idle(code, Position::Bleeder, why));
    }
    let Some(choice) = bench.assembly.bleeder else {
        let text = format!("nothing discharges the reservoir from {peak_v:.1} V");
        return verdicts.push(tell::fact(code, Position::Bleeder, false, text));
    };
    let across = Ohms(resistor::greatest_ohm(bench.asked, choice));
    let (from, to) = (Volts(peak_v), parameters.discharge_voltage);
    let time = resistor::discharge_time(bench, across, from, to);
    let limit = parameters.discharge_time.0;
    let stress = tell::stress(code, Position::Bleeder, Unit::Seconds, Sense::AtMost, time.0, limit);
    let clause = "parameters: discharge_time".to_owned();
    let origin = Origin::Policy { clause, known: Known::CommonPractice };
    verdicts.push(Verdict::Stress(Stress { origin, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{physics::bleeder::discharge_time, quantity::Farads, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 2.2 kΩ and 1.125 %, 12 mF, ln(26.438/10): 25.96 s of 60 s.
    #[test]
    fn the_bleeder_alone_takes_its_time_constants() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 2200.0 * 1.01125 * 0.012 * 2.6438_f64.ln(), max_relative = 1e-4);
        assert!(stress.holds());
        fixture.bleeder = Some(10e3);
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: both banks of 12 mF through the bleeder, the first through 10 Ω more: a little above the time constant of all.
    #[test]
    fn a_second_bank_takes_as_long_again() {
        let stress = Fixture::smoothed(10.0).stress(&RULE);
        let alone = 2200.0 * 1.01125 * 0.024 * 2.6438_f64.ln();
        assert!(stress.applied > alone && stress.applied < 1.01 * alone, "{stress:?} {alone}");
    }

    /// Source: common bleeder relation (from memory): 10 mF from 60 V to 10 V in 30 s takes 1674 Ω.
    #[test]
    fn none_is_needed_below_the_policys_voltage_and_none_fails_above() {
        assert_relative_eq!(
            discharge_time(Ohms(1674.33), Farads(0.01), Volts(60.0), Volts(10.0)).0,
            30.0,
            max_relative = 1e-4
        );
        let mut fixture = Fixture::regulated();
        fixture.bleeder = None;
        assert!(!fixture.holds(&RULE));
        fixture.policy.parameters.discharge_voltage = Volts(30.0);
        assert!(fixture.idle(&RULE));
    }
}

//! Melting integral of the fuses against switch-on.

use crate::{
    policy::Known,
    stress::{
        bench::Bench,
        position::Position,
        primary_inrush,
        registry::{Group, Page, Rule},
        surge::{self, Limiter},
        tell,
        verdict::{Origin, Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "fuse-inrush",
        asks: "the least melting integral exceeds, by the policy's pulse factor, the worse of reservoir charging and core magnetising",
        why: "a fuse that half melts at each switch-on opens after a few hundred of them",
        worst: "mains +, EMF +, C +, windings cold, limiter cold; worst phases differ, so the two are not added",
        limits: "charging is an upper bound over all cycles; magnetising one half-sine of the half period, later pulses are smaller; a restart with the limiter hot is not counted",
        source: "C V²/(2R) and I_pk² T/4: derived; pulse factor: common practice, no source",
    },
    group: Group::Fuse,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let factor = bench.asked.policy.parameters.fuse_pulse_factor;
    let mut put = |position, melting: f64, inrush: f64, note: &str| {
        let (ratio, _) = bench.figure(code, 1.0);
        let stress = tell::stress(
            code,
            position,
            Unit::AmpsSquaredSeconds,
            Sense::AtLeast,
            melting,
            ratio * factor * inrush,
        );
        let clause = "parameters: fuse_pulse_factor".to_owned();
        let origin = Origin::Policy { clause, known: Known::CommonPractice };
        verdicts.push(Verdict::Stress(Stress {
            rating: Some(melting),
            origin,
            note: note.to_owned(),
            ..stress
        }));
    };
    if let Some(fuse) = bench.assembly.primary_fuse {
        let found = primary_inrush::inrush(bench, Limiter::Cold);
        let note = if found.charging_a2s >= found.core_a2s {
            "charging of the reservoir: upper bound"
        } else if found.core_bound {
            "magnetising of the core: bound √2 V_high/R, a half-sine of the half period"
        } else {
            "magnetising of the core: stated peak, a half-sine of the half period"
        };
        put(Position::PrimaryFuse, fuse.melting_i2t.0, found.greatest_a2s(), note);
    }
    if let Some(fuse) = bench.assembly.secondary_fuse {
        let charging = surge::whole_charging_a2s(bench, Limiter::Cold);
        put(Position::SecondaryFuse, fuse.melting_i2t.0, charging, "charging of the reservoir: upper bound");
    }
    if bench.assembly.primary_fuse.is_none() && bench.assembly.secondary_fuse.is_none() {
        verdicts.push(tell::idle(code, Position::PrimaryFuse, "the rail has no fuse"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Amps, AmpsSquaredSeconds, Farads};
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 12 mF · 26.438² V² over twice 0.375 · 234.5/329.5 + 2 · 0.048 + 0.015 Ω, times (16.5/230)².
    #[test]
    fn charging_of_a_large_reservoir_leads() {
        let mut fixture = Fixture::regulated();
        fixture.policy.parameters.fuse_pulse_factor = 2.5;
        fixture.transformer.inrush.as_mut().unwrap().peak = Amps(1.0);
        let stress = fixture.stress(&RULE);
        assert!(stress.note.contains("charging"));
        let ohms = 0.375 * 234.5 / 329.5 + 0.096 + 0.015;
        let by_hand = 0.012 * 26.438 * 26.438 / (2.0 * ohms) * (16.5_f64 / 230.0).powi(2);
        assert_relative_eq!(stress.limit, 2.5 * by_hand, max_relative = 0.01);
        assert!(stress.holds());
        fixture.fuse.as_mut().unwrap().melting_i2t = AmpsSquaredSeconds(0.1);
        assert!(!fixture.holds(&RULE));
    }

    /// Source: Powertronix, inrush current protection: 30 to 90 times the operating current for toroids. A 300 VA toroid at 60
    /// times 1.3 A: 78 A · 1.21, 8.9 kA²·T/4: 45 A²s; a 2 A time-lag fuse of 93 A²s bears it once, not 2.5 times.
    #[test]
    fn magnetising_of_a_toroid_asks_more_than_charging_and_a_limiter_takes_it_off() {
        let mut fixture = Fixture::regulated();
        fixture.policy.parameters.fuse_pulse_factor = 2.5;
        fixture.capacitor.capacitance = Farads(1e-3);
        fixture.fuse.as_mut().unwrap().melting_i2t = AmpsSquaredSeconds(93.0);
        fixture.transformer.inrush.as_mut().unwrap().peak = Amps(78.0);
        fixture.transformer.secondaries[0].resistance_hot = Some(crate::quantity::Ohms(0.1));
        fixture.transformer.primaries[0].resistance_hot = Some(crate::quantity::Ohms(2.0));
        let stress = fixture.stress(&RULE);
        assert!(!stress.holds() && stress.note.contains("stated peak"));
        assert_relative_eq!(
            stress.limit,
            2.5 * (78.0_f64 * 1.21).powi(2) / (4.0 * 49.5),
            max_relative = 1e-9
        );
        let limited = fixture.limited();
        let stress = limited.stress(&RULE);
        assert!(stress.holds() && stress.note.contains("bound"));
    }

    #[test]
    fn a_secondary_fuse_bears_the_charging_unreferred_and_no_fuse_is_idle() {
        let mut fixture = Fixture::regulated().with_secondary_fuse(4.0);
        assert_eq!(fixture.judged(&RULE).len(), 2);
        assert!(!fixture.holds(&RULE));
        fixture.fuse = None;
        fixture.secondary_fuse = None;
        assert!(fixture.idle(&RULE));
    }
}

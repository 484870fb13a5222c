//! Breaking capacity of the fuses.

use crate::{
    catalog::family::transformer::ShortCircuitClass,
    physics::copper,
    quantity::Celsius,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "fuse-breaking-capacity",
        asks: "the current that the mains, or the secondary, can drive through a short stays within the breaking capacity",
        why: "a fuse bursts beyond its breaking capacity",
        worst: "short just behind the fuse; secondary: mains +, EMF +, windings cold",
        limits: "the prospective current of the mains is the requirement's; only a small proof transformer may go without a mains fuse",
        source: "rating: the part's row; secondary: Ohm",
    },
    group: Group::Fuse,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let mut put = |position, amps, rating| {
        verdicts.push(Verdict::Stress(bench.against(code, position, amps, rating, Unit::Amps)));
    };
    if let Some(fuse) = bench.assembly.primary_fuse {
        put(Position::PrimaryFuse, bench.asked.requirement.mains.prospective_current.0, fuse.breaking.0);
    }
    if let Some(fuse) = bench.assembly.secondary_fuse {
        let source = &bench.supply.source;
        let copper = copper::factor(Celsius(bench.supply.air.cold_c));
        let ohms = (source.secondary_20_ohm + source.primary_20_ohm) * copper + source.mains_ohm;
        let rms_v = bench.emf_peak_v() / std::f64::consts::SQRT_2;
        put(Position::SecondaryFuse, rms_v / ohms, fuse.breaking.0);
    }
    if bench.assembly.primary_fuse.is_none() {
        let class = bench.assembly.transformer.short_circuit;
        let small = matches!(class, ShortCircuitClass::InherentlyProof | ShortCircuitClass::FailSafe);
        let text =
            "no mains fuse: only the protection of the building interrupts a short ahead of the windings";
        verdicts.push(tell::fact(code, Position::PrimaryFuse, small, text.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Amps;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// Source: IEC 60127-2 sheet 3 as makers print it: 35 A, or ten times the rating; sheet 5: 1500 A.
    #[test]
    fn a_low_breaking_fuse_does_not_break_a_stiff_mains() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.mains.prospective_current = Amps(1500.0);
        assert!(!fixture.holds(&RULE));
        fixture.fuse.as_mut().unwrap().breaking = Amps(1500.0);
        assert!(fixture.holds(&RULE));
    }

    /// By hand: 16.5 V · 1.1 · 1.03 = 18.69 V over 0.375 Ω · 234.5/329.5 = 0.2669 Ω: 70.0 A.
    #[test]
    fn the_secondary_drives_its_emf_through_its_own_resistance() {
        let mut fixture = Fixture::regulated().with_secondary_fuse(4.0);
        let found = fixture.judged(&RULE);
        let [_, Verdict::Stress(secondary)] = &found[..] else { panic!("{found:?}") };
        assert_relative_eq!(secondary.applied, 70.0, max_relative = 0.01);
        assert!(!secondary.holds());
        fixture.secondary_fuse.as_mut().unwrap().breaking = Amps(1500.0);
        fixture.fuse.as_mut().unwrap().breaking = Amps(1500.0);
        assert!(fixture.holds(&RULE));
    }

    /// Common practice: small short-circuit-proof transformers may go without a fuse, others may not.
    #[test]
    fn only_a_proof_transformer_goes_without_a_mains_fuse() {
        let mut fixture = Fixture::regulated();
        fixture.fuse = None;
        assert!(!fixture.holds(&RULE));
        fixture.transformer.short_circuit = ShortCircuitClass::InherentlyProof;
        assert!(fixture.holds(&RULE));
    }
}

//! Direct current in the core of a half-wave circuit.

use crate::{
    catalog::family::transformer::Construction,
    circuit::spec::Topology,
    physics::transformer::core::dc_magnetisation,
    quantity::{Amps, Ratio},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Sense, Stress, Unit, Verdict},
        winding,
    },
};

/// Greatest dc over peak magnetising ampere-turns where the policy names none: house practice, no source.
const LIMIT: f64 = 0.5;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-dc-magnetisation",
        asks: "the direct ampere-turns of a half-wave load stay within a share of the peak magnetising ampere-turns",
        why: "a half-wave load magnetises the core one way; it saturates on every other half period",
        worst: "load +",
        limits: "full-wave circuits have no dc; a toroid or R-core, without gap, carries none and is refused",
        source: "I_dc · n / (√2 · I_mag); the limit is house practice, no source",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if bench.assembly.topology != Topology::HalfWave {
        verdicts.push(tell::idle(code, Position::Transformer, "no direct current in the core"));
        return;
    }
    if matches!(bench.assembly.transformer.construction, Construction::Toroid | Construction::RCore) {
        let text = "a core without gap carries no direct current: not for half-wave".to_owned();
        verdicts.push(tell::fact(code, Position::Transformer, false, text));
        return;
    }
    let turns = Ratio(bench.supply.source.primary_per_path);
    let magnetising = Amps(winding::rated_magnetising_a(&bench.supply.source));
    let worst = bench.greatest(|point| dc_magnetisation(Amps(point.diode_avg_a), turns, magnetising).0);
    let (limit, origin) = bench.figure(code, LIMIT);
    let plain = tell::stress(code, Position::Transformer, Unit::Percent, Sense::AtMost, worst.value, limit);
    verdicts.push(Verdict::Stress(Stress { vertex: Some(worst.vertex), origin, ..plain }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{policy::LimitKind, quantity::Amps, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    fn light() -> Fixture {
        let mut fixture = Fixture::raw().half_wave();
        fixture.requirement.rails[0].current_max = Amps(0.3);
        fixture
    }

    /// By hand: 0.312 A · (16.5 / 230) / (√2 · 0.04827 A) = 0.3279.
    #[test]
    fn a_light_half_wave_load_stays_within_half_the_magnetising_current() {
        let stress = light().stress(&RULE);
        assert_relative_eq!(stress.applied, 0.3279, max_relative = 1e-3);
        assert!(stress.holds());
    }

    #[test]
    fn a_stricter_policy_or_a_core_without_gap_refuses_it() {
        let mut fixture = light();
        fixture.limit(RULE.page.code, LimitKind::AtMost(0.3));
        assert!(!fixture.holds(&RULE));
        fixture.policy.limits.clear();
        for construction in [Construction::Toroid, Construction::RCore] {
            fixture.transformer.construction = construction;
            assert!(!fixture.holds(&RULE));
        }
        assert!(Fixture::regulated().idle(&RULE));
    }
}

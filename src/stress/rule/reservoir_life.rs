//! Life of the most loaded reservoir against the life required.

use crate::{
    catalog::{Electrolytic, family::capacitor},
    circuit::{
        operate::operate,
        supply::{Body, Supply},
    },
    physics::reservoir::{
        life::{LifeBasis, claim, life, mission},
        ripple::core_rise,
    },
    quantity::{Amps, Celsius, Hours},
    stress::{
        bench::{Bench, Worst},
        position::Position,
        registry::{Group, Page, Rule},
        ripple, tell,
        verdict::{Origin, Sense, Stress, Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-life",
        asks: "the computed life, by the basis on which the maker states it, is at least the life required",
        why: "the reservoir is what wears out first",
        worst: "greatest ambient throughout, or the stated profile; load +, mains +, C +, windings cold",
        limits: "claims no more than 131 000 h; no gain is taken for a voltage below the rating or for cooler ripple multipliers",
        source: "L_0 · 2^((T_max − T_air)/10) · 2^((ΔT_0 − ΔT)/5), without ΔT_0 where stated without ripple; profile: 1/Σ(share/L)",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    verdicts.extend(bench.assembly.banks().map(|(at, bank)| of_bank(bench, at, bank.part)));
}

fn of_bank(bench: &Bench<'_>, at: Position, part: &Electrolytic) -> Verdict {
    let code = RULE.page.code;
    let Some(worst) = ripple::equivalent(bench, at) else {
        return tell::missing(code, at, "ripple multipliers by frequency");
    };
    let profile = &bench.asked.requirement.profile;
    let computed = if profile.is_empty() {
        life_of(part, bench.supply.air.hot_c, worst.value)
    } else {
        let mut states = Vec::with_capacity(profile.len());
        for share in profile {
            let air_c = share.ambient.0 + bench.asked.inside_rise_k;
            let Some(ripple_a) = ripple_at_load(bench, at, worst, share.load.0) else {
                return tell::fact(code, at, false, "no steady state at a load of the profile".to_owned());
            };
            states.push((share.share.0, life_of(part, air_c, ripple_a)));
        }
        mission(&states)
    };
    let claimed = claim(computed);
    let (factor, origin) = bench.figure(code, 1.0);
    let asked = bench.asked.requirement.life.0 * factor;
    let plain = tell::stress(code, at, Unit::Hours, Sense::AtLeast, claimed.hours.0, asked);
    Verdict::Stress(Stress {
        vertex: Some(worst.vertex),
        origin: if matches!(origin, Origin::Rating) { Origin::Requirement } else { origin },
        note: if claimed.capped {
            "the model proves nothing beyond 131 000 h".to_owned()
        } else {
            String::new()
        },
        ..plain
    })
}

/// Life at an air temperature and an equivalent ripple current.
fn life_of(part: &Electrolytic, air_c: f64, ripple_a: f64) -> Hours {
    let basis = match part.life_basis {
        capacitor::LifeBasis::WithRipple => LifeBasis::WithRipple,
        capacitor::LifeBasis::WithoutRipple => LifeBasis::WithoutRipple,
    };
    let rise = core_rise(part.core_rise, Amps(ripple_a), part.ripple);
    life(part.life, basis, part.t_max, Celsius(air_c), part.core_rise, rise)
}

/// Equivalent ripple current at a fraction of the greatest continuous load, auxiliaries in full, at the vertex that is
/// worst at full load; `None` without a steady state.
fn ripple_at_load(bench: &Bench<'_>, at: Position, worst: Worst, fraction: f64) -> Option<f64> {
    let mut supply: Supply = bench.supply;
    supply.load_a =
        supply.lasting(Body::Heavy).load_a.with_more((fraction - 1.0) * bench.asked.rail.current_max.0);
    if supply.load_a.high <= 0.0 {
        return Some(0.0);
    }
    let point = operate(&supply, worst.vertex).ok()?;
    let light = Bench { points: vec![point], lasting: None, ..bench.clone() };
    Some(ripple::equivalent(&light, at)?.value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Kelvins, Ratio},
        requirement::ProfileShare,
        stress::{fixture::Fixture, rule::reservoir_ripple_current},
    };
    use approx::assert_relative_eq;

    /// By hand: 5000 h at 105 °C with ripple; air 45 °C doubles six times; the unused rise doubles every 5 K.
    #[test]
    fn sixty_kelvin_cooler_lives_64_times_as_long_and_unused_ripple_adds() {
        let mut fixture = Fixture::regulated();
        let ripple = fixture.stress(&reservoir_ripple_current::RULE).applied;
        let spent = (ripple / 4.0).powi(2);
        fixture.capacitor.life = Hours(1000.0);
        let with = fixture.stress(&RULE);
        assert_relative_eq!(with.applied, 64e3 * (1.0 - spent).exp2(), max_relative = 1e-9);
        fixture.capacitor.life_basis = capacitor::LifeBasis::WithoutRipple;
        let without = fixture.stress(&RULE);
        assert_relative_eq!(without.applied, 64e3 * (-spent).exp2(), max_relative = 1e-9);
        assert!(with.holds() && without.holds());
    }

    #[test]
    fn fifteen_years_is_the_most_that_is_claimed() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 131_000.0, max_relative = 1e-12);
        assert!(stress.holds() && stress.note.contains("131 000"));
        fixture.requirement.life = Hours(140_000.0);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_hot_enclosure_or_a_policy_that_asks_for_more_fails() {
        let mut fixture = Fixture::regulated();
        fixture.capacitor.life = Hours(1000.0);
        fixture.requirement.life = Hours(50_000.0);
        assert!(fixture.holds(&RULE));
        fixture.limit(RULE.page.code, LimitKind::AtLeast(3.0));
        assert!(!fixture.holds(&RULE));
        fixture.policy.limits.clear();
        fixture.inside_rise_k = 30.0;
        assert!(!fixture.holds(&RULE));
        fixture.capacitor.ripple_multipliers.clear();
        assert!(fixture.misses(&RULE));
    }

    /// Source: COSEL technical Q&A, the rule of shares: at one temperature and load a profile is that state alone; a cooler
    /// half lengthens the life to less than twice.
    #[test]
    fn a_profile_lives_between_its_states() {
        let mut fixture = Fixture::regulated();
        fixture.capacitor.life = Hours(500.0);
        let alone = fixture.stress(&RULE).applied;
        let share = |share, ambient, load| ProfileShare {
            share: Ratio(share),
            ambient: Celsius(ambient),
            load: Ratio(load),
        };
        fixture.requirement.profile = vec![share(1.0, 40.0, 1.0)];
        assert_relative_eq!(fixture.stress(&RULE).applied, alone, max_relative = 1e-9);
        fixture.requirement.profile = vec![share(0.5, 40.0, 1.0), share(0.5, 20.0, 0.3)];
        let mixed = fixture.stress(&RULE).applied;
        assert!(mixed > alone * 1.5 && mixed < alone * 2.0);
        fixture.capacitor.core_rise = Kelvins(0.0);
        let (hot, cool) = (500.0 * 64.0, 500.0 * 256.0);
        let by_hand = 2.0 / (1.0 / hot + 1.0 / cool);
        assert_relative_eq!(fixture.stress(&RULE).applied, by_hand, max_relative = 1e-9);
    }
}

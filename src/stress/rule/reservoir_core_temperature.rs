//! Core temperature of the most loaded reservoir against its greatest temperature.

use crate::{
    physics::reservoir::ripple::core_rise,
    quantity::Amps,
    stress::{
        bench::{Bench, Worst},
        registry::{Group, Page, Rule},
        ripple, tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-core-temperature",
        asks: "air and core rise stay below the greatest temperature less the policy's margin",
        why: "a hot core dries out",
        worst: "load +, mains +, C +, ESR −, windings cold, ambient +",
        limits: "radiation from neighbours is in the air or not at all",
        source: "T = T_air + ΔT_0 · (I_eq/I_R)²; rise at rated ripple: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let air_c = bench.supply.air.hot_c;
    for (at, bank) in bench.assembly.banks() {
        let part = bank.part;
        let Some(worst) = ripple::equivalent(bench, at) else {
            verdicts.push(tell::missing(code, at, "ripple multipliers by frequency"));
            continue;
        };
        let value = air_c + core_rise(part.core_rise, Amps(worst.value), part.ripple).0;
        verdicts.push(bench.temperature(code, at, Worst { value, ..worst }, part.t_max.0, air_c));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Celsius, Kelvins},
        stress::{fixture::Fixture, rule::reservoir_ripple_current},
    };
    use approx::assert_relative_eq;

    /// By hand: 45 °C and 5 K times the square of the ripple over its rating.
    #[test]
    fn the_core_is_the_air_and_the_square_of_the_ripple() {
        let fixture = Fixture::regulated();
        let ripple = fixture.stress(&reservoir_ripple_current::RULE).applied;
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 45.0 + 5.0 * (ripple / 4.0).powi(2), max_relative = 1e-12);
        assert!(stress.holds());
    }

    #[test]
    fn an_85_c_part_with_a_margin_of_40_k_fails() {
        let mut fixture = Fixture::regulated();
        fixture.capacitor.t_max = Celsius(85.0);
        assert!(fixture.holds(&RULE));
        fixture.limit(RULE.page.code, LimitKind::BelowMaximum(Kelvins(40.0)));
        assert!(!fixture.holds(&RULE));
        fixture.capacitor.ripple_multipliers.clear();
        assert!(fixture.misses(&RULE));
    }
}

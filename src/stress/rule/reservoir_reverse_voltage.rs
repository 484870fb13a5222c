//! Reverse voltage of the doubler's second capacitor at start-up.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// Greatest reverse voltage where the policy names none, V: house practice, no source.
const LIMIT_V: f64 = 1.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-reverse-voltage",
        asks: "the capacitor of a doubler that is charged second is not charged backwards by the load beyond what it bears",
        why: "an electrolytic passes current when reversed, heats and vents",
        worst: "first half period after switch-on, load +, f −, C −",
        limits: "a bound: the load is counted at its full current from the first instant; other topologies reverse nothing",
        source: "I / (2 f C): charge of half a period; the limit is house practice, no source",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let supply = &bench.supply;
    if supply.stack() <= 1.0 {
        verdicts.push(tell::idle(code, Position::Reservoir, "one reservoir, never reversed"));
        return;
    }
    let least_farad = supply.bank.farad.low * supply.bank.farad_cold_ratio.min(1.0);
    let applied = supply.load_a.high / (2.0 * supply.frequency_hz.low * least_farad);
    let (limit, origin) = bench.figure(code, LIMIT_V);
    let plain = tell::stress(code, Position::Reservoir, Unit::Volts, Sense::AtMost, applied, limit);
    verdicts.push(Verdict::Stress(Stress { origin, ..plain }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        circuit::spec::Topology,
        stress::{assembly::Wiring, fixture::Fixture},
    };
    use approx::assert_relative_eq;

    fn doubler() -> Fixture {
        let mut fixture = Fixture::raw();
        fixture.topology = Topology::FullWaveDoubler;
        fixture.wiring = Wiring::Single;
        fixture
    }

    /// By the definition, from the rail's own greatest load, least frequency and least capacitance.
    #[test]
    fn half_a_period_of_the_load_is_what_reverses_it() {
        let fixture = doubler();
        let bench = fixture.bench();
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(stress)] = found.as_slice() else { panic!("{found:?}") };
        let (load, bank) = (bench.supply.load_a.high, bench.supply.bank);
        let farad = bank.farad.low * bank.farad_cold_ratio.min(1.0);
        assert_relative_eq!(
            stress.applied,
            load / (2.0 * bench.supply.frequency_hz.low * farad),
            max_relative = 1e-12
        );
        assert_relative_eq!(stress.limit, 1.0);
    }

    #[test]
    fn a_small_capacitor_behind_a_great_load_is_reversed_too_far() {
        let mut fixture = doubler();
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(stress)] = found.as_slice() else { panic!("{found:?}") };
        // As small as reverses it by 1.5 V.
        let smaller = stress.applied / 1.5;
        fixture.capacitor.capacitance.0 *= smaller;
        assert!(!fixture.judged(&RULE).iter().all(Verdict::holds));
    }

    #[test]
    fn one_reservoir_is_never_reversed() {
        assert!(matches!(Fixture::raw().judged(&RULE).as_slice(), [Verdict::NotApplicable { .. }]));
    }
}

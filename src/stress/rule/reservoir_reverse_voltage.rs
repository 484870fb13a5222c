//! Reverse voltage of a doubler's capacitors at start-up.

use crate::{
    circuit::spec::Topology,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        surge, tell,
        verdict::{Sense, Stress, Unit, Verdict},
    },
};

/// Greatest reverse voltage where the policy names none, V: house practice, no source.
const LIMIT_V: f64 = 1.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-reverse-voltage",
        asks: "the capacitor of a doubler that is charged second is not charged backwards by the load beyond what it bears, nor a coupling capacitor by the mains",
        why: "an electrolytic passes current when reversed, heats and vents",
        worst: "first half period after switch-on, load +, f −, C −; coupling capacitor: mains +, EMF +, cold",
        limits: "a bound: the load is counted at its full current from the first instant; other topologies reverse nothing",
        source: "I / (2 f C): charge of half a period; coupling capacitor: what the diode across it drops at the first peak; the limit is house practice, no source",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let supply = &bench.supply;
    if supply.multiple() <= 1.0 {
        verdicts.push(tell::idle(code, Position::Reservoir, "one reservoir, never reversed"));
        return;
    }
    let least_farad = supply.bank.farad.low * supply.bank.farad_cold_ratio.min(1.0);
    let applied = supply.load_a.high / (2.0 * supply.frequency_hz.low * least_farad);
    let (limit, origin) = bench.figure(code, LIMIT_V);
    let mut put = |applied| {
        let plain = tell::stress(code, Position::Reservoir, Unit::Volts, Sense::AtMost, applied, limit);
        verdicts.push(Verdict::Stress(Stress { origin: origin.clone(), ..plain }));
    };
    put(applied);
    if supply.topology == Topology::HalfWaveDoubler {
        put(surge::coupling_reverse_v(bench));
        // What it holds where the diode to the output stops: the output less the peak of the EMF, a threshold apart.
        let held = bench.least(|point| point.valley_v - point.emf_peak_v);
        let text = if held.value < 0.0 {
            format!("in service the load empties the coupling capacitor ({})", held.vertex.text())
        } else {
            format!("in service the coupling capacitor keeps at least {:.1} V", held.value)
        };
        verdicts.push(tell::fact(code, Position::Reservoir, held.value >= 0.0, text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        physics::copper,
        quantity::{Amps, Celsius, Farads},
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

    fn cascade() -> Fixture {
        Fixture { topology: Topology::HalfWaveDoubler, ..doubler() }
    }

    /// By Ohm, from the rail's own numbers: the diode across the coupling capacitor passes what charges the reservoir first.
    #[test]
    fn a_coupling_capacitor_is_reversed_by_a_diodes_drop() {
        let fixture = cascade();
        let bench = fixture.bench();
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(_), Verdict::Stress(coupling), Verdict::Fact { holds: true, .. }] =
            found.as_slice()
        else {
            panic!("{found:?}")
        };
        let supply = &bench.supply;
        let line = supply.rectifier.line.at(Celsius(supply.air.cold_c));
        let windings = (supply.source.secondary_20_ohm + supply.source.primary_20_ohm)
            * copper::factor(Celsius(supply.air.cold_c));
        let path = windings + supply.source.mains_ohm + 2.0 * line.slope.0 + supply.bank.esr_ohm.low;
        let drop_v = line.threshold.0 + line.slope.0 * bench.emf_peak_v() / path;
        assert_relative_eq!(coupling.applied, drop_v, max_relative = 1e-9);
    }

    #[test]
    fn a_load_that_empties_the_coupling_capacitor_fails() {
        let mut fixture = cascade();
        fixture.rail().current_max = Amps(0.5);
        fixture.capacitor.capacitance = Farads(0.5 / (50.0 * 8.0));
        let found = fixture.judged(&RULE);
        assert!(matches!(found.as_slice(), [.., Verdict::Fact { holds: false, .. }]), "{found:?}");
    }

    #[test]
    fn one_reservoir_is_never_reversed() {
        assert!(matches!(Fixture::raw().judged(&RULE).as_slice(), [Verdict::NotApplicable { .. }]));
    }
}

//! Doublers chosen from the demo catalog: laws of what the search's bounds rest on.

use std::f64::consts::TAU;

use approx::assert_relative_eq;
use railwright::{
    candidate::shop::{Shop, View},
    circuit::{
        corner::{End, Vertex},
        general::{self, core},
        operate::operate,
        operate_plant::{Own, operate_plant},
        plant::Plant,
        spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding},
        state::State,
        supply::Drawn,
    },
    quantity::{Amps, Celsius, Farads, Henries, Hertz, Ohms, Volts},
    selection::{choose::Inputs, search::Search, vertices},
    stress::{bench::Bench, registry::judge, resistor::discharge_time, verdict::Verdict},
};

use crate::support::{random::Dice, world};

const DOUBLER: Topology = Topology::FullWaveDoubler;

pub(crate) fn requirement(
    volts: f64,
    milliamps: u32,
    regulation: &str,
) -> railwright::requirement::Requirement {
    world::asked(&format!(
        "name: bias\ndescription: a doubler\nmains: {{voltage: 230 V, frequency: 50 Hz}}\n\
         ambient: {{min: 5 °C, max: 40 °C, enclosure_rise: 5 K}}\nrails:\n  - {{name: bias, voltage: {volts} V, tolerance: 25 %, \
         regulation: {regulation}, current: {{min: 2 mA, max: {milliamps} mA}}, ripple_pp: 2 V}}\n\
         topologies: [full-wave-doubler]\nbuild: {{quantity: 25, currency: EUR}}\npreferences: {{parallel_max: 1}}\n"
    ))
}

/// What the bounds of the search rest on beside proof: along capacitance turn-on voltage, mean and all currents rise, along ESR
/// they fall. Random doublers behind the demo's transformers.
#[test]
fn figures_of_a_doubler_are_ordered_along_capacitance_and_esr() {
    ordered(DOUBLER);
}

/// The same of both capacitors of a half-wave doubler.
#[test]
fn figures_of_a_cascade_are_ordered_along_capacitance_and_esr() {
    ordered(Topology::HalfWaveDoubler);
}

fn ordered(topology: Topology) {
    let demo = world::demo();
    let house = world::policy("house");
    let requirement = requirement(48.0, 40, "none");
    let inputs = Inputs { requirement: &requirement, catalog: &demo, policy: &house };
    let asked = inputs.asked(0).expect("one rail");
    let shop = Shop::open(&demo, &requirement, View::Alone);
    let best =
        Search::new(asked, &shop, topology).run(f64::INFINITY).found.into_iter().next().expect("a doubler");
    let bench = Bench::build(asked, best.assembly, vertices::named(false, false)).expect("a bench");
    let mut dice = Dice::new(5);
    let mut compared = 0;
    for _ in 0..400 {
        let mut one = bench.supply;
        one.source.secondary_20_ohm *= dice.log(0.2, 5.0);
        one.source.primary_20_ohm *= dice.log(0.2, 5.0);
        let farad = one.bank.farad.low * dice.log(0.1, 30.0);
        let esr = one.bank.esr_ohm.low * dice.log(0.05, 20.0);
        let load = one.load_a.high * dice.log(0.1, 8.0);
        one.load_a.high = load;
        let set = |farad: f64, esr: f64| {
            let mut with = one;
            (with.bank.farad.low, with.bank.farad.high) = (farad, farad);
            (with.bank.esr_ohm.low, with.bank.esr_ohm.high) = (esr, esr);
            // Cold: the order is of the circuit, temperatures apart.
            operate(&with, Vertex { load: End::High, ..vertices::VALLEY_COLD }).ok()
        };
        let grown = dice.log(1.02, 3.0);
        let (Some(base), Some(more), Some(lossy)) =
            (set(farad, esr), set(farad * grown, esr), set(farad, esr * grown))
        else {
            continue;
        };
        compared += 1;
        let slack = 1.0 + 1e-9;
        for (better, worse, what) in [(&more, &base, "capacitance"), (&base, &lossy, "ESR")] {
            assert!(better.turn_on_v * slack >= worse.turn_on_v, "turn-on along {what}: {one:?}");
            assert!(better.mean_v * slack >= worse.mean_v, "mean along {what}: {one:?}");
            assert!(better.path_rms_a * slack >= worse.path_rms_a, "winding along {what}: {one:?}");
            assert!(better.bank_rms_a * slack >= worse.bank_rms_a, "bank along {what}: {one:?}");
            assert!(better.diode_peak_a * slack >= worse.diode_peak_a, "peak along {what}: {one:?}");
        }
    }
    assert!(compared > 300, "{compared}");
}

/// Second method: the closed form, one half-wave rectifier a capacitor, against the event-exact engine, at random vertices with
/// and without leakage inductance.
#[test]
fn a_doubler_in_closed_form_is_the_engines() {
    let mut dice = Dice::new(11);
    let mut compared = 0;
    for index in 0..60 {
        let mut supply = crate::circuit_plant::supply(DOUBLER);
        let factor = |dice: &mut Dice| 10.0_f64.powf(dice.unit() - 0.5);
        supply.bank.farad.low *= factor(&mut dice);
        supply.bank.farad.high = supply.bank.farad.low * 2.0;
        supply.bank.esr_ohm.high *= factor(&mut dice);
        supply.source.secondary_20_ohm *= factor(&mut dice);
        let amps = 0.02 + 0.6 * dice.unit();
        supply.load_a = Drawn { low: 0.02, ..Drawn::steady(amps) };
        let at = Vertex {
            leakage: if index % 2 == 0 { End::Low } else { End::High },
            ..Vertex::at(index * 4 % 256)
        };
        let Ok(closed) = operate(&supply, at) else { continue };
        if !matches!(closed.state, State::Doubled(..)) {
            continue;
        }
        let own = Own { rail: 0, outlet: 0 };
        let found = operate_plant(&Plant::of(&supply), own, at, End::High).expect("the engine");
        let engine = &found.points[0];
        compared += 1;
        let pairs = [
            ("valley", closed.valley_v, engine.valley_v),
            ("crest", closed.crest_v, engine.crest_v),
            ("mean", closed.mean_v, engine.mean_v),
            ("diode rms", closed.diode_rms_a, engine.diode_rms_a),
            ("diode peak", closed.diode_peak_a, engine.diode_peak_a),
            ("winding", closed.path_rms_a, engine.path_rms_a),
            ("primary", closed.primary_load_rms_a, engine.primary_load_rms_a),
            ("bank", closed.bank_rms_a, engine.bank_rms_a),
            ("copper", closed.copper_w, engine.copper_w),
            ("diodes", closed.diode_w, engine.diode_w),
            ("ESR", closed.bank_w, engine.bank_w),
        ];
        for (what, a, b) in pairs {
            assert!((a - b).abs() <= 1e-6 * b.abs(), "{what} at {}: {a:e} against {b:e}", at.text());
        }
        let harmonic = |point: &railwright::circuit::operate::OperatingPoint| {
            point
                .state
                .capacitor_harmonics(3)
                .iter()
                .map(railwright::circuit::reservoir::Harmonic::rms_a)
                .collect::<Vec<_>>()
        };
        for (a, b) in harmonic(&closed).into_iter().zip(harmonic(engine)) {
            assert!((a - b).abs() <= 1e-6 * engine.bank_rms_a, "harmonic: {a:e} against {b:e}");
        }
    }
    assert!(compared > 40, "{compared}");
}

/// Source: E. Kuffel, W. S. Zaengl, J. Kuffel, High Voltage Engineering: Fundamentals, Cockcroft-Walton circuit (from memory): of n
/// stages the ripple is (I/fC) n(n+1)/2 peak to peak, the crest lies (I/fC)(2n³/3 + n²/2 − n/6) below 2 n V̂; one stage, equal
/// capacitors.
#[test]
fn one_stage_of_a_cascade_ripples_and_sags_as_the_handbook_has_it() {
    let (peak_v, hertz, farad) = (100.0, 50.0, 1e-3);
    for amps in [0.005, 0.01, 0.02] {
        let capacitor = Capacitor { capacitance: Farads(farad), esr: Ohms(0.0) };
        let spec = Spec {
            topology: Topology::HalfWaveDoubler,
            winding: Winding {
                emf_peak: Volts(peak_v),
                frequency: Hertz(hertz),
                resistance: Ohms(1e-3),
                common_resistance: Ohms(0.0),
                leakage: Henries(0.0),
            },
            diode: Diode { threshold: Volts(0.0), slope: Ohms(1e-4) },
            output: Branch { filter: Filter::Reservoir(capacitor), load: Load::Current(Amps(amps)) },
            negative: None,
        };
        let found = general::solve(&spec).expect("a steady state").figures().output;
        let unit_v = amps / (hertz * farad);
        // The handbook charges in no time: the angle of conduction takes a few hundredths of it.
        assert_relative_eq!(found.ripple_pp_v, unit_v, max_relative = 0.03);
        assert_relative_eq!(2.0 * peak_v - found.load_max_v, unit_v, max_relative = 0.03);
    }
}

fn cascade(check: impl FnOnce(&Bench<'_>)) {
    let (demo, house, requirement) = (world::demo(), world::policy("house"), requirement(48.0, 40, "none"));
    let inputs = Inputs { requirement: &requirement, catalog: &demo, policy: &house };
    let asked = inputs.asked(0).expect("one rail");
    let shop = Shop::open(&demo, &requirement, View::Alone);
    let best = Search::new(asked, &shop, Topology::HalfWaveDoubler).run(f64::INFINITY).found;
    let best = best.into_iter().next().expect("a doubler");
    check(&Bench::build_whole(asked, best.assembly).expect("a bench"));
}

/// Second method: the coupling capacitor keeps the EMF's peak until the reservoir has fallen to it, then both discharge together.
#[test]
fn a_bleeder_empties_a_cascade_within_the_time_stated() {
    cascade(|bench| {
        let (peak_v, ohms) = (bench.emf_peak_v(), 8200.0);
        let farad = bench.supply.bank.farad.high;
        for low_v in [peak_v / 10.0, peak_v / 2.0, 0.9 * peak_v] {
            let exact = ohms * farad * (2.0_f64.ln() + 2.0 * (peak_v / low_v).ln());
            let stated = discharge_time(bench, Ohms(ohms), Volts(2.0 * peak_v), Volts(low_v)).0;
            assert!(exact <= stated && stated < 2.01 * exact, "{exact} of {stated}");
        }
        // One at the peak of the EMF, one at twice it.
        let joules = 0.5 * farad * (peak_v * peak_v + 4.0 * peak_v * peak_v);
        assert_relative_eq!(0.5 * bench.stored_farad() * 4.0 * peak_v * peak_v, joules, max_relative = 1e-12);
    });
}

/// Law: what the ESRs of both banks take is what the engine integrates in each; harmonics of the coupling capacitor make up its rms.
#[test]
fn both_banks_of_a_cascade_are_heated_as_the_engine_has_it() {
    cascade(|bench| {
        for point in bench.points.iter().step_by(17) {
            let placed = point.state.placed().expect("solved by the engine");
            let powers = core::solve(&placed.core).expect("a steady state").powers();
            assert_relative_eq!(point.bank_w, powers.rails[0].c1_w, max_relative = 1e-8, epsilon = 1e-12);
            let harmonics = point.state.capacitor_harmonics(400);
            let square: f64 = harmonics.iter().map(|one| one.rms_a().powi(2)).sum();
            assert_relative_eq!(square.sqrt(), point.bank_rms_a, max_relative = 1e-3);
        }
    });
}

/// Second method: small steps through one period at 36 phases, from empty and from a coupling capacitor still charged. No phase goes
/// beyond the stated surge; a return of the mains comes near.
#[test]
fn no_phase_of_switch_on_goes_beyond_the_surge_stated_of_a_cascade() {
    cascade(|bench| {
        let stated = |code: &str| {
            let found = judge(bench).into_iter().find_map(|verdict| match verdict {
                Verdict::Stress(one) if one.code == code => Some(one.applied),
                _ => None,
            });
            found.expect("it is judged")
        };
        let supply = &bench.supply;
        let line = supply.rectifier.line.at(Celsius(supply.air.cold_c));
        let copper = railwright::physics::copper::factor(Celsius(supply.air.cold_c));
        let source = (supply.source.secondary_20_ohm + supply.source.primary_20_ohm) * copper
            + supply.source.mains_ohm;
        let (peak_v, esr, farad) = (bench.emf_peak_v(), supply.bank.esr_ohm.low, supply.bank.farad.high);
        let (ohms, step) = (source + line.slope.0, 2e-6);
        let (mut most_a, mut most_a2s) = ([0.0_f64; 2], 0.0_f64);
        for (start, coupled_v) in [0.0, peak_v].into_iter().enumerate() {
            for phase in 0..36 {
                let (mut coupling, mut reservoir, mut square) = (coupled_v, 0.0_f64, [0.0_f64; 2]);
                for tick in 0..10_000_u32 {
                    let t = f64::from(tick) * step;
                    let emf = peak_v * (TAU * 50.0 * t + f64::from(phase) * TAU / 36.0).sin();
                    let back = ((-emf - coupling - line.threshold.0) / (ohms + esr)).max(0.0);
                    let on = ((emf + coupling - reservoir - line.threshold.0) / (ohms + 2.0 * esr)).max(0.0);
                    coupling += (back - on) * step / farad;
                    reservoir += on * step / farad;
                    // The third diode keeps it from being reversed; what flows there flows on as well.
                    coupling = coupling.max(-line.threshold.0);
                    most_a[start] = most_a[start].max(back).max(on);
                    if tick < 5_000 {
                        square = [square[0] + back * back * step, square[1] + on * on * step];
                    }
                }
                most_a2s = most_a2s.max(square[0]).max(square[1]);
            }
        }
        let limit_a = stated("rectifier-surge-current");
        assert!(most_a[0] <= limit_a && most_a[1] <= limit_a, "{most_a:?} of {limit_a}");
        assert!(most_a[1] > 0.8 * limit_a, "{most_a:?} of {limit_a}");
        assert!(most_a2s <= stated("rectifier-surge-i2t"), "{most_a2s}");
    });
}

//! Doublers chosen from the demo catalog: laws of what the search's bounds rest on.

use railwright::{
    candidate::shop::{Shop, View},
    circuit::{
        corner::{End, Vertex},
        operate::operate,
        operate_plant::{Own, operate_plant},
        plant::Plant,
        spec::Topology,
        state::State,
        supply::Drawn,
    },
    selection::{choose::Inputs, search::Search, vertices},
    stress::bench::Bench,
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
    let demo = world::demo();
    let house = world::policy("house");
    let requirement = requirement(48.0, 40, "none");
    let inputs = Inputs { requirement: &requirement, catalog: &demo, policy: &house };
    let asked = inputs.asked(0).expect("one rail");
    let shop = Shop::open(&demo, &requirement, View::Alone);
    let best =
        Search::new(asked, &shop, DOUBLER).run(f64::INFINITY).found.into_iter().next().expect("a doubler");
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

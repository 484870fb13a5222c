//! One seeded fault for nearly every stress rule: the part in a position made too small in one respect, and found under the
//! code of its rule.

use railwright::catalog::{
    BridgePart, Electrolytic, Fuse, HeatSink, Regulator, ResistorSeries, SmallCapacitor, Transformer,
    family::transformer::{Insulation, ShortCircuitClass},
};
use railwright::quantity::{
    Amps, AmpsSquaredSeconds, Celsius, Farads, Hertz, Hours, Kelvins, KelvinsPerWatt, Ohms, Quantity as _,
    Ratio, Seconds, VoltAmps, Volts, Watts,
};

use super::bench::{Bench, sound};

macro_rules! part_of {
    ($($name:ident, $position:literal, $list:ident, $part:ty;)*) => {$(
        fn $name(bench: &mut Bench) -> &mut $part {
            let id = bench.part($position).part.clone();
            bench.catalog.$list.iter_mut().find(|part| part.common.id.0 == id).expect("in the catalog")
        }
    )*};
}

part_of! {
    transformer, "transformer", transformers, Transformer;
    bridge, "rectifier", bridges, BridgePart;
    reservoir, "reservoir", electrolytics, Electrolytic;
    regulator, "regulator", regulators, Regulator;
    sink, "regulator-sink", sinks, HeatSink;
    fuse, "primary-fuse", fuses, Fuse;
    bleeder, "bleeder", resistors, ResistorSeries;
    input, "input-capacitor", small_capacitors, SmallCapacitor;
    output, "output-capacitor", small_capacitors, SmallCapacitor;
}

type Seed = (&'static str, fn(&mut Bench));

/// Each seed must be found under its code; others may be found too, for one change touches many stresses.
fn found_under_their_codes(seeds: &[Seed]) {
    let mut missed = Vec::new();
    for (index, (code, spoil)) in seeds.iter().enumerate() {
        let mut bench = sound();
        spoil(&mut bench);
        bench.freshen();
        let found = bench.found();
        if !found.iter().any(|one| one == code) {
            missed.push(format!("seed {index}, {code}: found {found:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn a_transformer_too_small_in_any_respect_is_found() {
    found_under_their_codes(&[
        ("transformer-primary-voltage", |b| transformer(b).primaries[0].max = Volts(240.0)),
        ("transformer-flux", |b| transformer(b).primaries[0].frequency_min = Hertz(60.0)),
        ("transformer-insulation", |b| transformer(b).test_voltage = Volts(1000.0)),
        ("transformer-insulation", |b| {
            transformer(b).insulation = Insulation::Basic;
            b.requirement.protection = railwright::requirement::ProtectionClass::II;
        }),
        ("transformer-ambient", |b| transformer(b).max_ambient = Celsius(50.0)),
        ("transformer-secondary-current", |b| transformer(b).secondaries[0].current = Amps(1.0)),
        ("transformer-primary-current", |b| transformer(b).rating = VoltAmps(10.0)),
        ("transformer-copper-loss", |b| transformer(b).secondaries[0].current = Amps(1.0)),
        ("transformer-winding-temperature", |b| transformer(b).rated_rise = Kelvins(300.0)),
        ("cut-out-margin", |b| transformer(b).cut_out = Some(Celsius(80.0))),
        ("overload-protection", |b| {
            let part = transformer(b);
            part.short_circuit = ShortCircuitClass::NotProof;
            part.cut_out = None;
            regulator(b).thermal_shutdown = false;
        }),
    ]);
}

#[test]
fn a_rectifier_too_small_in_any_respect_is_found() {
    found_under_their_codes(&[
        ("rectifier-reverse-voltage", |b| bridge(b).element.reverse_repetitive = Volts(30.0)),
        ("rectifier-transient-voltage", |b| bridge(b).element.reverse_surge = Some(Volts(30.0))),
        ("rectifier-average-current", |b| bridge(b).output.rated = Amps(0.5)),
        ("rectifier-rms-current", |b| bridge(b).element.rms_max = Some(Amps(0.5))),
        ("rectifier-rms-current", |b| bridge(b).element.rms_max = None),
        ("rectifier-repetitive-peak", |b| bridge(b).element.peak_repetitive = Some(Amps(3.0))),
        ("rectifier-repetitive-peak", |b| bridge(b).element.peak_repetitive = None),
        ("rectifier-junction-temperature", |b| bridge(b).thermal.junction_max = Celsius(90.0)),
        ("rectifier-surge-current", |b| bridge(b).element.surge = Amps(40.0)),
        ("rectifier-surge-i2t", |b| bridge(b).element.i2t = Some(AmpsSquaredSeconds(1.0))),
        ("rectifier-surge-i2t", |b| bridge(b).element.i2t = None),
    ]);
}

#[test]
fn a_reservoir_too_small_in_any_respect_is_found() {
    found_under_their_codes(&[
        ("reservoir-voltage", |b| reservoir(b).rated = Volts(25.0)),
        ("reservoir-surge-voltage", |b| reservoir(b).surge = Some(Volts(25.0))),
        ("reservoir-surge-voltage", |b| reservoir(b).surge = None),
        ("reservoir-ripple-current", |b| reservoir(b).ripple = Amps(1.0)),
        ("reservoir-core-temperature", |b| reservoir(b).t_max = Celsius(65.0)),
        ("reservoir-life", |b| reservoir(b).life = Hours(300.0)),
        ("reservoir-low-temperature", |b| reservoir(b).t_min = Celsius(5.0)),
        ("reservoir-hold-up", |b| b.requirement.rails[0].hold_up = Some(Seconds(1.0))),
        ("regulator-headroom", |b| reservoir(b).capacitance = Farads(500e-6)),
    ]);
}

#[test]
fn a_regulator_or_what_stands_around_it_too_small_in_any_respect_is_found() {
    found_under_their_codes(&[
        ("regulator-input-voltage", |b| regulator(b).input_max = Some(Volts(30.0))),
        ("regulator-differential-voltage", |b| {
            let part = regulator(b);
            (part.input_max, part.differential_max) = (None, Some(Volts(10.0)));
        }),
        ("regulator-output-current", |b| regulator(b).output_current = Amps(0.5)),
        ("regulator-dissipation", |b| sink(b).power_max = Some(Watts(5.0))),
        ("regulator-junction-temperature", |b| sink(b).resistance = KelvinsPerWatt(15.0)),
        ("regulator-short-dissipation", |b| regulator(b).thermal_shutdown = false),
        ("regulator-minimum-load", |b| regulator(b).minimum_load_max = Some(Amps(0.05))),
        ("regulator-accuracy", |b| regulator(b).accuracy = Ratio(0.10)),
        ("regulator-output-ripple", |b| {
            if let Some(rejection) = &mut regulator(b).rejection {
                rejection.decibels = 40.0;
            }
        }),
        ("regulator-output-ripple", |b| regulator(b).rejection = None),
        ("regulator-input-capacitor", |b| input(b).rated = Volts(16.0)),
        ("regulator-output-capacitor", |b| output(b).capacitance = Farads(10e-6)),
        ("regulator-output-capacitor", |b| output(b).esr_max = Some(Ohms(5.0))),
        ("regulator-reverse-diode", |b| regulator(b).wants_reverse_diode = true),
        ("sink-temperature", |b| sink(b).common.temperature_max = Celsius(70.0)),
    ]);
}

#[test]
fn fuses_bleeders_and_air_too_small_in_any_respect_are_found() {
    found_under_their_codes(&[
        ("fuse-steady-current", |b| fuse(b).rated = Amps(0.1)),
        ("fuse-rating", |b| fuse(b).rated = Amps(5.0)),
        ("fuse-voltage", |b| fuse(b).voltage = Volts(125.0)),
        ("fuse-breaking-capacity", |b| fuse(b).breaking = Amps(100.0)),
        ("fuse-inrush", |b| fuse(b).melting_i2t = AmpsSquaredSeconds(0.1)),
        ("sink-air", |b| fuse(b).common.temperature_max = Celsius(50.0)),
        ("bleeder-discharge-time", |b| b.part("bleeder").value = Some(Ohms(100e3).to_text(3))),
        ("bleeder-power", |b| b.part("bleeder").value = Some(Ohms(100.0).to_text(3))),
        ("resistor-voltage", |b| bleeder(b).voltage_max = Volts(20.0)),
        ("resistor-tolerance", |b| b.part("bleeder").value = Some(Ohms(3.33e3).to_text(3))),
    ]);
}

//! One seeded fault for nearly every stress rule: the part in a position made too small in one respect, and found under the
//! code of its rule.

use railwright::catalog::{
    BridgePart, Choke, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter, Regulator, ResistorSeries,
    SmallCapacitor, Transformer, Transistor,
    family::transformer::{Construction, Insulation, ShortCircuitClass},
};
use railwright::quantity::{
    Amps, AmpsSquaredSeconds, Celsius, Farads, Henries, Hertz, Hours, Joules, Kelvins, KelvinsPerWatt, Ohms,
    Quantity as _, Ratio, Seconds, VoltAmps, Volts, Watts,
};

use super::bench::{Bench, designed, sound};

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
    limiter, "inrush-limiter", limiters, InrushLimiter;
    bleeder, "bleeder", resistors, ResistorSeries;
    input, "input-capacitor", small_capacitors, SmallCapacitor;
    output, "output-capacitor", small_capacitors, SmallCapacitor;
    pass, "pass-transistor", transistors, Transistor;
    choke, "section-choke", chokes, Choke;
    smoothing, "section-resistor", resistors, ResistorSeries;
    second, "section-capacitor", electrolytics, Electrolytic;
    clamp, "clamp-diode", diodes, DiodePart;
}

/// A record that is sound, what is spoilt of it, and the code under which that must be found.
type Seed = (&'static str, fn(&mut Bench));

/// Each seed must be found under its code, and not before it is spoilt; others may be found too, for one change touches many
/// stresses.
fn found_under_their_codes(whole: fn() -> Bench, seeds: &[Seed]) {
    let mut missed = Vec::new();
    for (index, (code, spoil)) in seeds.iter().enumerate() {
        let mut bench = whole();
        spoil(&mut bench);
        bench.freshen();
        let found = bench.found();
        if !found.iter().any(|one| one == code) {
            missed.push(format!("seed {index}, {code}: found {found:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
    assert_eq!(whole().found(), Vec::<String>::new());
}

const TRANSFORMER: &[Seed] = &[
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
];

#[test]
fn a_transformer_too_small_in_any_respect_is_found() {
    found_under_their_codes(sound, TRANSFORMER);
}

const RECTIFIER: &[Seed] = &[
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
];

#[test]
fn a_rectifier_too_small_in_any_respect_is_found() {
    found_under_their_codes(sound, RECTIFIER);
}

const RESERVOIR: &[Seed] = &[
    ("reservoir-voltage", |b| reservoir(b).rated = Volts(25.0)),
    ("reservoir-surge-voltage", |b| reservoir(b).surge = Some(Volts(25.0))),
    ("reservoir-surge-voltage", |b| reservoir(b).surge = None),
    ("reservoir-ripple-current", |b| reservoir(b).ripple = Amps(1.0)),
    ("reservoir-core-temperature", |b| reservoir(b).t_max = Celsius(65.0)),
    ("reservoir-life", |b| reservoir(b).life = Hours(300.0)),
    ("reservoir-low-temperature", |b| reservoir(b).t_min = Celsius(5.0)),
    ("reservoir-hold-up", |b| b.requirement.rails[0].hold_up = Some(Seconds(1.0))),
    ("regulator-headroom", |b| reservoir(b).capacitance = Farads(500e-6)),
];

#[test]
fn a_reservoir_too_small_in_any_respect_is_found() {
    found_under_their_codes(sound, RESERVOIR);
}

const REGULATOR: &[Seed] = &[
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
];

#[test]
fn a_regulator_or_what_stands_around_it_too_small_in_any_respect_is_found() {
    found_under_their_codes(sound, REGULATOR);
}

const AROUND: &[Seed] = &[
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
];

#[test]
fn fuses_bleeders_and_air_too_small_in_any_respect_are_found() {
    found_under_their_codes(sound, AROUND);
}

/// Nothing but the mains fuse acts on a fault, and that is far too large.
fn bare(b: &mut Bench) {
    let part = transformer(b);
    (part.short_circuit, part.cut_out) = (ShortCircuitClass::NotProof, None);
    fuse(b).rated = Amps(20.0);
}

const FAULTS: &[Seed] = &[
    ("fuse-clears-short", bare),
    ("fuse-clears-diode", bare),
    ("transformer-overload-temperature", |b| {
        bare(b);
        transformer(b).overload_limit = Celsius(50.0);
    }),
    ("regulator-start-up", |b| regulator(b).limit_min = Amps(0.5)),
    ("regulator-short-dissipation", |b| regulator(b).thermal_shutdown = false),
    ("grid-harmonic", |b| {
        // 60 V a winding, a large transformer and reservoir, 15 A: more than a kilowatt in short pulses.
        b.requirement.rails[0].current_max = Amps(15.0);
        let part = transformer(b);
        (part.rating, part.rated_rise) = (VoltAmps(5000.0), Kelvins(5.0));
        part.primaries[0].resistance_hot = Some(Ohms(0.2));
        let winding = &mut part.secondaries[0];
        (winding.rated, winding.current, winding.resistance_hot) =
            (Volts(60.0), Amps(80.0), Some(Ohms(0.02)));
        bridge(b).thermal.junction_air = Some(KelvinsPerWatt(0.5));
        bridge(b).thermal.junction_case = Some(KelvinsPerWatt(0.3));
        reservoir(b).capacitance = Farads(0.1);
    }),
];

#[test]
fn faults_that_nothing_ends_starts_that_hang_and_harmonics_are_found() {
    found_under_their_codes(sound, FAULTS);
}

/// A record with an inrush limiter that fits.
fn limited() -> Bench {
    let mut bench = sound();
    let mut part = bench.part("primary-fuse").clone();
    part.position = String::from("inrush-limiter");
    part.designators = vec![String::from("RT1")];
    part.part = String::from("FN10D15");
    bench.record.rails[0].parts.push(part);
    bench.freshen();
    bench
}

const LIMITER: &[Seed] = &[
    ("inrush-energy", |b| limiter(b).energy_max = Some(Joules(0.1))),
    ("inrush-energy", |b| {
        let part = limiter(b);
        (part.energy_max, part.capacitance_max) = (None, None);
    }),
    ("inrush-steady-current", |b| limiter(b).current_max = Amps(0.05)),
    ("inrush-hot-restart", |b| bridge(b).element.surge = Amps(20.0)),
];

#[test]
fn a_limiter_too_small_in_any_respect_is_found() {
    found_under_their_codes(limited, LIMITER);
}

const RAW: &[Seed] = &[
    ("raw-ripple", |b| reservoir(b).capacitance = Farads(1e-3)),
    ("raw-voltage-window", |b| b.requirement.rails[0].tolerance = Ratio(0.05)),
    ("reservoir-voltage", |b| reservoir(b).rated = Volts(35.0)),
];

#[test]
fn a_raw_rail_beside_its_window_is_found() {
    found_under_their_codes(|| designed("practice-amplifier"), RAW);
}

const HALF_WAVE: &[Seed] = &[
    ("transformer-dc-magnetisation", |b| transformer(b).construction = Construction::Toroid),
    // Hardly more than the core loss takes: little is left to magnetise.
    ("transformer-dc-magnetisation", |b| {
        let part = transformer(b);
        part.no_load_current = Amps(1.02 * part.iron_loss.0 / 230.0);
    }),
];

#[test]
fn a_core_that_bears_no_direct_current_is_found() {
    found_under_their_codes(|| designed("beehive-scale"), HALF_WAVE);
}

const DOUBLER: &[Seed] = &[("reservoir-reverse-voltage", |b| reservoir(b).capacitance = Farads(100e-6))];

#[test]
fn a_doubler_that_reverses_its_second_capacitor_is_found() {
    found_under_their_codes(|| designed("valve-bias"), DOUBLER);
}

const PLUS_AND_MINUS: &[Seed] = &[("output-clamp", |b| clamp(b).element.reverse_repetitive = Volts(10.0))];

#[test]
fn an_output_that_the_opposite_one_can_reverse_is_found() {
    found_under_their_codes(|| designed("modular-rack"), PLUS_AND_MINUS);
}

const CHOKE: &[Seed] = &[
    ("choke-rms-current", |b| choke(b).current = Amps(6.2)),
    ("choke-peak-current", |b| choke(b).current_peak = Amps(6.2)),
    ("choke-winding-temperature", |b| choke(b).winding_max = Celsius(60.0)),
    ("choke-continuity", |b| choke(b).inductance = Henries(2e-3)),
];

#[test]
fn a_choke_too_small_in_any_respect_is_found() {
    found_under_their_codes(|| designed("slide-lamp"), CHOKE);
}

const SECTION: &[Seed] = &[("section-resistor-short", |b| smoothing(b).flameproof = false)];

#[test]
fn a_section_resistor_that_may_burn_is_found() {
    found_under_their_codes(|| designed("phono-stage"), SECTION);
}

const SECTION_REGULATED: &[Seed] = &[
    ("section-resistor-short", |b| smoothing(b).flameproof = false),
    ("regulator-input-voltage", |b| regulator(b).input_max = Some(Volts(30.0))),
    ("regulator-headroom", |b| b.part("section-resistor").value = Some(Ohms(22.0).to_text(3))),
    ("regulator-output-ripple", |b| second(b).capacitance = Farads(220e-6)),
    ("reservoir-voltage", |b| second(b).rated = Volts(25.0)),
    ("resistor-power", |b| smoothing(b).power = Watts(0.1)),
];

#[test]
fn a_section_too_small_for_the_regulator_behind_it_is_found() {
    found_under_their_codes(|| designed("oral-history"), SECTION_REGULATED);
}

const PASS: &[Seed] = &[
    ("pass-collector-voltage", |b| pass(b).collector_emitter_max = Volts(30.0)),
    ("pass-collector-current", |b| pass(b).collector_current = Amps(1.0)),
    ("pass-base-current", |b| pass(b).base_current = Amps(0.01)),
    ("pass-sharing", |b| pass(b).base_emitter_spread = Volts(0.5)),
    ("pass-junction-temperature", |b| pass(b).junction_case = KelvinsPerWatt(20.0)),
    ("pass-operating-area", |b| {
        pass(b).operating_area = vec![(Volts(5.0), Amps(1.0)), (Volts(100.0), Amps(0.01))];
    }),
];

#[test]
fn a_pass_transistor_too_small_in_any_respect_is_found() {
    found_under_their_codes(|| designed("print-shop"), PASS);
}

/// A record whose output is held by a minimum-load resistor.
fn loaded() -> Bench {
    let mut bench = sound();
    let mut part = bench.part("bleeder").clone();
    part.position = String::from("minimum-load");
    part.designators = vec![String::from("R2")];
    part.value = Some(Ohms(3.3e3).to_text(3));
    bench.record.rails[0].parts.push(part);
    bench.freshen();
    bench
}

const LOADED: &[Seed] = &[("resistor-power", |b| {
    b.part("minimum-load").value = Some(Ohms(100.0).to_text(3));
})];

#[test]
fn a_resistor_at_the_output_that_burns_is_found() {
    found_under_their_codes(loaded, LOADED);
}

/// Rules that caution or inform and never fail: their pages say so.
const NEVER: [&str; 3] = ["rectifier-fault-i2t", "stored-energy", "output-extra-low-voltage"];

#[test]
fn every_rule_that_can_fail_has_a_seed() {
    let lists = [
        TRANSFORMER,
        RECTIFIER,
        RESERVOIR,
        REGULATOR,
        AROUND,
        FAULTS,
        LIMITER,
        RAW,
        HALF_WAVE,
        DOUBLER,
        PLUS_AND_MINUS,
        CHOKE,
        SECTION,
        SECTION_REGULATED,
        PASS,
        LOADED,
    ];
    let seeded: Vec<&str> = lists.iter().flat_map(|list| list.iter().map(|seed| seed.0)).collect();
    for rule in railwright::stress::registry::rules() {
        let never = NEVER.contains(&rule.page.code);
        assert_eq!(never, rule.page.limits.contains("never a failure"), "{}", rule.page.code);
        assert_eq!(!never, seeded.contains(&rule.page.code), "{}", rule.page.code);
    }
    assert!(seeded.len() >= 60, "{}", seeded.len());
}

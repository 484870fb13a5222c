//! Seeded faults in a requirements file: each is placed and says what was found, what is allowed, and the remedy.
//!
//! A seed replaces one piece of a sound file; `‹` and `›` mark the place the fault must point at.

use proptest::prelude::*;
use railwright::document::{Fault, Faults, Source};
use railwright::quantity::{Amps, Celsius, Hertz, Ratio, Volts};
use railwright::requirement::{self, Enclosure, Knob, Objective, Topology};

const SOUND: &str = "\
name: sounding board
description: two rails for a small mixer
mains:
  voltage: 230 V
  tolerance: { low: -10 %, high: 6 % }
  frequency: 50 Hz
  peak_factor: 97 %
ambient:
  min: 5 °C
  nominal: 22 °C
  max: 45 °C
  altitude: 500 m
  enclosure_rise: 8 K
rails:
  - name: logic
    voltage: 5 V
    tolerance: 4 %
    current: { min: 20 mA, max: 800 mA }
    peak: { current: 1.2 A, duration: 50 ms, share: 2 % }
    ripple_pp: 5 mV
    regulation: fixed
    load_capacitance: 100 µF
  - name: lamps
    voltage: 24 V
    tolerance: 20 %
    current: 500 mA
    ripple_pp: 2 V
    regulation: none
life: 20000 h
profile:
  - { share: 60 %, ambient: 25 °C, load: 50 % }
  - { share: 40 %, ambient: 45 °C, load: 100 % }
insulation: reinforced
protection_class: I
topologies: [bridge, centre-tap]
second_sections: [crc]
build: { quantity: 25, currency: EUR, spares: 5 % }
objective: { cost: 1, loss: 0.4 }
policy: house
catalogs: [demo]
preferences:
  excluded_makers: [Nobody]
  lead_days_max: 60
  height_max: 60 mm
  allow_not_for_new_designs: false
  parallel_max: 3
  fuses: iec
";

struct Seed(&'static str, &'static str, &'static str, &'static str, &'static str, Option<&'static str>);

fn plant(seeds: &[&Seed]) -> (String, Vec<(usize, usize, usize)>) {
    let mut text = SOUND.to_owned();
    for seed in seeds {
        assert!(text.contains(seed.0), "no `{}` to replace", seed.0);
        text = text.replacen(seed.0, seed.1, 1);
    }
    let mut places = Vec::new();
    let (mut line, mut column, mut open) = (1, 1, None);
    for c in text.chars() {
        match c {
            '‹' => open = Some((line, column)),
            '›' => {
                let (from_line, from_column) = open.take().expect("a mark opens before it closes");
                places.push((from_line, from_column, column - from_column));
            }
            '\n' => (line, column) = (line + 1, 1),
            _ => column += 1,
        }
    }
    (text.replace(['‹', '›'], ""), places)
}

fn refuse(text: &str) -> Faults {
    requirement::read(&Source::new("requirements.yaml", text)).expect_err("a seeded file is refused")
}

fn place(source: &Source, fault: &Fault) -> (usize, usize, usize) {
    let (line, column) = source.line_column(fault.span.start);
    let marked = &source.text[fault.span.start as usize..fault.span.end as usize];
    (line, column, marked.chars().count())
}

fn seeds() -> Vec<Seed> {
    const VOLTAGE: &str = "a voltage such as `12 V`, 90 V to 277 V";
    vec![
        Seed(
            "voltage: 230 V",
            "voltage: ‹12 V›",
            "`voltage` is out of range",
            "`12 V`",
            "90 V to 277 V",
            None,
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹230›",
            "`voltage` is not a voltage",
            "`230`",
            VOLTAGE,
            Some("add the unit: `230 V`"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹230 v›",
            "`voltage` is not a voltage",
            "`230 v`",
            VOLTAGE,
            Some("write `230 V`"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹230 A›",
            "`voltage` is not a voltage",
            "`230 A`",
            VOLTAGE,
            Some("the unit `A` does not measure a voltage; use `V`"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹230,5 V›",
            "`voltage` is not a voltage",
            "`230,5 V`",
            VOLTAGE,
            Some("write a decimal point, and no separator between thousands"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹-230 V›",
            "`voltage` is out of range",
            "`-230 V`",
            "90 V to 277 V",
            None,
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹.nan›",
            "`voltage` is not a voltage",
            "`.nan`",
            VOLTAGE,
            Some("a finite number is needed"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹1e999 V›",
            "`voltage` is not a voltage",
            "`1e999 V`",
            VOLTAGE,
            Some("the number is too large to be held"),
        ),
        Seed(
            "voltage: 230 V",
            "voltage: ‹[230 V]›",
            "`voltage` is a list",
            "a list",
            "a voltage such as `12 V`",
            None,
        ),
        Seed(
            "voltage: 230 V",
            "‹voltage›:",
            "`voltage` has no value",
            "nothing",
            "a voltage such as `12 V`",
            None,
        ),
        Seed("low: -10 %", "low: ‹10 %›", "`low` is out of range", "`10 %`", "-30 % to 0 %", None),
        Seed("high: 6 %", "high: ‹60 %›", "`high` is out of range", "`60 %`", "0 % to 30 %", None),
        Seed(
            "frequency: 50 Hz",
            "‹frequencey›: 50 Hz",
            "unknown key `frequencey`",
            "`frequencey`",
            "`voltage`, `tolerance`, `frequency`, `frequency_tolerance`, `peak_factor`, `source_resistance`, `prospective_current`",
            Some("did you mean `frequency`?"),
        ),
        Seed(
            "frequency: 50 Hz",
            "frequency: ‹400 Hz›",
            "`frequency` is out of range",
            "`400 Hz`",
            "45 Hz to 66 Hz",
            None,
        ),
        Seed(
            "peak_factor: 97 %",
            "peak_factor: ‹0.97›",
            "`peak_factor` is not a percentage",
            "`0.97`",
            "a percentage such as `10 %`, 80 % to 105 %",
            Some("add the unit: `0.97 %`"),
        ),
        Seed(
            "min: 5 °C",
            "min: ‹50 °C›",
            "`min` is above `max`",
            "`50 °C`",
            "at most `max`, `45 °C`",
            Some("exchange the two"),
        ),
        Seed(
            "nominal: 22 °C",
            "nominal: ‹60 °C›",
            "`nominal` lies outside `min` and `max`",
            "`60 °C`",
            "`5 °C` to `45 °C`",
            None,
        ),
        Seed(
            "max: 45 °C",
            "max: ‹45 C›",
            "`max` is not a temperature",
            "`45 C`",
            "a temperature such as `45 °C`, -55 °C to 100 °C",
            Some("write `45 °C`"),
        ),
        Seed(
            "  enclosure_rise: 8 K",
            "  enclosure_rise: 8 K\n  enclosure_resistance: ‹1 K/W›",
            "`enclosure_rise` and `enclosure_resistance` are both stated",
            "`1 K/W`",
            "one of the two",
            None,
        ),
        Seed(
            "altitude: 500 m",
            "altitude: ‹500 ft›",
            "`altitude` is not a length",
            "`500 ft`",
            "a length such as `45 mm`, 0 mm to 5000 m",
            Some("the unit `ft` does not measure a length; use `mm`"),
        ),
        Seed(
            "    ripple_pp: 5 mV\n",
            "    ‹ripple›: 5 mV\n",
            "unknown key `ripple`",
            "`ripple`",
            "`name`, `voltage`, `regulation`, `tolerance`, `polarity`, `current`, `peak`, `ripple_pp`, `hold_up`, `load_capacitance`",
            Some("did you mean `ripple_pp`?"),
        ),
        Seed(
            "ripple_pp: 5 mV",
            "ripple_pp: ‹5 V›",
            "`ripple_pp` is not below the voltage",
            "`5 V`",
            "less than `voltage`, `5 V`",
            None,
        ),
        Seed(
            "ripple_pp: 5 mV",
            "ripple_pp: ‹0 V›",
            "`ripple_pp` is out of range",
            "`0 V`",
            "1 µV to 100 V",
            None,
        ),
        Seed(
            "min: 20 mA",
            "min: ‹2 A›",
            "`min` is above `max`",
            "`2 A`",
            "at most `max`, `800 mA`",
            Some("exchange the two"),
        ),
        Seed(
            "current: 1.2 A",
            "current: ‹0.2 A›",
            "the peak is below the continuous current",
            "`0.2 A`",
            "at least the continuous current, `800 mA`",
            None,
        ),
        Seed(
            "- name: lamps",
            "- name: ‹logic›",
            "duplicate rail `logic`",
            "`logic` a second time",
            "a name of its own",
            None,
        ),
        Seed(
            "    voltage: 24 V\n",
            "    voltage: 24 V\n    ‹voltage›: 12 V\n",
            "duplicate key `voltage`",
            "`voltage` a second time",
            "each key once",
            None,
        ),
        Seed(
            "regulation: fixed",
            "regulation: ‹fxed›",
            "`regulation` is not a known word",
            "`fxed`",
            "`any`, `fixed`, `adjustable`, `none`",
            Some("did you mean `fixed`?"),
        ),
        Seed(
            "  - name: lamps\n    voltage: 24 V",
            "  - ‹name›: lamps",
            "missing key `voltage` in item of `rails`",
            "no `voltage`",
            "`voltage`",
            Some("add `voltage: ...`"),
        ),
        Seed(
            "  - name: lamps\n    voltage: 24 V\n    tolerance: 20 %",
            "  - ‹name›: lamps\n    voltage: 24 V",
            "missing key `tolerance` in item of `rails`",
            "no `tolerance`",
            "`tolerance`",
            Some("add `tolerance: ...`"),
        ),
        Seed(
            "name: sounding board",
            "name: ‹\"sounding\\e[31m board\"›",
            "`name` holds control or invisible characters",
            "`sounding\\u{1b}[31m board`",
            "printable text",
            None,
        ),
        Seed("name: sounding board", "name: ‹\"\"›", "`name` has no value", "``", "text", None),
        Seed(
            "life: 20000 h",
            "life: ‹20000 hours›",
            "`life` is not a life in hours",
            "`20000 hours`",
            "a life in hours such as `20000 h`, 100 h to 500000 h",
            Some("write `20000 h`"),
        ),
        Seed(
            "  - { share: 60 %,",
            "  - ‹{ share: 70 %, ambient: 25 °C, load: 50 % }›\n  - { share: 60 %,",
            "the shares of `profile` do not make up the whole",
            "a sum of 170.0 %",
            "a sum of 100 %",
            None,
        ),
        Seed(
            "ambient: 45 °C",
            "ambient: ‹70 °C›",
            "`ambient` is out of range",
            "`70 °C`",
            "5 °C to 45 °C",
            None,
        ),
        Seed(
            "insulation: reinforced\nprotection_class: I\n",
            "insulation: ‹basic›\nprotection_class: II\n",
            "basic insulation does not suit protection class II",
            "`basic`",
            "`reinforced`",
            Some("write `reinforced`, or `protection_class: I`"),
        ),
        Seed(
            "topologies: [bridge, centre-tap]",
            "topologies: [bridge, ‹center-tap›]",
            "item of `topologies` is not a known word",
            "`center-tap`",
            "`half-wave`, `centre-tap`, `bridge`, `full-wave-doubler`, `dual-complementary`",
            Some("did you mean `centre-tap`?"),
        ),
        Seed(
            "topologies: [bridge, centre-tap]",
            "topologies: ‹[]›",
            "`topologies` is empty",
            "`[]`",
            "at least one item",
            None,
        ),
        Seed(
            "topologies: [bridge, centre-tap]",
            "topologies: ‹bridge›",
            "`topologies` is not a list",
            "`bridge`",
            "a list",
            Some("write `[bridge]`"),
        ),
        Seed(
            "quantity: 25",
            "quantity: ‹0›",
            "`quantity` is out of range",
            "`0`",
            "a whole number, 1 to 1000000",
            None,
        ),
        Seed(
            "quantity: 25",
            "quantity: ‹2.5›",
            "`quantity` is not a whole number",
            "`2.5`",
            "a whole number, 1 to 1000000",
            None,
        ),
        Seed(
            "currency: EUR",
            "currency: ‹eur›",
            "`currency` is not a currency",
            "`eur`",
            "three capital letters such as `EUR`",
            Some("write `EUR`"),
        ),
        Seed(
            "objective: { cost: 1, loss: 0.4 }",
            "objective: { ‹cost›: 0 }",
            "every weight of `objective` is zero",
            "no weight above zero",
            "at least one of `cost`, `loss`, `volume`, `mass` above zero",
            None,
        ),
        Seed(
            "loss: 0.4",
            "loss: ‹0.4 W›",
            "`loss` is not a number",
            "`0.4 W`",
            "a number without unit, 0 to 1000000",
            Some("write the number without a unit"),
        ),
        Seed(
            "allow_not_for_new_designs: false",
            "allow_not_for_new_designs: ‹no›",
            "`allow_not_for_new_designs` is neither true nor false",
            "`no`",
            "`true` or `false`",
            Some("write `false`"),
        ),
        Seed(
            "parallel_max: 3",
            "parallel_max: ‹three›",
            "`parallel_max` is not a whole number",
            "`three`",
            "a whole number, 1 to 16",
            None,
        ),
        Seed(
            "catalogs: [demo]",
            "catalogs: [‹{ a: b }›]",
            "item of `catalogs` is a map",
            "a map",
            "text",
            None,
        ),
        Seed(
            "policy: house",
            "policy: ‹&p house›",
            "an anchor (`&name`) stands before this value",
            "",
            "a value",
            Some("write the value where it is needed; anchors and aliases are not read"),
        ),
    ]
}

#[test]
fn each_seeded_fault_is_placed_and_explained() {
    let seeds = seeds();
    assert!(seeds.len() >= 40);
    let mut wrong = Vec::new();
    for seed in &seeds {
        let Seed(_, planted, message, found, allowed, hint) = *seed;
        let (text, places) = plant(&[seed]);
        let faults = refuse(&text);
        let (source, fault) = faults.iter().next().expect("a refusal has a fault");
        let expected = (places, message, found, allowed, hint);
        let text = |text: &'_ Option<String>| text.clone().unwrap_or_default();
        let (stated, limit) = (text(&fault.found), text(&fault.allowed));
        let actual = (vec![place(source, fault)], &*fault.message, &*stated, &*limit, fault.hint.as_deref());
        if actual != expected {
            wrong.push(format!("{planted}\n  expected {expected:?}\n  actual   {actual:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_sound_file_reads_as_written() {
    let read = requirement::read(&Source::new("requirements.yaml", SOUND)).expect("sound");
    assert_eq!((read.mains.voltage, read.mains.frequency), (Volts(230.0), Hertz(50.0)));
    assert_eq!((read.mains.low, read.mains.high), (Ratio(0.1), Ratio(0.06)));
    assert_eq!(read.rails[0].current_min, Amps(0.02));
    assert_eq!(read.rails[1].current_min, Amps(0.0));
    assert_eq!(read.topologies, [Topology::CentreTap, Topology::Bridge]);
    assert_eq!(read.objective, Objective { cost: 1.0, loss: 0.4, volume: 0.0, mass: 0.0 });
    assert!(matches!(read.ambient.enclosure, Enclosure::Rise(_)));
    assert_eq!(read.assumed_at("rails.lamps.current.min").map(|assumed| assumed.value.as_str()), Some("0 A"));
    assert_eq!(read.assumed_at("mains.voltage"), None);
}

#[test]
fn the_shortest_file_lists_every_default_it_takes() {
    let text = "name: a\ndescription: b\nmains: { voltage: 230 V }\nrails: [{ name: x, voltage: 5 V, current: 1 A, ripple_pp: 5 mV }]\n";
    let read = requirement::read(&Source::new("requirements.yaml", text)).expect("sound");
    let keys: Vec<&str> = read.assumed.iter().map(|assumed| assumed.key.as_str()).collect();
    assert_eq!(
        keys,
        [
            "mains.tolerance",
            "mains.frequency",
            "mains.frequency_tolerance",
            "mains.peak_factor",
            "mains.prospective_current",
            "ambient.min",
            "ambient.max",
            "ambient.nominal",
            "ambient.altitude",
            "ambient.enclosure_rise",
            "rails.x.regulation",
            "rails.x.tolerance",
            "rails.x.polarity",
            "rails.x.current.min",
            "rails.x.load_capacitance",
            "life",
            "profile",
            "protection_class",
            "insulation",
            "test_voltage",
            "topologies",
            "second_sections",
            "build.quantity",
            "build.currency",
            "build.spares",
            "objective",
            "policy",
            "catalogs",
            "preferences.allow_not_for_new_designs",
            "preferences.parallel_max",
            "preferences.fuses",
        ]
    );
    assert!(read.assumed.iter().all(|assumed| !assumed.value.is_empty() && !assumed.why.is_empty()));
}

#[test]
fn mains_of_the_hundred_volt_class_must_state_its_frequency() {
    let text = "name: a\ndescription: b\nmains:\n  voltage: 100 V\nrails: [{ name: x, voltage: 5 V, current: 1 A, ripple_pp: 5 mV }]\n";
    let faults = refuse(text);
    let (source, fault) = faults.iter().next().expect("a fault");
    assert_eq!(
        (place(source, fault), fault.message.as_str()),
        ((4, 3, 7), "missing key `frequency` in `mains`")
    );
}

#[test]
fn all_faults_of_a_file_come_at_once() {
    let seeds = seeds();
    let pick = |wanted: &str| seeds.iter().find(|seed| seed.1.contains(wanted)).expect("a seed");
    let together: Vec<&Seed> = [
        "‹230 v›",
        "‹10 %›",
        "‹60 %›",
        "‹60 °C›",
        "‹fxed›",
        "‹2 A›",
        "‹70 °C›",
        "‹center-tap›",
        "‹0›",
        "‹three›",
    ]
    .iter()
    .map(|wanted| pick(wanted))
    .collect();
    let (text, mut places) = plant(&together);
    let faults = refuse(&text);
    let mut found: Vec<_> = faults.iter().map(|(source, fault)| place(source, fault)).collect();
    places.sort_unstable();
    found.sort_unstable();
    assert_eq!(found, places);
}

#[test]
fn two_renderings_stay_as_they_are() {
    let (text, _) = plant(&[&seeds()[12]]);
    insta::assert_snapshot!(refuse(&text).render(false), @r"
    error: unknown key `frequencey`
     --> requirements.yaml:6:3
      |
    6 |   frequencey: 50 Hz
      |   ^^^^^^^^^^ found `frequencey`
      |
      = allowed: `voltage`, `tolerance`, `frequency`, `frequency_tolerance`, `peak_factor`, `source_resistance`, `prospective_current`
      = hint: did you mean `frequency`?

    1 fault found
    ");
    let (text, _) =
        plant(&[&Seed("    voltage: 24 V\n", "    voltage: 24 V\n    ‹voltage›: 12 V\n", "", "", "", None)]);
    insta::assert_snapshot!(refuse(&text).render(false), @r"
    error: duplicate key `voltage`
      --> requirements.yaml:25:5
       |
    24 |     voltage: 24 V
       |     ------- first here
    25 |     voltage: 12 V
       |     ^^^^^^^ found `voltage` a second time
       |
       = allowed: each key once

    1 fault found
    ");
}

#[test]
fn a_colour_rendering_says_the_same() {
    let (text, _) = plant(&[&seeds()[0]]);
    let faults = refuse(&text);
    let coloured = faults.render(true);
    assert!(coloured.contains('\u{1b}'));
    assert!(coloured.contains("90 V to 277 V") && coloured.contains("`voltage` is out of range"));
}

#[test]
fn a_relaxed_copy_changes_one_number_alone() {
    let read = requirement::read(&Source::new("requirements.yaml", SOUND)).expect("sound");
    for knob in read.knobs() {
        assert_eq!(read.with(knob, read.asked(knob)), read, "{knob:?}");
        let half = f64::midpoint(read.asked(knob), read.slackest(knob));
        let relaxed = read.with(knob, half);
        assert!((relaxed.asked(knob) - half).abs() < 1e-12 * half.abs().max(1.0));
        let back = relaxed.with(knob, read.asked(knob));
        for other in read.knobs() {
            assert!((back.asked(other) - read.asked(other)).abs() < 1e-12, "{knob:?} moved {other:?}");
        }
    }
    assert_eq!(read.with(Knob::AmbientMax, 30.0).profile[1].ambient, Celsius(30.0));
    assert_eq!(read.knob_key(Knob::Ripple(0)), "rails.logic.ripple_pp");
    assert_eq!(read.knob_text(Knob::MainsLow, 0.05), "-5.00 %");
}

proptest! {
    #[test]
    fn a_mangled_requirement_is_read_or_refused_but_never_panics(
        cuts in proptest::collection::vec((0usize..1200, any::<u8>(), 0usize..6), 1..8),
    ) {
        let mut bytes = SOUND.as_bytes().to_vec();
        for (at, byte, kind) in cuts {
            let at = at % bytes.len().max(1);
            match kind {
                0 => bytes.insert(at, byte),
                1 => { bytes.remove(at); }
                2 => bytes.truncate(at.max(1)),
                3 => bytes[at] = b'\n',
                4 => bytes[at] = b":{}[],-'\"&*|#"[usize::from(byte) % 13],
                _ => bytes[at] = byte,
            }
        }
        if let Ok(source) = Source::from_bytes("x", bytes)
            && let Err(faults) = requirement::read(&source) {
                prop_assert!(faults.iter().count() > 0);
                prop_assert!(!faults.render(false).is_empty());
            }
    }
}

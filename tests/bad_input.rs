//! Seeded faults in a requirements file: each is placed and says what was found, what is allowed, and the remedy.
//!
//! A seed replaces one piece of a sound file; `‹` and `›` mark the place the fault must point at.

use proptest::prelude::*;
use railwright::document::{Fault, Faults, Source};
use railwright::quantity::{Amps, Celsius, Hertz, Ratio, Volts};
use railwright::requirement::{self, Enclosure, Knob, Objective, Topology};

const SOUND: &str = include_str!("fixtures/sound_requirements.yaml");
const SEEDED: &str = include_str!("fixtures/seeded_faults.txt");

/// A fault to plant and what must be said of it.
#[derive(Clone, Debug)]
struct Seed {
    replaced: String,
    planted: String,
    message: &'static str,
    found: &'static str,
    allowed: &'static str,
    hint: Option<&'static str>,
}

fn seeds() -> Vec<Seed> {
    let blocks = SEEDED.split("\n\n").filter(|block| !block.starts_with('#'));
    let seed = |block: &'static str| {
        let mut lines = block.lines();
        let (replaced, planted) = lines.next()?.split_once(" => ")?;
        let message = lines.next()?.trim();
        let mut said = lines.next()?.split('|').map(str::trim);
        let (found, allowed, hint) = (said.next()?, said.next()?, said.next()?);
        let hint = (!hint.is_empty()).then_some(hint);
        let [replaced, planted] = [replaced, planted].map(|text| text.replace('⏎', "\n"));
        Some(Seed { replaced, planted, message, found, allowed, hint })
    };
    blocks.map(|block| seed(block).unwrap_or_else(|| panic!("no seed: {block}"))).collect()
}

fn plant(seeds: &[&Seed]) -> (String, Vec<(usize, usize, usize)>) {
    let mut text = SOUND.to_owned();
    for seed in seeds {
        assert!(text.contains(&seed.replaced), "no `{}` to replace", &seed.replaced);
        text = text.replacen(&seed.replaced, &seed.planted, 1);
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

fn pick<'s>(seeds: &'s [Seed], wanted: &str) -> &'s Seed {
    seeds.iter().find(|seed| seed.planted.contains(wanted)).expect("a seed")
}

#[test]
fn each_seeded_fault_is_placed_and_explained() {
    let seeds = seeds();
    assert!(seeds.len() >= 40);
    let mut wrong = Vec::new();
    for seed in &seeds {
        let Seed { planted, message, found, allowed, hint, .. } = seed;
        let (text, places) = plant(&[seed]);
        let faults = refuse(&text);
        let (source, fault) = faults.iter().next().expect("a refusal has a fault");
        let expected = (places, *message, *found, *allowed, *hint);
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
    let text = "name: a\nmains: { voltage: 230 V }\nrails: [{ name: x, voltage: 5 V, current: 1 A, ripple_pp: 5 mV }]\n";
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
    .map(|wanted| pick(&seeds, wanted))
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
    let seeds = seeds();
    let (text, _) = plant(&[pick(&seeds, "‹frequencey›")]);
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
    let (text, _) = plant(&[pick(&seeds, "‹voltage›: 12 V")]);
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
    let (text, _) = plant(&[pick(&seeds(), "‹12 V›")]);
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
    assert_eq!(read.knob_key(Knob::Tolerance(0)), "rails.logic.tolerance");
    assert_eq!(read.knob_text(Knob::Tolerance(0), 0.051), "5.10 %");
}

proptest! {
    #[test]
    fn a_mangled_requirement_is_read_or_refused_but_never_panics(
        cuts in proptest::collection::vec((0usize..1200, any::<u8>(), 0usize..6), 1..8),
    ) {
        let mut bytes = SOUND.as_bytes().to_vec();
        for (at, byte, kind) in cuts {
            if bytes.is_empty() {
                bytes.push(byte);
                continue;
            }
            let at = at % bytes.len();
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

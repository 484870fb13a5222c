//! Drawings: nothing lies over anything else, whatever the parts are called.

use proptest::prelude::*;
use railwright::report::svg::{Drawing, Extent};
use railwright::report::{Figures, figures, schematic};
use railwright::review::pictures::model::{
    Drawing as Circuit, DrawnPart, DrawnRectifier, DrawnSide, DrawnWinding, RailPictures,
};
use railwright::review::{Figure, Unit};

use crate::review::bench::sound;
use crate::support::dossier::dossier;

/// Wires have no thickness of their own; a letter must keep this far from one.
const WIRE_HALF: f64 = 0.5;

/// What lies over what, in words; empty where nothing does.
fn overlaps(sheet: &Drawing) -> Vec<String> {
    let mut found = Vec::new();
    for (index, text) in sheet.texts.iter().enumerate() {
        if text.left < 0.0 || text.top < 0.0 || text.right > sheet.width || text.bottom > sheet.height {
            found.push(format!("{text:?} leaves the sheet {} x {}", sheet.width, sheet.height));
        }
        found.extend(
            sheet.texts[..index]
                .iter()
                .filter(|other| text.meets(other))
                .map(|other| format!("text {text:?} {other:?}")),
        );
        found.extend(
            sheet
                .symbols
                .iter()
                .filter(|other| text.meets(other))
                .map(|other| format!("symbol {text:?} {other:?}")),
        );
        found.extend(
            sheet
                .wires
                .iter()
                .map(|wire| Extent {
                    left: wire.left - WIRE_HALF,
                    top: wire.top - WIRE_HALF,
                    right: wire.right + WIRE_HALF,
                    bottom: wire.bottom + WIRE_HALF,
                })
                .filter(|wire| text.meets(wire))
                .map(|wire| format!("wire {text:?} {wire:?}")),
        );
    }
    for (index, symbol) in sheet.symbols.iter().enumerate() {
        let others = &sheet.symbols[..index];
        found.extend(
            others
                .iter()
                .filter(|other| symbol.meets(other))
                .map(|other| format!("symbols {symbol:?} {other:?}")),
        );
    }
    found
}

/// Wires are orthogonal: each box has no width or no height.
fn slanted(sheet: &Drawing) -> usize {
    sheet.wires.iter().filter(|wire| wire.right > wire.left && wire.bottom > wire.top).count()
}

const POSITIONS: [&str; 28] = [
    "primary-fuse",
    "inrush-limiter",
    "transformer",
    "cut-out",
    "secondary-fuse",
    "rectifier",
    "rectifier-sink",
    "rectifier-pad",
    "reservoir",
    "bleeder",
    "regulator",
    "regulator-sink",
    "regulator-pad",
    "set-upper",
    "set-lower",
    "minimum-load",
    "input-capacitor",
    "output-capacitor",
    "reverse-diode",
    "coupling-capacitor",
    "section-choke",
    "section-resistor",
    "section-capacitor",
    "pass-transistor",
    "limit-transistor",
    "ballast-resistor",
    "drive-resistor",
    "clamp-diode",
];

fn part(position: &'static str) -> impl Strategy<Value = Option<DrawnPart>> {
    let word = "[ -~µΩ°電\u{1b}]{0,40}";
    prop::option::weighted(
        0.8,
        (prop::collection::vec(word, 0..4), prop::collection::vec(word, 0..4), word, 0_u32..9, any::<bool>())
            .prop_map(move |(designators, ratings, part, count, polarised)| DrawnPart {
                position: position.to_owned(),
                designators,
                ratings,
                part,
                count,
                polarised,
            }),
    )
}

fn circuit() -> impl Strategy<Value = Circuit> {
    let rectifiers = [
        DrawnRectifier::HalfWave,
        DrawnRectifier::CentreTap,
        DrawnRectifier::Bridge,
        DrawnRectifier::FullWaveDoubler,
        DrawnRectifier::HalfWaveDoubler,
        DrawnRectifier::Dual,
    ];
    let windings = [DrawnWinding::Single, DrawnWinding::Series, DrawnWinding::Parallel, DrawnWinding::Tapped];
    let parts = || POSITIONS.into_iter().map(part).collect::<Vec<_>>();
    let volts = || {
        prop::option::of((-1e6..1e6_f64).prop_map(|volts| Figure::new(volts, Unit::Volts).expect("finite")))
    };
    (
        (prop::sample::select(rectifiers.to_vec()), prop::sample::select(windings.to_vec())),
        prop::array::uniform3(any::<bool>()),
        (parts(), prop::option::of(parts())),
        "[ -~]{0,30}",
        (volts(), volts(), volts(), volts()),
    )
        .prop_map(
            |((rectifier, winding), [one_package, negative, earth], (parts, other), mains, volts)| Circuit {
                rectifier,
                winding,
                one_package,
                negative,
                earth,
                parts: parts.into_iter().flatten().collect(),
                mains,
                emf_rms: volts.0,
                raw_mean: volts.1,
                ripple_pp: volts.2,
                output: volts.3,
                current_max: volts.0,
                negative_side: other.map(|parts| DrawnSide {
                    parts: parts.into_iter().flatten().collect(),
                    raw_mean: volts.3,
                    ripple_pp: volts.0,
                    output: volts.1,
                    current_max: volts.2,
                }),
                transformer_of: None,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, max_shrink_iters: 64, ..ProptestConfig::default() })]

    #[test]
    fn no_lettering_of_any_circuit_lies_over_anything(
        circuits in prop::collection::vec((circuit(), "[ -~]{0,80}"), 1..4),
    ) {
        let mut rails: Vec<RailPictures> = circuits
            .into_iter()
            .map(|(drawing, rail)| RailPictures { rail, drawing, ..RailPictures::default() })
            .collect();
        let sheet = schematic::draw(&rails);
        prop_assert_eq!(overlaps(&sheet), Vec::<String>::new());
        prop_assert_eq!(slanted(&sheet), 0);
        // The same with the second rail on the transformer of the first.
        if rails.len() > 1 {
            rails[1].drawing.rectifier = rails[0].drawing.rectifier;
            rails[1].rail.push('\'');
            // No two rails of a supply have one name.
            rails.iter_mut().skip(2).for_each(|one| one.rail.push('"'));
            rails[1].drawing.transformer_of = Some(rails[0].rail.clone());
            let sheet = schematic::draw(&rails);
            prop_assert_eq!(overlaps(&sheet), Vec::<String>::new());
        }
    }
}

#[test]
fn figures_of_a_real_record_overlap_nowhere() {
    let dossier = sound().audited();
    let found = Figures::of(&dossier);
    let names: Vec<&str> = found.pictures.iter().map(|picture| picture.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "schematic",
            "cost-1",
            "window-1",
            "heat-1",
            "stresses-1",
            "voltages-1",
            "currents-1",
            "switch-on-current-1",
            "switch-on-voltage-1",
            "harmonics",
            "heat"
        ]
    );
    for picture in &found.pictures {
        assert_eq!(overlaps(&picture.drawing), Vec::<String>::new(), "{}", picture.name);
    }
}

/// A circuit made by hand with a part in every position, for each way to rectify.
fn full(rectifier: DrawnRectifier) -> Circuit {
    let volts = |value| Figure::new(value, Unit::Volts);
    let parts = |first: u32| -> Vec<DrawnPart> {
        (first..)
            .zip(POSITIONS)
            .map(|(number, position)| DrawnPart {
                position: position.to_owned(),
                designators: (1..=if position == "rectifier" { 4 } else { 1 })
                    .map(|piece| format!("X{number}-{piece}"))
                    .collect(),
                ratings: vec![String::from("2200 µF"), String::from("35 V")],
                part: format!("PN{number}"),
                count: 1,
                polarised: true,
            })
            .collect()
    };
    let dual = rectifier == DrawnRectifier::Dual;
    let tapped = dual || rectifier == DrawnRectifier::CentreTap;
    Circuit {
        rectifier,
        winding: if tapped { DrawnWinding::Tapped } else { DrawnWinding::Single },
        one_package: dual,
        negative: false,
        earth: true,
        parts: parts(1),
        mains: String::from("230 V, 50 Hz"),
        emf_rms: volts(18.0),
        raw_mean: volts(22.0),
        ripple_pp: volts(1.2),
        output: volts(15.0),
        current_max: Figure::new(1.5, Unit::Amps),
        negative_side: dual.then(|| DrawnSide {
            parts: parts(101),
            raw_mean: volts(22.5),
            ripple_pp: volts(0.8),
            output: volts(15.0),
            current_max: Figure::new(0.5, Unit::Amps),
        }),
        transformer_of: None,
    }
}

#[test]
fn every_way_to_rectify_is_drawn_with_every_part_and_names_them_all() {
    for rectifier in [
        DrawnRectifier::HalfWave,
        DrawnRectifier::CentreTap,
        DrawnRectifier::Bridge,
        DrawnRectifier::FullWaveDoubler,
        DrawnRectifier::HalfWaveDoubler,
        DrawnRectifier::Dual,
    ] {
        let drawing = full(rectifier);
        let rails = [RailPictures { rail: String::from("main"), drawing, ..RailPictures::default() }];
        let sheet = schematic::draw(&rails);
        assert_eq!(overlaps(&sheet), Vec::<String>::new(), "{rectifier:?}");
        let text = sheet.element("full", "Circuit", "Every part.", true);
        let file = format!("{}/full-{rectifier:?}.svg", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(file, &text).expect("written");
        let lost: Vec<&str> = rails[0]
            .drawing
            .parts
            .iter()
            .filter(|part| !text.contains(&part.part))
            .map(|part| part.position.as_str())
            .collect();
        // A coupling capacitor is of the cascade alone.
        let cascade = rectifier == DrawnRectifier::HalfWaveDoubler;
        assert_eq!(lost, if cascade { vec![] } else { vec!["coupling-capacitor"] }, "{rectifier:?}");
    }
}

#[test]
fn the_drawing_of_a_record_names_every_designator_that_is_drawn() {
    let dossier = sound().audited();
    let (_, text) = &figures(&dossier)[0];
    for part in &dossier.parts {
        let first = part.designators.first().expect("named");
        assert!(text.contains(first.as_str()), "{first} in {}", part.position);
        assert!(text.contains(&part.part), "{}", part.part);
    }
}

#[test]
fn the_same_dossier_gives_the_same_drawings() {
    let bench = sound();
    assert_eq!(figures(&bench.audited()), figures(&bench.audited()));
}

#[test]
fn hostile_names_open_no_tag_in_a_drawing() {
    let hostile = "</svg><script>alert(1)</script>\u{1b}[2J\u{202e}\" onload=\"x";
    for (name, text) in figures(&dossier(hostile)) {
        assert!(!text.contains("<script"), "{name}");
        assert_eq!(text.matches("</svg>").count(), 1, "{name}");
        assert!(!text.contains("\" onload"), "{name}");
        assert!(!text.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202e}'), "{name}");
        assert!(
            name.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.')),
            "{name}"
        );
    }
}

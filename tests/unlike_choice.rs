//! The choice of two rails of different voltage on one transformer, against every combination of small catalogs.

use railwright::{
    catalog::{Catalog, Common, family::regulator::Setting},
    circuit::{corner::Vertex, spec::Topology},
    quantity::{Farads, Volts},
    requirement::{Requirement, Sharing},
    selection::{choose::Inputs, pairs::pair, share::score, vertices::named},
    stress::{
        assembly::{Assembly, Cooling, Mate, RectifierPart, Regulation, Reservoir, ResistorChoice, Wiring},
        bench::{Asked, Bench, no_load_peak_v, numbers},
        registry::judge,
        resistor::choose_bleeder,
        verdict::Verdict,
    },
};
use rayon::prelude::*;
use rust_decimal::Decimal;

use crate::support::world;

const ASKED: &str = "
name: two unlike
description: two rails of different voltage that may share a transformer
mains: {voltage: 230 V, frequency: 50 Hz}
ambient: {max: 40 °C, enclosure_rise: 8 K}
rails:
  - {name: low, voltage: 5 V, tolerance: 5 %, current: {min: 60 mA, max: 1 A}, ripple_pp: 10 mV}
  - {name: high, voltage: 12 V, tolerance: 5 %, current: {min: 60 mA, max: 500 mA}, ripple_pp: 10 mV}
topologies: [bridge]
shared_transformer: any-two
build: {quantity: 20, currency: EUR}
preferences: {parallel_max: 2}
";

/// Small catalogs compared.
const SEEDS: u64 = 2;
/// Of these, at least so many with a pair that can be built.
const FEASIBLE: usize = 2;

/// A number that looks random, from a text and a seed.
fn hash(text: &str, seed: u64) -> u64 {
    text.bytes().fold(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0xcbf2_9ce4_8422_2325, |all, byte| {
        (all ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

macro_rules! only {
    ($catalog:ident, $seed:ident, $($family:ident: $ids:expr),+) => {$(
        $catalog.$family.retain(|part| $ids.contains(&part.common.id.0.as_str()));
        for part in &mut $catalog.$family {
            reprice(&mut part.common, $seed);
        }
    )+};
}

/// Every offer of a part at another price.
fn reprice(common: &mut Common, seed: u64) {
    let percent = i64::try_from(70 + hash(&common.id.0, seed) % 61).expect("small");
    for one in common.offers.iter_mut().flat_map(|offer| &mut offer.breaks) {
        one.each *= Decimal::new(percent, 2);
    }
}

/// The parts of the kept design with some of their neighbours, at other prices.
fn small(whole: &Catalog, seed: u64) -> Catalog {
    let mut catalog = whole.clone();
    let none: [&str; 0] = [];
    only!(catalog, seed,
        transformers: ["TV45-9-15", "TV70-9-15", "TV45-9-18", "TV32-9-15"], diodes: ["DV2-100"], bridges: none,
        electrolytics: ["TG25-3300", "TG35-2200"], small_capacitors: ["XR0R47-50", "ML100-25"],
        regulators: ["TL30-5V0", "TL30-12V0", "TL10-12V0"], sinks: ["WP2R3", "WB3R7"], pads: ["WG-50"],
        fuses: ["OC-T0R5", "OC-T0R63"], cut_outs: none, limiters: none, transistors: none, resistors: ["PCF25"]
    );
    catalog
}

fn with_none<T>(list: &[T]) -> Vec<Option<&T>> {
    std::iter::once(None).chain(list.iter().map(Some)).collect()
}

fn mate<'a>(asked: &[Asked<'a>; 2], own: usize) -> Mate<'a> {
    Mate { rail: asked[1 - own].rail, lists_core: own == 1, parts: None, assumed_a: 0.0 }
}

/// Every train of one rail behind one winding whose parts fit each other; what its bleeder is, a rule says.
fn trains<'a>(
    asked: &[Asked<'a>; 2],
    own: usize,
    catalog: &'a Catalog,
    transformer: usize,
    primary: usize,
    wiring: Wiring,
) -> Vec<Assembly<'a>> {
    let transformer = &catalog.transformers[transformer];
    let rectifiers: Vec<RectifierPart<'a>> = catalog
        .bridges
        .iter()
        .map(RectifierPart::Bridge)
        .chain(catalog.diodes.iter().map(RectifierPart::Diodes))
        .collect();
    let sinks =
        catalog.sinks.iter().flat_map(|sink| catalog.pads.iter().map(move |pad| Cooling { sink, pad }));
    let coolings: Vec<Option<Cooling<'a>>> = std::iter::once(None).chain(sinks.map(Some)).collect();
    let capacitors = with_none(&catalog.small_capacitors);
    let mut found = Vec::new();
    for &rectifier in &rectifiers {
        for part in &catalog.electrolytics {
            for count in 1..=2 {
                for regulator in &catalog.regulators {
                    for &cooling in &coolings {
                        let mut fitting = Vec::new();
                        for &input in &capacitors {
                            for &output in &capacitors {
                                for reverse_diode in with_none(&catalog.diodes) {
                                    let regulation = Some(Regulation {
                                        part: regulator,
                                        cooling,
                                        set: None,
                                        minimum_load: None,
                                        input,
                                        output,
                                        reverse_diode,
                                        clamp_diode: None,
                                        pass: None,
                                    });
                                    let bare = Assembly {
                                        transformer,
                                        primary,
                                        wiring,
                                        topology: Topology::Bridge,
                                        rectifier,
                                        rectifier_cooling: None,
                                        section: None,
                                        reservoir: Reservoir { part, count },
                                        bleeder: None,
                                        regulation,
                                        primary_fuse: None,
                                        limiter: None,
                                        secondary_fuse: None,
                                        cut_out: None,
                                        mate: Some(mate(asked, own)),
                                    };
                                    fitting.extend(bled(asked[own], &bare, catalog));
                                }
                            }
                        }
                        found.extend(plainest(&fitting));
                    }
                }
            }
        }
    }
    found
}

/// Those from which nothing can be left out: an order for more pieces never costs less.
fn plainest<'a>(all: &[Assembly<'a>]) -> Vec<Assembly<'a>> {
    let parts = |one: &Assembly<'a>| {
        one.lines().iter().map(|line| (line.position, line.common.id.0.clone())).collect::<Vec<_>>()
    };
    let lists: Vec<Vec<_>> = all.iter().map(parts).collect();
    let within =
        |one: &Vec<_>, other: &Vec<_>| one.len() < other.len() && one.iter().all(|part| other.contains(part));
    let kept = all.iter().zip(&lists).filter(|(_, own)| !lists.iter().any(|other| within(other, own)));
    kept.map(|(one, _)| *one).collect()
}

/// The train with the bleeder that its rule picks, if its own stage passes what reads no circuit.
fn bled<'a>(asked: Asked<'a>, bare: &Assembly<'a>, catalog: &'a Catalog) -> Option<Assembly<'a>> {
    let stage = bare.regulation?;
    if (asked.rail.voltage.0 - fixed(stage.part.setting)?).abs() > 1e-9 {
        return None;
    }
    let (supply, ..) = numbers(asked, bare).ok()?;
    let peak_v = no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
    let Reservoir { part, count } = bare.reservoir;
    let farad = Farads(part.capacitance.0 * f64::from(count) * (1.0 + part.tolerance_plus.0));
    let series = catalog.resistors.first()?;
    let bleeder: Option<ResistorChoice<'a>> = choose_bleeder(asked, series, farad, Volts(peak_v));
    let train = Assembly { bleeder, ..*bare };
    let bench = Bench::build(asked, train, std::iter::once(named(false, false).next()?)).ok()?;
    let own = ["regulator-input-capacitor", "regulator-output-capacitor", "regulator-reverse-diode"];
    let fails = |verdict: &Verdict| !verdict.holds() && own.contains(&verdict.code());
    (!judge(&bench).iter().any(fails)).then_some(train)
}

fn fixed(setting: Setting) -> Option<f64> {
    match setting {
        Setting::Fixed { output } => Some(output.0),
        Setting::Adjustable { .. } => None,
    }
}

fn holds(asked: Asked<'_>, assembly: &Assembly<'_>, vertices: impl Iterator<Item = Vertex>) -> bool {
    Bench::build(asked, *assembly, vertices).is_ok_and(|bench| judge(&bench).iter().all(Verdict::holds))
}

/// Second method: every combination by what both cost together, the first that passes at every vertex.
fn least<'a>(requirement: &'a Requirement, asked: &[Asked<'a>; 2], catalog: &'a Catalog) -> Option<f64> {
    let mut all: Vec<(f64, [Assembly<'a>; 2])> = Vec::new();
    for (transformer, part) in catalog.transformers.iter().enumerate() {
        for (primary, connection) in part.primaries.iter().enumerate() {
            if (connection.rated.0 - requirement.mains.voltage.0).abs() > 20.0 {
                continue;
            }
            for wiring in [Wiring::First, Wiring::Second] {
                let ones = trains(asked, 0, catalog, transformer, primary, wiring);
                let others = trains(asked, 1, catalog, transformer, primary, wiring.other());
                for one in &ones {
                    for other in &others {
                        for fuse in &catalog.fuses {
                            let with = |own: &Assembly<'a>, beside: &Assembly<'a>| Assembly {
                                primary_fuse: Some(fuse),
                                mate: own.mate.map(|mate| Mate { parts: Some(beside.as_mate()), ..mate }),
                                ..*own
                            };
                            let both = [with(one, other), with(other, one)];
                            all.push((score(requirement, both.map(|one| (one, 0.0))), both));
                        }
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let passes = |both: &[Assembly<'a>; 2]| {
        let few = || named(false, true);
        (0..2).all(|at| holds(asked[at], &both[at], few().take(2)))
            && (0..2).all(|at| holds(asked[at], &both[at], few()))
            && (0..2).all(|at| holds(asked[at], &both[at], Vertex::all(false, true)))
    };
    all.par_iter().find_first(|(_, both)| passes(both)).map(|(score, _)| *score)
}

#[test]
fn no_combination_of_a_small_catalog_costs_less_than_the_pair_that_is_chosen() {
    let (whole, policy, requirement) = (world::demo(), world::policy("house"), world::asked(ASKED));
    assert_eq!(requirement.sharing, Sharing::AnyTwo);
    let mut feasible = 0;
    for seed in 0..SEEDS {
        let catalog = small(&whole, seed);
        let inputs = Inputs { requirement: &requirement, catalog: &catalog, policy: &policy };
        let asked = [0, 1].map(|rail| inputs.asked(rail).expect("two rails"));
        let found = pair(inputs, [0, 1], f64::INFINITY).map(|pair| pair.score);
        let expected = least(&requirement, &asked, &catalog);
        match (found, expected) {
            (None, None) => {}
            (Some(found), Some(expected)) => {
                feasible += 1;
                assert!((found - expected).abs() < 1e-6, "seed {seed}: chosen {found}, least {expected}");
            }
            other => panic!("seed {seed}: chosen and least {other:?}"),
        }
    }
    assert!(feasible >= FEASIBLE, "{feasible} feasible");
}

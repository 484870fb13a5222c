//! The choice of two or three rails of different voltage on one transformer, against every combination of small catalogs.

use railwright::{
    candidate::source::seats,
    catalog::{Catalog, Common, DiodePart, Fuse, Regulator, family::regulator::Setting},
    circuit::{corner::Vertex, spec::Topology},
    numeric::few::Few,
    quantity::{Farads, Volts},
    requirement::{Polarity, Requirement, Sharing},
    selection::{choose::Inputs, group::group, share::score, vertices::named},
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

const THREE: &str = "
name: three
description: both signs and a low voltage that may share a transformer
mains: {voltage: 230 V, frequency: 50 Hz}
ambient: {max: 40 °C, enclosure_rise: 8 K}
rails:
  - {name: plus, voltage: 12 V, tolerance: 5 %, current: {min: 50 mA, max: 450 mA}, ripple_pp: 5 mV}
  - {name: minus, voltage: 12 V, polarity: negative, tolerance: 5 %, current: {min: 50 mA, max: 350 mA}, ripple_pp: 5 mV}
  - {name: logic, voltage: 5 V, tolerance: 5 %, current: {min: 20 mA, max: 400 mA}, ripple_pp: 20 mV}
topologies: [bridge, dual-complementary]
shared_transformer: any-three
build: {quantity: 20, currency: EUR}
preferences: {parallel_max: 1}
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

/// The parts of a kept design with some of their neighbours, at other prices.
fn small_of_two(whole: &Catalog, seed: u64) -> Catalog {
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

/// Three rails, two of them to be about a tap.
fn small_of_three(whole: &Catalog, seed: u64) -> Catalog {
    let mut catalog = whole.clone();
    let none: [&str; 0] = [];
    only!(catalog, seed,
        transformers: ["TW45-2X15-9"], diodes: ["CR1-100"], bridges: ["CB1-100"],
        electrolytics: ["TG35-2200", "TG25-2200"], small_capacitors: ["XR0R47-50", "ML47-35"],
        regulators: ["TL10-12V0", "TN15-12V0", "TL10-5V0"], sinks: ["WP3R2", "WB4R4"], pads: ["WG-50", "ISL-20"],
        fuses: ["OC-T0R5"], cut_outs: none, limiters: none, transistors: none, resistors: ["PCF25"]
    );
    catalog
}

/// One way to feed some rails from a transformer.
#[derive(Clone, Copy)]
struct Fed<'a, 's> {
    asked: &'s [Asked<'a>],
    transformer: usize,
    primary: usize,
    topologies: &'s [Topology],
}

impl<'a> Fed<'a, '_> {
    /// The other rails as one of them knows them without parts.
    fn mates(&self, own: usize, wirings: Few<Wiring>) -> Few<Mate<'a>> {
        let others = (0..self.asked.len()).filter(|&other| other != own).zip(wirings);
        Few::of(others.map(|(other, wiring)| Mate {
            rail: self.asked[other].rail,
            wiring,
            lists_core: other == 0,
            parts: None,
            assumed_a: 0.0,
        }))
    }
}

/// Every train of one rail behind one winding whose parts fit each other; what its bleeder is, a rule says.
fn trains<'a>(
    fed: Fed<'a, '_>,
    own: usize,
    catalog: &'a Catalog,
    (wiring, others): (Wiring, Few<Wiring>),
) -> Vec<Assembly<'a>> {
    let (transformer, primary) = (&catalog.transformers[fed.transformer], fed.primary);
    let (asked, topology) = (fed.asked[own], fed.topologies[own]);
    // Rails of opposite signs ask for a diode to the common, two of one sign for one to the input.
    let opposite = fed.asked.len() > 2;
    // A rule refuses a diode that does not state its rms current, whatever it would carry.
    let stated = |one: &&DiodePart| one.element.rms_max.is_some();
    let rectifiers: Vec<RectifierPart<'a>> = catalog
        .bridges
        .iter()
        .map(RectifierPart::Bridge)
        .chain(catalog.diodes.iter().filter(stated).map(RectifierPart::Diodes))
        .collect();
    let sinks =
        catalog.sinks.iter().flat_map(|sink| catalog.pads.iter().map(move |pad| Cooling { sink, pad }));
    // The tab of a negative regulator is not at the common: what lies below it insulates.
    let insulates = asked.rail.polarity == Polarity::Negative;
    let fits = |cooling: &Cooling<'a>| cooling.pad.isolation.is_some() == insulates;
    let coolings: Vec<Option<Cooling<'a>>> =
        std::iter::once(None).chain(sinks.filter(fits).map(Some)).collect();
    let capacitors = with_none(&catalog.small_capacitors);
    let mut found = Vec::new();
    for &rectifier in &rectifiers {
        for part in &catalog.electrolytics {
            for count in 1..=asked.requirement.preferences.parallel_max {
                // A rule refuses one of the other polarity whatever stands around it.
                let suited = |one: &&Regulator| one.positive == (asked.rail.polarity == Polarity::Positive);
                for regulator in catalog.regulators.iter().filter(suited) {
                    for &cooling in &coolings {
                        let mut fitting = Vec::new();
                        for &input in &capacitors {
                            for &output in &capacitors {
                                for diode in with_none(&catalog.diodes) {
                                    let regulation = Some(Regulation {
                                        part: regulator,
                                        cooling,
                                        set: None,
                                        minimum_load: None,
                                        input,
                                        output,
                                        reverse_diode: diode.filter(|_| !opposite),
                                        clamp_diode: diode.filter(|_| opposite),
                                        pass: None,
                                    });
                                    let bare = Assembly {
                                        transformer,
                                        primary,
                                        wiring,
                                        topology,
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
                                        mates: fed.mates(own, others),
                                    };
                                    fitting.extend(bled(asked, &bare, catalog));
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
    let own = [
        "regulator-input-capacitor",
        "regulator-output-capacitor",
        "regulator-reverse-diode",
        "output-clamp",
    ];
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

/// Second method: every combination by what all cost together, the first that passes at every vertex.
fn least<'a>(
    requirement: &'a Requirement,
    asked: &[Asked<'a>],
    catalog: &'a Catalog,
    plans: &[Vec<Topology>],
) -> Option<f64> {
    let mut all: Vec<(f64, Vec<Assembly<'a>>)> = Vec::new();
    for (transformer, part) in catalog.transformers.iter().enumerate() {
        for (primary, connection) in part.primaries.iter().enumerate() {
            if (connection.rated.0 - requirement.mains.voltage.0).abs() > 20.0 {
                continue;
            }
            for topologies in plans {
                let fed = Fed { asked, transformer, primary, topologies };
                let ways: Vec<Vec<(Wiring, Few<Wiring>)>> =
                    (0..asked.len()).map(|own| seats(part, topologies, own)).collect();
                for way in 0..ways.first().map_or(0, Vec::len) {
                    let lists: Vec<Vec<Assembly<'a>>> = ways
                        .iter()
                        .enumerate()
                        .map(|(own, ways)| trains(fed, own, catalog, ways[way]))
                        .collect();
                    for some in combinations(&lists).iter().filter(|some| one_rectifier_about_a_tap(some)) {
                        for fuse in &catalog.fuses {
                            let together = beside(asked, some, fuse);
                            let total = score(requirement, together.iter().map(|one| (*one, 0.0)));
                            all.push((total, together));
                        }
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let passes = |some: &[Assembly<'a>]| {
        let few = || named(false, true);
        let each = || asked.iter().zip(some);
        each().all(|(&asked, one)| holds(asked, one, few().take(2)))
            && each().all(|(&asked, one)| holds(asked, one, few()))
            && each().all(|(&asked, one)| holds(asked, one, Vertex::all(false, true)))
    };
    all.par_iter().find_first(|(_, some)| passes(some)).map(|(score, _)| *score)
}

/// One of each list in every way.
fn combinations<'a>(lists: &[Vec<Assembly<'a>>]) -> Vec<Vec<Assembly<'a>>> {
    lists.iter().fold(vec![Vec::new()], |all, list| {
        let longer = |some: &Vec<Assembly<'a>>| {
            list.iter().map(|one| some.iter().copied().chain([*one]).collect()).collect::<Vec<_>>()
        };
        all.iter().flat_map(longer).collect()
    })
}

fn one_rectifier_about_a_tap(some: &[Assembly<'_>]) -> bool {
    let sides = some.iter().filter(|one| one.topology == Topology::DualComplementary);
    let of = |one: &Assembly<'_>| {
        let sink = one.rectifier_cooling.map(|cooling| cooling.sink.common.id.0.clone());
        (one.rectifier.common().id.0.clone(), sink)
    };
    let all: Vec<_> = sides.map(of).collect();
    all.windows(2).all(|two| two[0] == two[1])
}

/// All of them with each other beside them, behind a fuse.
fn beside<'a>(asked: &[Asked<'a>], some: &[Assembly<'a>], fuse: &'a Fuse) -> Vec<Assembly<'a>> {
    let one = |at: usize| {
        let others = (0..some.len()).filter(|&other| other != at);
        let mates = others.map(|other| Mate::known(asked[other].rail, &some[other], other == 0));
        Assembly { primary_fuse: Some(fuse), ..some[at].among(mates) }
    };
    (0..some.len()).map(one).collect()
}

/// Compares on catalogs of other prices; gives how many had something that can be built.
fn compare(
    requirement: &Requirement,
    small: fn(&Catalog, u64) -> Catalog,
    seeds: u64,
    (plans, within): (&[Vec<Topology>], f64),
) -> usize {
    let (whole, policy) = (world::demo(), world::policy("house"));
    let rails: Vec<usize> = (0..requirement.rails.len()).collect();
    let mut feasible = 0;
    for seed in 0..seeds {
        let catalog = small(&whole, seed);
        let inputs = Inputs { requirement, catalog: &catalog, policy: &policy };
        let asked: Vec<Asked<'_>> = rails.iter().map(|&rail| inputs.asked(rail).expect("a rail")).collect();
        let found = group(inputs, &rails, f64::INFINITY).map(|group| group.score);
        let expected = least(requirement, &asked, &catalog, plans);
        match (found, expected) {
            (None, None) => {}
            (Some(found), Some(expected)) => {
                feasible += 1;
                let beyond = found / expected - 1.0;
                assert!((-1e-9..=within).contains(&beyond), "seed {seed}: chosen {found}, least {expected}");
            }
            other => panic!("seed {seed}: chosen and least {other:?}"),
        }
    }
    feasible
}

#[test]
fn no_combination_of_a_small_catalog_costs_less_than_the_pair_that_is_chosen() {
    let requirement = world::asked(ASKED);
    assert_eq!(requirement.sharing, Sharing::AnyTwo);
    let feasible = compare(&requirement, small_of_two, SEEDS, (&[vec![Topology::Bridge; 2]], 1e-9));
    assert!(feasible >= FEASIBLE, "{feasible} feasible");
}

/// Of three rails a train is sought beside two taken as alike, which is no bound: what that misses is held to a hundredth. Of the two
/// catalogs one agrees, in the other the choice costs 0.9 % more.
#[test]
fn three_rails_that_are_chosen_cost_at_most_a_hundredth_more_than_any_combination_of_a_small_catalog() {
    let requirement = world::asked(THREE);
    assert_eq!(requirement.sharing, Sharing::AnyThree);
    let tap = Topology::DualComplementary;
    let plans = [vec![Topology::Bridge; 3], vec![tap, tap, Topology::Bridge]];
    let feasible = compare(&requirement, small_of_three, SEEDS, (&plans, 0.01));
    assert!(feasible >= FEASIBLE, "{feasible} feasible");
}

//! The choice before a second section against every combination of small catalogs; the laws of two banks.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use railwright::candidate::shop::{Shop, View};
use railwright::catalog::Catalog;
use railwright::circuit::spec::Topology;
use railwright::physics::bleeder::discharge_time_of_two;
use railwright::physics::choke::clc_crests;
use railwright::physics::preferred::Series;
use railwright::policy::Policy;
use railwright::quantity::{Amps, Farads, Henries, Ohms, Ratio, Volts};
use railwright::requirement::{Rail, Regulation, Requirement, Section as Allowed};
use railwright::selection::choose::{Inputs, RailOutcome, Searches};
use railwright::selection::joint::joint;
use railwright::selection::leaf::{Found, order_of};
use railwright::selection::search::{Circuit, Search, circuits};
use railwright::stress::assembly::{
    Assembly, Cooling, RectifierPart, Regulation as Stage, Reservoir, ResistorChoice, Section, Wiring,
};
use railwright::stress::bench::{Asked, no_load_peak_v, numbers};
use railwright::stress::resistor::{choose_bleeder_of_two, greatest_ohm};

use crate::support::thinned::{first_that_holds, keep};
use crate::support::world;

const ASKED: &str = include_str!("../designs/phono-stage/requirements.yaml");
/// Series whose every value is tried between the banks, the first taken for flameproof; the second also bleeds.
const SERIES: [&str; 2] = ["PMF05", "PCF25"];

/// A few parts a family: those of the kept design and neighbours that are cheaper, dearer or too small.
fn small(whole: &Catalog, transformers: &[&str]) -> Catalog {
    let mut catalog = whole.clone();
    let none: [&str; 0] = [];
    keep!(
        catalog, transformers: transformers, chokes: ["BL30-1", "BL60-2"], bridges: ["DM05-600", "CB1-600"], diodes: none,
        electrolytics: ["TG50-2200", "TG50-1000"], resistors: SERIES, fuses: ["OC-T0R5"], limiters: none,
        cut_outs: none, sinks: none, pads: none, regulators: none, transistors: none, small_capacitors: none,
    );
    for series in catalog.resistors.iter_mut().filter(|one| one.common.id.0 == SERIES[0]) {
        series.flameproof = true;
    }
    catalog
}

/// The same before a regulator: two regulators, what they need about them, and a sink; the first series is no longer flameproof.
fn small_regulated(whole: &Catalog, transformers: &[&str], flameproof: bool) -> Catalog {
    let mut catalog = whole.clone();
    let none: [&str; 0] = [];
    keep!(
        catalog, transformers: transformers, chokes: ["BL30-1", "BL60-2"], bridges: ["DM05-600"], diodes: none,
        electrolytics: ["TG50-2200", "TG50-470"], resistors: ["GMO1", "GMO2"], fuses: ["OC-T0R5"], limiters: none,
        cut_outs: none, sinks: ["WA13", "WB9R2"], pads: ["WG-50"], regulators: ["TL10-12V0", "TL30-12V0"], transistors: none,
        small_capacitors: ["XR0R47-50", "ML68-35"],
    );
    for series in catalog.resistors.iter_mut().filter(|one| one.common.id.0 == "GMO1") {
        series.flameproof = flameproof;
    }
    catalog
}

/// Every regulator with each way of cooling it; a raw rail has no regulator. Capacitors as the makers of both ask for them.
fn stages<'a>(asked: Asked<'a>, shop: &Shop<'a>) -> Vec<(f64, Option<Stage<'a>>)> {
    if asked.rail.regulation == Regulation::None {
        return vec![(0.0, None)];
    }
    let small =
        |id: &str| shop.small_capacitors.iter().find(|one| one.common.id.0 == id).expect("kept above");
    let (input, output) = (small("XR0R47-50"), small("ML68-35"));
    let pad = shop.pads.first().expect("kept above");
    let sunk = shop
        .sinks
        .iter()
        .map(|sink| (sink.score(1) + pad.score(1), Some(Cooling { sink: sink.part, pad: pad.part })));
    let ways: Vec<_> = std::iter::once((0.0, None)).chain(sunk).collect();
    let stage = |part, cooling| Stage {
        part,
        cooling,
        set: None,
        minimum_load: None,
        input: Some(input.part),
        output: Some(output.part),
        reverse_diode: None,
        clamp_diode: None,
        pass: None,
    };
    let around = input.score(1) + output.score(1);
    let of = |one: &railwright::candidate::shop::Priced<'a, railwright::catalog::Regulator>| {
        let (score, part) = (around + one.score(1), one.part);
        ways.iter()
            .map(move |&(cost, cooling)| (score + cost, Some(stage(part, cooling))))
            .collect::<Vec<_>>()
    };
    shop.regulators.iter().flat_map(of).collect()
}

/// Everything that may join the banks, with its score: each choke, or each value in a range of each series.
fn links<'a>(
    shop: &Shop<'a>,
    second: Allowed,
    (least_ohm, most_ohm): (f64, f64),
) -> Vec<(f64, Option<&'a railwright::catalog::Choke>, Option<ResistorChoice<'a>>)> {
    if second == Allowed::Clc {
        return shop.chokes.iter().map(|one| (one.score(1), Some(one.part), None)).collect();
    }
    let values = |one: &railwright::candidate::shop::Priced<'a, railwright::catalog::ResistorSeries>| {
        let series = if one.part.per_decade == 96 { Series::E96 } else { Series::E24 };
        let choice = |ohms| Some(ResistorChoice { series: one.part, value: Ohms(ohms) });
        series
            .between(least_ohm, most_ohm)
            .into_iter()
            .map(|ohms| (one.score(1), None, choice(ohms)))
            .collect::<Vec<_>>()
    };
    shop.resistors.iter().flat_map(values).collect()
}

/// Second method: every combination that scores no more than a bound, judged by every rule at every vertex; the least score of
/// those that pass.
fn least<'a>(
    asked: Asked<'a>,
    shop: &Shop<'a>,
    (second, ohms): (Allowed, (f64, f64)),
    most: f64,
) -> Option<f64> {
    let stages = stages(asked, shop);
    let most_parallel = asked.requirement.preferences.parallel_max;
    let banks: Vec<(f64, Reservoir<'a>)> = shop
        .electrolytics
        .iter()
        .flat_map(|one| {
            (1..=most_parallel).map(move |count| (one.score(count), Reservoir { part: one.part, count }))
        })
        .collect();
    let mut all: Vec<(f64, Assembly<'a>)> = Vec::new();
    for transformer in &shop.transformers {
        for bridge in &shop.bridges {
            for (first_score, first) in &banks {
                for (second_score, behind) in &banks {
                    for (link_score, choke, resistor) in links(shop, second, ohms) {
                        let section = match (choke, resistor) {
                            (Some(choke), _) => Section::Clc(choke, *behind),
                            (None, Some(resistor)) => Section::Crc(resistor, *behind),
                            (None, None) => continue,
                        };
                        let bare = Assembly {
                            transformer: transformer.part,
                            primary: 0,
                            wiring: Wiring::Single,
                            topology: Topology::Bridge,
                            rectifier: RectifierPart::Bridge(bridge.part),
                            rectifier_cooling: None,
                            reservoir: *first,
                            section: Some(section),
                            bleeder: None,
                            regulation: None,
                            primary_fuse: shop.fuses.first().map(|fuse| fuse.part),
                            limiter: None,
                            secondary_fuse: None,
                            cut_out: None,
                            mates: railwright::numeric::few::Few::NONE,
                        };
                        let fuse = shop.fuses.first().map_or(0.0, |fuse| fuse.score(1));
                        let score = transformer.score(1)
                            + bridge.score(1)
                            + first_score
                            + second_score
                            + link_score
                            + fuse;
                        for &(stage_score, regulation) in &stages {
                            let staged = Assembly { regulation, ..bare };
                            all.extend(bled(asked, shop, score + stage_score, &staged));
                        }
                    }
                }
            }
        }
    }
    all.retain(|(score, _)| *score <= most + 1e-9);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    first_that_holds(asked, all).map(|(score, _)| score)
}

/// With each bleeder that its rule picks.
fn bled<'a>(asked: Asked<'a>, shop: &Shop<'a>, score: f64, bare: &Assembly<'a>) -> Vec<(f64, Assembly<'a>)> {
    let Ok((supply, ..)) = numbers(asked, bare) else { return Vec::new() };
    let peak_v = no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
    let farad = |bank: Reservoir<'_>| {
        Farads(bank.part.capacitance.0 * f64::from(bank.count) * (1.0 + bank.part.tolerance_plus.0))
    };
    let Some((second, section)) = bare.section.and_then(|one| Some((one.second()?, one))) else {
        return Vec::new();
    };
    let between = match section.resistor() {
        Some(choice) => greatest_ohm(asked, choice),
        None => section.choke().map_or(0.0, |choke| choke.resistance.0),
    };
    let with = |one: &railwright::candidate::shop::Priced<'a, railwright::catalog::ResistorSeries>| {
        let banks = (farad(bare.reservoir), farad(second));
        let bleeder = choose_bleeder_of_two(asked, one.part, banks, Ohms(between), Volts(peak_v))?;
        Some((score + one.score(1), Assembly { bleeder: Some(bleeder), ..*bare }))
    };
    shop.resistors.iter().filter_map(with).collect()
}

fn compared(
    requirement: &Requirement,
    catalog: &Catalog,
    policy: &Policy,
    (second, ohms): (Allowed, (f64, f64)),
) -> bool {
    let asked = Inputs { requirement, catalog, policy }.asked(0).expect("one rail");
    let shop = Shop::open(catalog, requirement, View::Alone);
    let circuit = Circuit { topology: Topology::Bridge, second: Some(second) };
    let found = Search::of(asked, &shop, circuit).run(f64::INFINITY).found.into_iter().next();
    let found = found.map(|one| one.score);
    match (found, least(asked, &shop, (second, ohms), found.unwrap_or(f64::INFINITY))) {
        (Some(found), Some(expected)) => {
            assert_relative_eq!(found, expected, max_relative = 1e-9);
            true
        }
        (None, None) => false,
        (found, expected) => panic!("search {found:?}, every combination {expected:?}"),
    }
}

#[test]
fn no_combination_of_a_small_catalog_costs_less_than_what_is_chosen_before_a_second_section() {
    let (whole, policy) = (world::demo(), world::policy("house"));
    let mut requirement = world::asked(ASKED);
    let mut feasible = 0;
    for (second, transformers, ripple_v, parallel) in [
        (Allowed::Crc, ["PB5-15", "PB10-15"], 0.03, 2),
        (Allowed::Crc, ["PB5-12", "PB10-18"], 0.1, 1),
        (Allowed::Clc, ["PB5-15", "PB10-15"], 0.02, 2),
    ] {
        requirement.rails[0].ripple.0 = Volts(ripple_v);
        requirement.preferences.parallel_max = parallel;
        let catalog = small(&whole, &transformers);
        feasible += usize::from(compared(&requirement, &catalog, &policy, (second, (3.0, 12.0))));
    }
    assert!(feasible >= 2, "{feasible} small catalogs let a rail be built");
}

#[test]
fn no_combination_of_a_small_catalog_costs_less_than_what_is_chosen_before_a_second_section_and_a_regulator()
{
    let (whole, policy) = (world::demo(), world::policy("house"));
    let mut requirement = world::asked(ASKED);
    let rail = &mut requirement.rails[0];
    (rail.voltage, rail.tolerance, rail.regulation) = (Volts(12.0), Ratio(0.05), Regulation::Any);
    requirement.rails[0].current_max = Amps(0.12);
    let mut feasible = 0;
    for (second, transformers, (ripple_v, parallel), flameproof) in [
        (Allowed::Crc, ["PB16-15", "PB10-12"], (0.5e-3, 1), true),
        (Allowed::Crc, ["PB16-15", "PB10-15"], (1e-3, 1), false),
        (Allowed::Crc, ["PB5-12", "PB10-12"], (2e-3, 2), true),
        (Allowed::Clc, ["PB16-15", "PB10-12"], (2e-3, 2), true),
    ] {
        requirement.preferences.parallel_max = parallel;
        requirement.rails[0].ripple.0 = Volts(ripple_v);
        let catalog = small_regulated(&whole, &transformers, flameproof);
        feasible += usize::from(compared(&requirement, &catalog, &policy, (second, (1.0, 40.0))));
    }
    assert!(feasible >= 2, "{feasible} small catalogs let a rail be built");
}

/// A second section stands where it is allowed, behind a rectifier of one winding; a choke input before no regulator.
#[test]
fn a_second_section_is_looked_for_where_it_is_allowed() {
    let mut requirement = world::asked(ASKED);
    let sectioned = |requirement: &Requirement| {
        circuits(requirement, &requirement.rails[0]).iter().filter(|one| one.second.is_some()).count()
    };
    assert_eq!(sectioned(&requirement), 2);
    requirement.topologies = vec![railwright::requirement::Topology::FullWaveDoubler];
    assert_eq!(sectioned(&requirement), 0);
    requirement.topologies = vec![railwright::requirement::Topology::HalfWave];
    assert_eq!(sectioned(&requirement), 2);
    requirement.rails.push(requirement.rails[0].clone());
    assert_eq!(sectioned(&requirement), 2);
    requirement.rails[0].regulation = Regulation::Any;
    requirement.sections.push(Allowed::ChokeInput);
    requirement.topologies = vec![railwright::requirement::Topology::Bridge];
    assert_eq!(sectioned(&requirement), 2);
    requirement.rails[0].regulation = Regulation::None;
    assert_eq!(sectioned(&requirement), 3);
}

/// Law: a rail with a section beside another is what it is alone, both cost no more than apart, and less where they share an order.
#[test]
fn a_rail_with_a_section_stands_beside_another() {
    let (whole, policy) = (world::demo(), world::policy("house"));
    let alone = world::asked(ASKED);
    let mut requirement = alone.clone();
    requirement.rails.push(Rail {
        name: String::from("logic"),
        voltage: Volts(5.0),
        tolerance: Ratio(0.05),
        current_max: Amps(0.3),
        regulation: Regulation::Any,
        ..alone.rails[0].clone()
    });
    let mut catalog = small(&whole, &["PB5-15", "PB10-15", "PD8-2x9"]);
    let keep = |id: &str| ["TL10-5V0", "WB9R2", "WG-50", "XR0R47-50", "ML47-35", "DM05-600"].contains(&id);
    catalog.regulators = whole.regulators.iter().filter(|one| keep(&one.common.id.0)).cloned().collect();
    catalog.sinks = whole.sinks.iter().filter(|one| keep(&one.common.id.0)).cloned().collect();
    catalog.pads = whole.pads.iter().filter(|one| keep(&one.common.id.0)).cloned().collect();
    catalog.small_capacitors =
        whole.small_capacitors.iter().filter(|one| keep(&one.common.id.0)).cloned().collect();
    catalog.fuses = whole.fuses.iter().filter(|one| one.common.id.0.starts_with("OC-T0R")).cloned().collect();
    let inputs = Inputs { requirement: &requirement, catalog: &catalog, policy: &policy };
    let shop = Shop::open(&catalog, &requirement, View::Alone);
    let solo = Searches::of(inputs, &shop).solo();
    let both = joint(inputs, &solo, &[], 0.0).expect("both rails can be built");
    let apart: Vec<&Found<'_>> = solo.iter().filter_map(RailOutcome::best).collect();
    assert_eq!(order_of(&both.rails[0].assembly), order_of(&apart[0].assembly));
    assert!(both.rails[0].assembly.section.is_some() && both.rails[1].assembly.section.is_none());
    let sum: f64 = apart.iter().map(|one| one.score).sum();
    assert!(both.score < sum - 1e-6, "{} against {sum}", both.score);
    let own = Shop::open(&catalog, &alone, View::Alone);
    let single = Searches::of(Inputs { requirement: &alone, ..inputs }, &own).solo();
    let single = single[0].best().expect("it can be built alone");
    assert_eq!(order_of(&both.rails[0].assembly), order_of(&single.assembly));
}

/// Second method: both capacitors stepped through a hundred thousandth of the time constants; the law is never less, and little
/// more. Limits: nothing between them, and no first bank, are the textbook's one capacitor.
#[test]
fn two_banks_take_no_longer_than_their_slowest_motion() {
    for (across, between, first, second) in
        [(1e4, 10.0, 2e-3, 1e-3), (100.0, 50.0, 1e-3, 4e-3), (220.0, 22.0, 5e-3, 1e-3)]
    {
        let (mut one, mut two, mut time) = (30.0, 30.0, 0.0);
        let step = 1e-5 * across * (first + second);
        while one > 10.0 || two > 10.0 {
            let through = (one - two) / between;
            one -= step * through / first;
            two += step * (through - two / across) / second;
            time += step;
        }
        let banks = (Farads(first), Farads(second));
        let law = discharge_time_of_two(Ohms(across), Ohms(between), banks, Volts(30.0), Volts(10.0)).0;
        assert!(law > 0.9999 * time && law < 1.2 * time, "{law} {time}");
    }
    let one = 1e3 * 3e-3 * 3.0_f64.ln();
    let near =
        discharge_time_of_two(Ohms(1e3), Ohms(1e-6), (Farads(1e-3), Farads(2e-3)), Volts(30.0), Volts(10.0));
    assert_relative_eq!(near.0, one, max_relative = 1e-6);
}

/// Limits by the textbook's series resonance: without resistance twice the peak, equal banks both; with ζ = 0.5 an overshoot of
/// 16.3 % (table of second-order systems, from memory); a choke that is all resistance does not ring.
#[test]
fn a_choke_between_banks_rings_as_a_series_resonance() {
    let equal = (Farads(1e-3), Farads(1e-3));
    let [before, behind] = clc_crests(Volts(20.0), (Henries(0.1), Ohms(0.0)), equal);
    assert_relative_eq!(before.0, 40.0, max_relative = 1e-12);
    assert_relative_eq!(behind.0, 40.0, max_relative = 1e-12);
    let half = 2.0 * 0.5 * (0.1_f64 / 1e-3).sqrt();
    let [_, damped] = clc_crests(Volts(20.0), (Henries(0.1), Ohms(half)), equal);
    assert_relative_eq!(damped.0, 20.0 * 1.163, max_relative = 1e-3);
    assert_relative_eq!(damped.0, 20.0 * (1.0 + (-PI * 0.5 / 0.75_f64.sqrt()).exp()), max_relative = 1e-12);
    let [before, behind] = clc_crests(Volts(20.0), (Henries(0.1), Ohms(1e3)), equal);
    assert_eq!((before.0, behind.0), (20.0, 20.0));
}

//! The choice behind a choke input against every combination of small catalogs, and what a choke makes of the kept design.

use railwright::candidate::shop::{Shop, View};
use railwright::catalog::Catalog;
use railwright::circuit::spec::Topology;
use railwright::document::{self, Source};
use railwright::policy::Policy;
use railwright::quantity::{Farads, Volts};
use railwright::record::{Record, assemble};
use railwright::requirement::{Regulation, Requirement, Section as Allowed};
use railwright::selection::choose::Inputs;
use railwright::selection::leaf::identity;
use railwright::selection::search::{Circuit, Search, circuits};
use railwright::selection::vertices::{VALLEY_COLD, VALLEY_HOT};
use railwright::stress::assembly::{Assembly, RectifierPart, Reservoir, ResistorChoice, Section, Wiring};
use railwright::stress::bench::{Asked, Bench, no_load_peak_v, numbers};
use railwright::stress::resistor::choose_bleeder;

use crate::support::thinned::{first_that_holds, keep};
use crate::support::world;

const ASKED: &str = include_str!("../designs/slide-lamp/requirements.yaml");

/// A few parts a family: those of the kept design and neighbours that are cheaper, dearer or too small.
fn small(whole: &Catalog, transformers: &[&str]) -> Catalog {
    let mut catalog = whole.clone();
    let none: [&str; 0] = [];
    keep!(
        catalog, transformers: transformers, chokes: ["TC120-8", "BL60-8", "VK120-8"], bridges: ["CQ25-200", "HB10-200"], diodes: none,
        electrolytics: ["QS80-6800", "QS80-3300"], resistors: ["GMO2"], fuses: ["OC-T2R5", "OC-T5"], limiters: none,
        cut_outs: none, sinks: none, pads: none, regulators: none, transistors: none, small_capacitors: none,
    );
    catalog
}

/// Second method: every combination, judged by every rule at every vertex; the cheapest that passes.
fn least<'a>(asked: Asked<'a>, shop: &Shop<'a>, catalog: &'a Catalog) -> Option<(f64, Assembly<'a>)> {
    let mut all: Vec<(f64, Assembly<'a>)> = Vec::new();
    for transformer in &shop.transformers {
        for wiring in [Wiring::Series, Wiring::Parallel] {
            for choke in &shop.chokes {
                for bridge in &shop.bridges {
                    for bank in &shop.electrolytics {
                        for count in 1..=2 {
                            for fuse in &shop.fuses {
                                let own =
                                    transformer.score(1) + choke.score(1) + bridge.score(1) + fuse.score(1);
                                let bare = Assembly {
                                    transformer: transformer.part,
                                    primary: 0,
                                    wiring,
                                    topology: Topology::Bridge,
                                    rectifier: RectifierPart::Bridge(bridge.part),
                                    rectifier_cooling: None,
                                    reservoir: Reservoir { part: bank.part, count },
                                    section: Some(Section::ChokeInput(choke.part)),
                                    bleeder: None,
                                    regulation: None,
                                    primary_fuse: Some(fuse.part),
                                    limiter: None,
                                    secondary_fuse: None,
                                    cut_out: None,
                                    mates: railwright::numeric::few::Few::NONE,
                                };
                                let score = own + bank.score(count);
                                all.extend(bled(asked, shop, score, &bare, catalog));
                            }
                        }
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| identity(&a.1).cmp(&identity(&b.1))));
    first_that_holds(asked, all)
}

/// With the bleeder that its rule picks, where one is asked for.
fn bled<'a>(
    asked: Asked<'a>,
    shop: &Shop<'a>,
    score: f64,
    bare: &Assembly<'a>,
    catalog: &'a Catalog,
) -> Option<(f64, Assembly<'a>)> {
    let (supply, ..) = numbers(asked, bare).ok()?;
    let peak_v = no_load_peak_v(supply.topology, &supply.source, supply.mains_v);
    if peak_v <= asked.policy.parameters.discharge_voltage.0 {
        return Some((score, *bare));
    }
    let Reservoir { part, count } = bare.reservoir;
    let farad = Farads(part.capacitance.0 * f64::from(count) * (1.0 + part.tolerance_plus.0));
    let series = catalog.resistors.first()?;
    let bleeder: Option<ResistorChoice<'a>> = choose_bleeder(asked, series, farad, Volts(peak_v));
    let price = shop.resistors.iter().find(|one| one.common.id == series.common.id)?.score(1);
    Some((score + price, Assembly { bleeder, ..*bare }))
}

fn compared(requirement: &Requirement, catalog: &Catalog, policy: &Policy) -> bool {
    let asked = Inputs { requirement, catalog, policy }.asked(0).expect("one rail");
    let shop = Shop::open(catalog, requirement, View::Alone);
    let circuit = Circuit { topology: Topology::Bridge, second: Some(Allowed::ChokeInput) };
    let found = Search::of(asked, &shop, circuit).run(f64::INFINITY).found.into_iter().next();
    let expected = least(asked, &shop, catalog);
    match (&found, &expected) {
        (Some(found), Some((score, assembly))) => {
            approx::assert_relative_eq!(found.score, *score, max_relative = 1e-9);
            assert_eq!(identity(&found.assembly), identity(assembly));
            assert_eq!(found.assembly.wiring, assembly.wiring);
            true
        }
        (None, None) => false,
        _ => panic!(
            "search {:?}, every combination {:?}",
            found.map(|one| identity(&one.assembly)),
            expected.map(|one| identity(&one.1))
        ),
    }
}

#[test]
fn no_combination_of_a_small_catalog_costs_less_than_what_is_chosen_behind_a_choke() {
    let (whole, policy) = (world::demo(), world::policy("house"));
    let mut requirement = world::asked(ASKED);
    requirement.preferences.parallel_max = 2;
    let mut feasible = 0;
    for (transformers, ripple_v) in [
        (["VT225-2x30", "VT225-2x15"], 1.5),
        (["VT225-2x15", "VT300-2x30"], 1.5),
        (["VT225-2x15", "VT300-2x30"], 0.9),
        (["VT300-2x28", "VT225-2x12"], 1.5),
    ] {
        requirement.rails[0].ripple.0 = Volts(ripple_v);
        feasible += usize::from(compared(&requirement, &small(&whole, &transformers), &policy));
    }
    assert!(feasible >= 2, "{feasible} small catalogs let a rail be built");
}

/// A choke input stands where it is allowed, behind a full-wave rectifier, beside other rails too, and before no regulator.
#[test]
fn a_choke_is_looked_for_where_it_is_allowed() {
    let mut requirement = world::asked(ASKED);
    let choked = |requirement: &Requirement| {
        circuits(requirement, &requirement.rails[0]).iter().filter(|one| one.second.is_some()).count()
    };
    assert_eq!(choked(&requirement), 2);
    requirement.rails.push(requirement.rails[0].clone());
    assert_eq!(choked(&requirement), 2);
    requirement.rails.truncate(1);
    requirement.rails[0].regulation = Regulation::Any;
    assert_eq!(choked(&requirement), 0);
    requirement.rails[0].regulation = Regulation::None;
    requirement.sections.clear();
    assert_eq!(choked(&requirement), 0);
}

/// Measured: a bank that the ripple allows moves the mean behind a choke by less than a ten-thousandth, on which the search relies.
#[test]
fn no_bank_moves_the_mean_behind_a_choke() {
    let (catalog, policy) = (world::demo(), world::policy("house"));
    let requirement = world::asked(ASKED);
    let record: Record =
        document::from_yaml(&Source::new("record.yaml", include_str!("../designs/slide-lamp/record.yaml")))
            .expect("a kept record");
    let kept = assemble(&record.rails[0], &catalog).expect("the demo catalog has these parts");
    let asked =
        Inputs { requirement: &requirement, catalog: &catalog, policy: &policy }.asked(0).expect("one rail");
    let rippling = |part, count| {
        let assembly = Assembly { reservoir: Reservoir { part, count }, ..kept };
        let bench = Bench::build(asked, assembly, [VALLEY_COLD, VALLEY_HOT].into_iter()).ok()?;
        let ripples =
            bench.points.iter().any(|point| point.crest_v - point.valley_v > requirement.rails[0].ripple.0.0);
        (!ripples).then(|| [bench.points[0].mean_v, bench.points[1].mean_v])
    };
    let means: Vec<[f64; 2]> = catalog
        .electrolytics
        .iter()
        .flat_map(|part| [1, 4].into_iter().filter_map(move |count| rippling(part, count)))
        .collect();
    assert!(means.len() > 60, "{}", means.len());
    for at in 0..2 {
        let (low, high) = means
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |(low, high), one| (low.min(one[at]), high.max(one[at])));
        assert!(high / low - 1.0 < 1e-4, "{low} V to {high} V");
    }
}

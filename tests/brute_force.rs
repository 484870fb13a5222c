//! Selection against brute force: on small catalogs every complete combination of parts is judged by every rule at every
//! vertex, and the least of those that pass must be what the search finds.
//!
//! The second method shares the rules with the search, and nothing of its order, bounds or memory.

#![expect(clippy::expect_used, reason = "a test that cannot set itself up must fail loudly")]

use railwright::{
    candidate::{
        price,
        shop::{Shop, View},
        source::circuit_topology,
    },
    catalog::{Catalog, Common},
    circuit::operate::{diodes, operate_nominal},
    policy::Policy,
    quantity::{Farads, Volts},
    requirement::{Regulation as Wish, Requirement},
    selection::{
        choose::{Inputs, nothing_banned},
        leaf::loss_w,
        search::Search,
    },
    stress::{
        assembly::{Assembly, Cooling, RectifierPart, Regulation, Reservoir, ResistorChoice, Wiring},
        bench::{Asked, Bench, no_load_peak_v},
        registry::{Group, judge},
        resistor::{choose_bleeder, choose_minimum_load, choose_set, missing_minimum_load_a},
        stage::output_of,
        verdict::Verdict,
    },
};

use crate::support::{random::Dice, world};

/// Random catalogs tried.
const CASES: u64 = 60;

/// Keeps `count` parts at random of those that a test finds plausible.
fn some<T: Clone>(dice: &mut Dice, all: &[T], count: usize, plausible: impl Fn(&T) -> bool) -> Vec<T> {
    let mut left: Vec<&T> = all.iter().filter(|part| plausible(part)).collect();
    let mut kept = Vec::new();
    while kept.len() < count && !left.is_empty() {
        let length = u32::try_from(left.len()).expect("a small list");
        kept.push(left.remove(dice.pick(length)).clone());
    }
    kept
}

/// A small catalog in which a rail has a fair chance.
fn small(dice: &mut Dice, demo: &Catalog, requirement: &Requirement) -> Catalog {
    let rail = &requirement.rails[0];
    let (volts, amps) = (rail.voltage.0, rail.current_max.0);
    let raw = rail.regulation == Wish::None;
    let mut small = Catalog {
        transformers: some(dice, &demo.transformers, 3, |part| {
            let winding = &part.secondaries[0];
            let total = winding.rated.0 * part.secondaries.len() as f64;
            let fits = |one: f64| {
                if raw {
                    one > 0.6 * volts && one < 0.9 * volts
                } else {
                    one > 0.75 * volts && one < 1.9 * volts
                }
            };
            let power = part.rating.0 > 1.2 * volts * amps && part.rating.0 < 8.0 * volts * amps + 10.0;
            (fits(winding.rated.0) || fits(total))
                && power
                && part.primaries.iter().any(|one| (one.rated.0 - requirement.mains.voltage.0).abs() < 1.0)
        }),
        diodes: some(dice, &demo.diodes, 1, |part| {
            part.average.rated.0 > 1.2 * amps && part.average.rated.0 < 12.0 * amps + 1.0
        }),
        bridges: some(dice, &demo.bridges, 1, |part| {
            part.output.rated.0 > 1.5 * amps && part.output.rated.0 < 12.0 * amps + 1.0
        }),
        electrolytics: some(dice, &demo.electrolytics, 2, |part| {
            part.rated.0 > 2.2 * volts
                && part.capacitance.0 > 1e-3 * amps
                && part.capacitance.0 < 12e-3 * amps + 1e-4
        }),
        small_capacitors: some(dice, &demo.small_capacitors, 3, |part| part.rated.0 >= 35.0),
        regulators: some(dice, &demo.regulators, 2, |part| {
            use railwright::catalog::family::regulator::Setting;
            let fits = match part.setting {
                Setting::Fixed { output } => (output.0 - volts).abs() < 0.01,
                Setting::Adjustable { output_max, .. } => output_max.0 > volts,
            };
            // Brute force leaves the reverse diode out.
            fits && part.positive && part.output_current.0 > amps && !part.wants_reverse_diode
        }),
        sinks: some(dice, &demo.sinks, 2, |_| true),
        pads: some(dice, &demo.pads, 1, |_| true),
        fuses: some(dice, &demo.fuses, 3, |part| part.breaking.0 >= 1500.0),
        cut_outs: some(dice, &demo.cut_outs, 1, |_| true),
        limiters: Vec::new(),
        resistors: some(dice, &demo.resistors, 2, |_| true),
        digests: std::collections::BTreeMap::new(),
    };
    small.transformers.sort_by(|a, b| a.common.id.cmp(&b.common.id));
    // What may not be used at all is nobody's candidate.
    small.transformers.retain(|part| price::admissible(&part.common, requirement));
    small.diodes.retain(|part| price::admissible(&part.common, requirement));
    small.bridges.retain(|part| price::admissible(&part.common, requirement));
    small.electrolytics.retain(|part| price::admissible(&part.common, requirement));
    small.regulators.retain(|part| price::admissible(&part.common, requirement));
    small.sinks.retain(|part| price::admissible(&part.common, requirement));
    small.pads.retain(|part| price::admissible(&part.common, requirement));
    small.resistors.retain(|part| price::admissible(&part.common, requirement));
    small
}

/// Score of an assembly, counted anew from the offers.
fn score(asked: Asked<'_>, assembly: &Assembly<'_>) -> Option<f64> {
    assembly.lines().iter().map(|line| price::score(line.common, asked.requirement, line.count)).sum()
}

fn options<'a, T>(
    parts: &'a [T],
    common: fn(&T) -> &Common,
    requirement: &Requirement,
) -> Vec<Option<&'a T>> {
    std::iter::once(None)
        .chain(parts.iter().filter(|part| price::admissible(common(part), requirement)).map(Some))
        .collect()
}

/// Every regulator stage, sink apart; one `None` for a raw rail.
fn stages<'a>(asked: Asked<'_>, catalog: &'a Catalog) -> Vec<Option<Regulation<'a>>> {
    if asked.rail.regulation == Wish::None {
        return vec![None];
    }
    let mut found = Vec::new();
    for part in &catalog.regulators {
        let sets: Vec<Option<(ResistorChoice<'a>, ResistorChoice<'a>)>> = match part.setting {
            railwright::catalog::family::regulator::Setting::Fixed { .. } => vec![None],
            railwright::catalog::family::regulator::Setting::Adjustable { .. } => catalog
                .resistors
                .iter()
                .filter_map(|one| choose_set(asked, part, one, one))
                .map(Some)
                .collect(),
        };
        for set in sets {
            let v = asked.rail.voltage.0;
            let span = railwright::circuit::supply::Span { low: v, nominal: v, high: v };
            let Ok(output) = output_of(asked, part, set, span) else { continue };
            let loads: Vec<Option<ResistorChoice<'a>>> = if missing_minimum_load_a(asked, part, set) <= 0.0 {
                vec![None]
            } else {
                catalog
                    .resistors
                    .iter()
                    .filter_map(|one| choose_minimum_load(asked, part, &output, set, one))
                    .map(Some)
                    .collect()
            };
            for minimum_load in loads {
                found.push(Some(Regulation {
                    part,
                    cooling: None,
                    set,
                    minimum_load,
                    input: None,
                    output: None,
                    reverse_diode: None,
                }));
            }
        }
    }
    found
}

fn coolings(catalog: &Catalog) -> Vec<Option<Cooling<'_>>> {
    std::iter::once(None)
        .chain(
            catalog
                .sinks
                .iter()
                .flat_map(|sink| catalog.pads.iter().map(move |pad| Some(Cooling { sink, pad }))),
        )
        .collect()
}

/// The least score over every complete combination that passes every rule at every vertex.
fn brute(asked: Asked<'_>, catalog: &Catalog) -> Option<f64> {
    let requirement = asked.requirement;
    let mut best: Option<f64> = None;
    let coolings = coolings(catalog);
    for topology in requirement.topologies.iter().map(|&one| circuit_topology(one)) {
        let mut rectifiers: Vec<RectifierPart<'_>> =
            catalog.diodes.iter().map(RectifierPart::Diodes).collect();
        if topology == railwright::circuit::spec::Topology::Bridge {
            rectifiers.extend(catalog.bridges.iter().map(RectifierPart::Bridge));
        }
        for transformer in &catalog.transformers {
            for (primary, connection) in transformer.primaries.iter().enumerate() {
                let ratio = requirement.mains.voltage / connection.rated;
                if ratio.max(1.0 / ratio) > railwright::candidate::source::CONNECTION_RATIO_MAX {
                    continue;
                }
                for wiring in [Wiring::Single, Wiring::Series, Wiring::Parallel, Wiring::CentreTap] {
                    let tapped = topology == railwright::circuit::spec::Topology::CentreTap;
                    if tapped != (wiring == Wiring::CentreTap) {
                        continue;
                    }
                    for &rectifier in &rectifiers {
                        for part in &catalog.electrolytics {
                            for count in 1..=requirement.preferences.parallel_max {
                                for regulation in stages(asked, catalog) {
                                    for &rectifier_cooling in &coolings {
                                        let many = matches!(rectifier, RectifierPart::Diodes(_))
                                            && diodes(topology) > 2;
                                        if many && rectifier_cooling.is_some() {
                                            continue;
                                        }
                                        let train = Assembly {
                                            transformer,
                                            primary,
                                            wiring,
                                            topology,
                                            rectifier,
                                            rectifier_cooling,
                                            reservoir: Reservoir { part, count },
                                            bleeder: None,
                                            regulation,
                                            primary_fuse: None,
                                            limiter: None,
                                            secondary_fuse: None,
                                            cut_out: None,
                                        };
                                        around(asked, catalog, train, &coolings, &mut best);
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
    best
}

/// All completions of a train.
fn around<'a>(
    asked: Asked<'a>,
    catalog: &'a Catalog,
    train: Assembly<'a>,
    coolings: &[Option<Cooling<'a>>],
    best: &mut Option<f64>,
) {
    let Ok((supply, ..)) = railwright::stress::bench::numbers(asked, &train) else { return };
    let peak_v = no_load_peak_v(&supply.source, supply.mains_v);
    let part = train.reservoir.part;
    let farad = part.capacitance.0 * f64::from(train.reservoir.count) * (1.0 + part.tolerance_plus.0);
    let bleeders: Vec<Option<ResistorChoice<'a>>> = if peak_v <= asked.policy.parameters.discharge_voltage.0 {
        vec![None]
    } else {
        catalog
            .resistors
            .iter()
            .filter_map(|one| choose_bleeder(asked, one, Farads(farad), Volts(peak_v)))
            .map(Some)
            .collect()
    };
    for bleeder in bleeders {
        let train = Assembly { bleeder, ..train };
        let Ok(mut bench) = Bench::build_whole(asked, train) else { continue };
        // What fails here fails whatever is put around it.
        let coupled = |verdict: &Verdict| {
            let group = railwright::stress::registry::by_code(verdict.code()).map(|rule| rule.group);
            matches!(group, Some(Group::Transformer | Group::Train | Group::Bleeder)) && !verdict.holds()
        };
        if judge(&bench).iter().any(coupled) {
            continue;
        }
        let Ok(nominal) = operate_nominal(&bench.supply) else { continue };
        let loss = asked.requirement.objective.loss * loss_w(&bench, &nominal);
        let stage_coolings: Vec<Option<Cooling<'a>>> =
            if train.regulation.is_some() { coolings.to_vec() } else { vec![None] };
        let smalls = options(&catalog.small_capacitors, |one| &one.common, asked.requirement);
        let around = if train.regulation.is_some() { smalls } else { vec![None] };
        for &cooling in &stage_coolings {
            for &input in &around {
                for &output in &around {
                    for fuse in options(&catalog.fuses, |one| &one.common, asked.requirement) {
                        for cut_out in options(&catalog.cut_outs, |one| &one.common, asked.requirement) {
                            bench.assembly = Assembly {
                                regulation: train.regulation.map(|one| Regulation {
                                    cooling,
                                    input,
                                    output,
                                    ..one
                                }),
                                primary_fuse: fuse,
                                cut_out,
                                ..train
                            };
                            let Some(cost) = score(asked, &bench.assembly) else { continue };
                            let total = cost + loss;
                            if best.is_some_and(|known| total >= known) {
                                continue;
                            }
                            if judge(&bench).iter().all(Verdict::holds) {
                                *best = Some(total);
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A requirement drawn at random.
fn requirement(dice: &mut Dice) -> Requirement {
    let volts = [5.0, 9.0, 12.0, 15.0, 24.0][dice.pick(5)];
    let amps = [0.05, 0.2, 0.5, 1.0][dice.pick(4)];
    let (mains, hertz) = [(230, 50), (120, 60)][dice.pick(2)];
    let objective = ["cost", "loss", "volume", "{cost: 1, loss: 0.2}"][dice.pick(4)];
    let raw = dice.pick(5) == 0;
    let (regulation, tolerance, ripple) =
        if raw { ("none", 30, volts * 0.2) } else { ("any", 6, 0.05 * volts) };
    world::asked(&format!(
        "name: small\ndescription: a small catalog\nmains: {{voltage: {mains} V, frequency: {hertz} Hz}}\n\
         ambient: {{max: 35 °C, enclosure_rise: 5 K}}\nrails:\n  - {{name: out, voltage: {volts} V, tolerance: {tolerance} %, \
         regulation: {regulation}, current: {{min: 10 mA, max: {amps} A}}, ripple_pp: {ripple} V}}\n\
         topologies: [centre-tap, bridge]\nobjective: {objective}\nbuild: {{quantity: 100, currency: EUR}}\n\
         preferences: {{parallel_max: 2}}\n"
    ))
}

/// What the search finds.
fn searched(inputs: Inputs<'_>) -> Option<f64> {
    let asked = inputs.asked(0).expect("one rail");
    let shop = Shop::open(inputs.catalog, inputs.requirement, View::Alone);
    inputs
        .requirement
        .topologies
        .iter()
        .filter_map(|&topology| {
            let search = Search::new(asked, &shop, circuit_topology(topology), &nothing_banned());
            search.run(f64::INFINITY).best.map(|found| found.score)
        })
        .reduce(f64::min)
}

#[test]
fn the_search_finds_what_brute_force_finds_on_small_catalogs() {
    let demo = world::demo();
    let house: Policy = world::policy("house");
    let mut feasible = 0;
    for seed in 0..CASES {
        let mut dice = Dice::new(seed);
        let requirement = requirement(&mut dice);
        let catalog = small(&mut dice, &demo, &requirement);
        let inputs = Inputs { requirement: &requirement, catalog: &catalog, policy: &house };
        let asked = inputs.asked(0).expect("one rail");
        let (found, least) = (searched(inputs), brute(asked, &catalog));
        match (found, least) {
            (Some(a), Some(b)) => {
                feasible += 1;
                assert!((a - b).abs() < 1e-6, "seed {seed}: search {a}, brute force {b}");
            }
            (None, None) => {}
            other => {
                panic!("seed {seed}: search and brute force disagree on whether anything fits: {other:?}")
            }
        }
    }
    assert!(feasible >= 2, "only {feasible} of {CASES} small catalogs let a supply be built");
}

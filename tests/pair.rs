//! Two rails on one transformer: the law that ties them to single rails, the closed form taken in the search, and the choice.

use std::sync::LazyLock;

use rust_decimal::Decimal;

use railwright::{
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::{OperatingPoint, operate},
        spec::Topology,
        supply::{Beside, BesideParts, Drawn, Supply},
    },
    document::Source,
    flow::{self, Answer, Asked},
    numeric::few::Few,
    quantity::{Amps, Ratio, Volts},
    record::Record,
    requirement::{self, Requirement, Sharing},
    review::{Dossier, choice::Outcome},
};

use crate::{circuit_plant::supply, support::world};

/// A rail beside another of given parts.
fn beside(topology: Topology, own_a: f64, other_a: f64, known: bool) -> Supply {
    let one = supply(topology);
    let load = |amps| Drawn { low: 0.02, ..Drawn::steady(amps) };
    let Supply { source, rectifier, bank, .. } = one;
    let parts = known.then_some(BesideParts { topology, source, rectifier, bank });
    let of_tap = topology == Topology::DualComplementary;
    let beside = Few::one(Beside { of_tap, load_a: load(other_a), parts });
    Supply { load_a: load(own_a), beside, ..one }
}

pub(crate) fn close(found: f64, expected: f64, relative: f64, what: &str) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{what}: {found:e} against {expected:e}");
}

pub(crate) fn alike(a: &OperatingPoint, b: &OperatingPoint, relative: f64) {
    close(a.valley_v, b.valley_v, relative, "valley");
    close(a.crest_v, b.crest_v, relative, "crest");
    close(a.mean_v, b.mean_v, relative, "mean");
    close(a.diode_rms_a, b.diode_rms_a, relative, "diode");
    close(a.bank_rms_a, b.bank_rms_a, relative, "bank");
}

/// Where the valley is lowest, everything beside laden.
pub(crate) const LADEN: Vertex = Vertex {
    mains: End::Low,
    load: End::High,
    frequency: End::Low,
    thermal: Thermal::Cold,
    emf: End::Low,
    capacitance: End::Low,
    esr: End::High,
    drop: End::High,
    leakage: End::Low,
    others: Some(End::High),
};

/// Source: two-winding T model. Two bridges with equal loads behind equal secondaries are each a bridge behind `R_s + 2R_p'`;
/// a ± pair about a tap is two centre-tapped rails behind the same.
#[test]
fn rails_with_equal_loads_are_two_single_ones_behind_twice_the_primary() {
    for (topology, single) in
        [(Topology::Bridge, Topology::Bridge), (Topology::DualComplementary, Topology::CentreTap)]
    {
        let mut alone = Supply { topology: single, ..beside(topology, 1.0, 1.0, true) };
        alone.beside = Few::NONE;
        alone.source.primary_20_ohm *= 2.0;
        alone.source.leakage_h = 0.0;
        let mut pair = beside(topology, 1.0, 1.0, true);
        pair.source.leakage_h = 0.0;
        for mains in [End::Low, End::High] {
            let at = Vertex { mains, ..LADEN };
            let (both, one) = (operate(&pair, at).expect("a pair"), operate(&alone, at).expect("a rail"));
            alike(&both, &one, 1e-7);
            close(both.primary_load_rms_a, 2.0 * one.primary_load_rms_a, 1e-7, "primary");
        }
    }
}

/// Second method: the closed form that the search takes for rails alike, warm and cold, against the engine.
#[test]
fn a_rail_taken_as_alike_is_the_engines_where_it_is_alike() {
    for topology in [Topology::Bridge, Topology::DualComplementary] {
        for thermal in [Thermal::Cold, Thermal::Hot] {
            let at = Vertex { thermal, ..LADEN };
            let mut mirrored = beside(topology, 0.8, 0.8, false);
            mirrored.source.leakage_h = 0.0;
            let mut solved = beside(topology, 0.8, 0.8, true);
            solved.source.leakage_h = 0.0;
            let (a, b) = (operate(&mirrored, at).expect("alike"), operate(&solved, at).expect("solved"));
            alike(&a, &b, 1e-6);
            close(a.winding_c, b.winding_c, 1e-6, "winding temperature");
            close(a.junction_c, b.junction_c, 1e-6, "junction temperature");
            close(a.copper_w, b.copper_w, 1e-6, "copper loss");
            close(a.path_rms_a, b.path_rms_a, 1e-6, "winding current");
        }
    }
}

/// Law: without resistance in common rails do not couple, whatever the other draws. A fact of the circuit.
#[test]
fn without_primary_resistance_the_other_rail_is_not_felt() {
    let mut pair = beside(Topology::Bridge, 1.0, 0.3, true);
    pair.source.primary_20_ohm = 0.0;
    let mut alone = pair;
    alone.beside = Few::NONE;
    alike(&operate(&pair, LADEN).expect("a pair"), &operate(&alone, LADEN).expect("a rail"), 1e-7);
}

/// Law: a laden rail beside lowers the valley and, unladen, lifts the mean.
#[test]
fn the_other_rail_at_its_most_and_at_its_least_bounds_the_rail() {
    let pair = beside(Topology::Bridge, 1.0, 0.7, true);
    let at = |others| operate(&pair, Vertex { others: Some(others), ..LADEN }).expect("a pair");
    assert!(at(End::High).valley_v < at(End::Low).valley_v - 0.05);
    assert!(at(End::High).mean_v < at(End::Low).mean_v - 0.05);
}

fn designed(requirement: &Requirement) -> (Record, Dossier) {
    let catalog = world::demo();
    let policy = world::policy("house");
    let asked = Asked { requirement, requirement_digest: "", catalog: &catalog, policy: &policy };
    match flow::design(asked) {
        Answer::Designed { record, dossier } => (*record, *dossier),
        Answer::Infeasible(answer) => panic!("{answer:?}"),
    }
}

fn mixer() -> Requirement {
    let path = format!("{}/designs/mixer-15v/requirements.yaml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a design that is kept");
    requirement::read(&Source::new("requirements.yaml", &text)).expect("a requirement")
}

static MIXER: LazyLock<(Record, Dossier)> = LazyLock::new(|| designed(&mixer()));

fn transformers(record: &Record) -> u32 {
    let parts = record.rails.iter().flat_map(|rail| &rail.parts);
    parts.filter(|part| part.position == "transformer").map(|part| part.count).sum()
}

fn cost(dossier: &Dossier) -> Decimal {
    dossier.totals.unit_cost.expect("priced").amount
}

/// The record names one transformer and passes its own audit; a transformer each costs more, so the pair is chosen, and where
/// the requirement forbids it the other is.
#[test]
fn one_transformer_for_both_is_chosen_where_it_costs_less() {
    let (record, dossier) = &*MIXER;
    assert!(dossier.passes());
    assert_eq!(transformers(record), 1);
    assert_eq!(record.rails[1].transformer_of.as_deref(), Some("plus"));
    let shared = mixer();
    assert_eq!(shared.sharing, Sharing::PlusAndMinus);
    let (apart, separate) = designed(&Requirement { sharing: Sharing::None, ..shared });
    assert_eq!(transformers(&apart), 2);
    assert!(cost(dossier) < cost(&separate));
    let rows = &dossier.choice.as_ref().expect("a choice").topologies;
    assert!(rows.iter().any(|row| matches!(row.outcome, Outcome::Best { chosen: true, .. })));
}

/// Law: heat, winding and fuse of a shared transformer see both rails, from whichever rail they are looked at.
#[test]
fn both_rails_are_told_of_the_same_transformer() {
    let dossier = &MIXER.1;
    for code in ["transformer-copper-loss", "transformer-primary-current", "fuse-steady-current"] {
        let applied: Vec<f64> =
            dossier.stresses.iter().filter(|row| row.stress == code).map(|row| row.applied.value()).collect();
        assert_eq!(applied.len(), 2, "{code}");
        close(applied[0], applied[1], 1e-6, code);
    }
}

/// Without a part of two secondaries each rail gets its own, and the report says that one for both was tried.
#[test]
fn a_transformer_each_is_chosen_where_no_pair_can_be_had() {
    let mut requirement = mixer();
    let catalog = world::demo();
    let two = catalog.transformers.iter().filter(|part| part.secondaries.len() == 2);
    requirement.preferences.excluded_parts = two.map(|part| part.common.id.0.clone()).collect();
    let (record, dossier) = designed(&requirement);
    assert!(record.rails.iter().all(|rail| rail.transformer_of.is_none()));
    let notes = &dossier.choice.expect("a choice").notes;
    assert!(notes.iter().any(|note| note.text.contains("one transformer for plus and minus was tried")));
}

/// A rail more beside the pair hangs on a transformer of its own, wherever in the file it stands, and the pair is found whether its
/// first or its second rail is written first; the record read again says the same.
#[test]
fn a_pair_is_found_beside_a_third_rail_in_any_order_of_the_file() {
    let mut catalog = world::demo();
    catalog.transformers.retain(|part| {
        let volts = if part.secondaries.len() == 2 { 14.0..=16.0 } else { 8.0..=9.5 };
        (9.0..=50.0).contains(&part.rating.0) && volts.contains(&part.secondaries[0].rated.0)
    });
    catalog.electrolytics.retain(|part| (24.0..=36.0).contains(&part.rated.0) && part.capacitance.0 > 1.4e-3);
    let policy = world::policy("house");
    let base = mixer();
    let (plus, minus) = (base.rails[0].clone(), base.rails[1].clone());
    let logic = requirement::Rail {
        name: String::from("logic"),
        voltage: Volts(5.0),
        current_min: Amps(0.05),
        current_max: Amps(0.5),
        ..plus.clone()
    };
    for rails in [[&plus, &logic, &minus], [&minus, &logic, &plus]] {
        let names: Vec<&str> = rails.iter().map(|rail| rail.name.as_str()).collect();
        let requirement = Requirement {
            rails: rails.into_iter().cloned().collect(),
            proven_within: Ratio(0.1),
            ..base.clone()
        };
        let asked =
            Asked { requirement: &requirement, requirement_digest: "", catalog: &catalog, policy: &policy };
        let Answer::Designed { record, dossier } = flow::design(asked) else {
            panic!("{names:?}: no design")
        };
        assert!(dossier.passes());
        assert_eq!(record.rails.iter().map(|rail| rail.rail.as_str()).collect::<Vec<_>>(), names);
        for rail in &record.rails {
            let host = (rail.rail == "minus").then_some("plus");
            assert_eq!(rail.transformer_of.as_deref(), host, "{names:?}: {}", rail.rail);
        }
        assert_eq!(transformers(&record), 2);
        let again = flow::audit(asked, &record, None, None);
        assert_eq!(cost(&again), cost(&dossier));
        let told = |dossier: &Dossier| {
            dossier
                .stresses
                .iter()
                .map(|row| (row.rail.clone(), row.stress.clone(), row.applied))
                .collect::<Vec<_>>()
        };
        assert_eq!(told(&again), told(&dossier));
    }
}

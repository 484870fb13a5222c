//! Three rails on one transformer: the laws that tie them to single rails and to each other, and what a record of them may say.

use railwright::{
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::{OperatingPoint, operate},
        spec::Topology,
        supply::{Beside, BesideParts, Source, Supply},
    },
    document::Source as Text,
    numeric::few::Few,
    record::{self, Record, couple},
};

use crate::{
    circuit_plant::supply,
    pair::{self, LADEN, close},
    support::world,
    unlike::loads,
};

/// A rail of one topology that draws some current, alone.
fn rail(topology: Topology, amps: f64) -> Supply {
    let mut one = supply(topology);
    one.source.leakage_h = 0.0;
    Supply { load_a: loads(amps), ..one }
}

fn parts(one: &Supply) -> BesideParts {
    let Supply { topology, source, rectifier, bank, .. } = *one;
    BesideParts { topology, source, rectifier, bank }
}

/// Each of three rails with the other two beside it.
fn together(rails: &[Supply; 3]) -> [Supply; 3] {
    [0, 1, 2].map(|own: usize| {
        let others = (0..3).filter(|&other| other != own);
        let beside = others.map(|other| Beside {
            of_tap: [own, other].map(|at| rails[at].topology) == [Topology::DualComplementary; 2],
            load_a: rails[other].load_a,
            parts: Some(parts(&rails[other])),
        });
        Supply { beside: Few::of(beside), ..rails[own] }
    })
}

fn solved(supply: &Supply, at: Vertex) -> OperatingPoint {
    operate(supply, at).expect("a steady state")
}

/// Two points of windings that carry alike.
fn alike(a: &OperatingPoint, b: &OperatingPoint, relative: f64) {
    pair::alike(a, b, relative);
    close(a.path_rms_a, b.path_rms_a, relative, "winding");
}

/// Law: three rails alike that draw alike are each a rail alone behind three times the primary's resistance: pulses coincide, so the
/// primary drops three times as much. Derived from the T model with three secondaries.
#[test]
fn three_rails_with_equal_loads_are_single_ones_behind_thrice_the_primary() {
    let one = rail(Topology::Bridge, 0.7);
    let mut alone = one;
    alone.source.primary_20_ohm *= 3.0;
    for mains in [End::Low, End::High] {
        let at = Vertex { mains, ..LADEN };
        let expected = solved(&alone, Vertex { others: None, ..at });
        for found in together(&[one; 3]).map(|rail| solved(&rail, at)) {
            alike(&found, &expected, 1e-7);
            close(found.primary_load_rms_a, 3.0 * expected.primary_load_rms_a, 1e-7, "primary");
        }
    }
}

/// Second method: the closed form that the search takes for two rails alike, of other loads and turns, against the engine.
#[test]
fn rails_taken_as_alike_are_the_engines_where_they_are_alike() {
    for topology in [Topology::Bridge, Topology::DualComplementary] {
        let one = rail(topology, 0.6);
        // What stands beside a tap and is alike is a tapped winding of its own.
        let third = if topology == Topology::Bridge { Topology::Bridge } else { Topology::CentreTap };
        let known = together(&[one, one, Supply { topology: third, ..one }])[0];
        let mirrored = Supply { beside: known.beside.map(|one| Beside { parts: None, ..one }), ..known };
        for thermal in [Thermal::Cold, Thermal::Hot] {
            let at = Vertex { thermal, ..LADEN };
            let (a, b) = (solved(&mirrored, at), solved(&known, at));
            alike(&a, &b, 1e-6);
            close(a.primary_load_rms_a, b.primary_load_rms_a, 1e-6, "primary");
            close(a.winding_c, b.winding_c, 1e-6, "winding temperature");
            close(a.junction_c, b.junction_c, 1e-6, "junction temperature");
            close(a.copper_w, b.copper_w, 1e-6, "copper loss");
        }
    }
}

/// Law: without resistance in common the third rail is not felt by the two about a tap. A fact of the circuit.
#[test]
fn without_primary_resistance_a_third_winding_is_not_felt() {
    let stiff = |one: Supply| {
        let source = Source { primary_20_ohm: 0.0, ..one.source };
        Supply { source, ..one }
    };
    let side = |amps| stiff(rail(Topology::DualComplementary, amps));
    let [plus, ..] = together(&[side(0.8), side(0.5), stiff(rail(Topology::Bridge, 0.4))]);
    let pair = Supply { beside: Few::of(plus.beside.into_iter().take(1)), ..plus };
    alike(&solved(&plus, LADEN), &solved(&pair, LADEN), 1e-7);
}

/// Law: heat and primary current are those of one transformer, from whichever of the three rails they are looked at; what another
/// winding draws lowers the valley.
#[test]
fn a_tap_and_a_third_winding_are_told_of_the_same_transformer() {
    let side = |amps| rail(Topology::DualComplementary, amps);
    let all = together(&[side(0.8), side(0.5), rail(Topology::Bridge, 0.4)]);
    for at in [LADEN, Vertex { thermal: Thermal::Hot, mains: End::High, ..LADEN }] {
        let [plus, minus, third] = all.map(|rail| solved(&rail, at));
        for other in [&minus, &third] {
            close(other.primary_load_rms_a, plus.primary_load_rms_a, 1e-9, "primary");
            close(other.copper_w, plus.copper_w, 1e-9, "copper loss");
            close(other.winding_c, plus.winding_c, 1e-7, "winding temperature");
        }
        close(plus.path_rms_a, minus.path_rms_a, 1e-9, "each half carries both sides");
        for (rail, laden) in all.iter().zip([&plus, &minus, &third]) {
            let alone = solved(rail, Vertex { others: Some(End::Low), ..at });
            assert!(alone.valley_v > laden.valley_v * (1.0 + 1e-4), "{} {}", alone.valley_v, laden.valley_v);
        }
    }
}

/// The kept record of three rails with some words exchanged, and what its rails then come to.
fn told(exchanges: &[(&str, &str)]) -> Vec<Option<String>> {
    let kept = include_str!("../designs/sluice-gate/record.yaml");
    let text = exchanges.iter().fold(kept.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    });
    let record: Record = record::read(&Text::new("record.yaml", text)).expect("a record");
    let catalog = world::demo();
    let rails = couple::each(&record, &catalog);
    rails.into_iter().map(|rail| rail.err().map(|why| why[0].to_string())).collect()
}

#[test]
fn a_record_of_three_rails_says_who_sits_where() {
    assert_eq!(told(&[]), [None, None, None]);
    let said = |exchanges| told(exchanges).into_iter().flatten().next().expect("a fault");
    let seats = said(&[("wiring: third-winding", "wiring: second-winding")]);
    assert!(seats.starts_with("`complementary + complementary + second-winding` is no wiring"), "{seats}");
    assert!(seats.contains("first-winding + second-winding + third-winding"), "{seats}");
    let topology = said(&[("topology: bridge", "topology: centre-tap")]);
    assert!(
        topology.contains("`centre-tap` is no topology") && topology.contains("known: bridge"),
        "{topology}"
    );
    // What the sides of a tap share stands with one of them.
    let host = said(&[
        ("  transformer_of: plus\n", "  transformer_of: logic\n"),
        ("  transformer_of: plus\n", ""),
        ("- rail: plus\n", "- rail: plus\n  transformer_of: logic\n"),
    ]);
    assert!(host.contains("`logic` is no rail that lists what the sides of a tap share"), "{host}");
}

//! Two rails of different voltage on one transformer with unlike secondaries: the laws that tie them to single rails and to a
//! pair alike, what a record of them may say, and the choice.

use railwright::{
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::{OperatingPoint, operate},
        spec::Topology,
        supply::{Bank, Beside, BesideParts, Drawn, Rectifier, Source, Span, Supply},
    },
    numeric::few::Few,
    physics::diode::{Line, WarmLine},
    quantity::{Ohms, Volts},
};

use crate::{
    circuit_plant::supply,
    pair::{LADEN, close},
};

/// Turns of the other winding over the rail's own.
const TURNS: f64 = 1.7;

fn scaled(span: Span, factor: f64) -> Span {
    Span { low: span.low * factor, nominal: span.nominal * factor, high: span.high * factor }
}

pub(crate) fn loads(amps: f64) -> Drawn {
    Drawn { low: 0.02 * amps, ..Drawn::steady(amps) }
}

/// The rail as it is seen from a winding of `n` times the turns: voltages n, impedances n², currents 1/n.
fn seen_from(one: &Supply, n: f64) -> BesideParts {
    let square = n * n;
    let source = Source {
        emf_rms_v: one.source.emf_rms_v * n,
        secondary_20_ohm: one.source.secondary_20_ohm * square,
        primary_20_ohm: one.source.primary_20_ohm * square,
        mains_ohm: one.source.mains_ohm * square,
        leakage_h: one.source.leakage_h * square,
        primary_per_path: one.source.primary_per_path * n,
        other_turns: [1.0 / n; 2],
        ..one.source
    };
    let line = one.rectifier.line.at(railwright::quantity::Celsius(25.0));
    let line = Line { threshold: line.threshold * n, slope: line.slope * square };
    let rectifier = Rectifier { line: WarmLine::level(line), ..one.rectifier };
    let bank = Bank {
        farad: scaled(one.bank.farad, 1.0 / square),
        esr_ohm: scaled(one.bank.esr_ohm, square),
        ..one.bank
    };
    BesideParts { topology: one.topology, source, rectifier, bank }
}

fn alone() -> Supply {
    let mut one = supply(Topology::Bridge);
    one.source.leakage_h = 0.0;
    Supply { load_a: loads(1.0), ..one }
}

/// A rail beside another on a winding of 1.7 times its turns that draws `other_a`; and that other one's view of the same.
fn both(other_a: f64) -> [Supply; 2] {
    let mut one = alone();
    let parts = seen_from(&one, TURNS);
    let BesideParts { source, rectifier, bank, .. } = parts;
    let beside = Beside { of_tap: false, load_a: loads(other_a), parts: Some(parts) };
    one.source.other_turns = [TURNS; 2];
    let other_beside = Beside { of_tap: false, load_a: one.load_a, parts: Some(seen_from(&one, 1.0)) };
    let other =
        Supply { source, rectifier, bank, load_a: loads(other_a), beside: Few::one(other_beside), ..one };
    [Supply { beside: Few::one(beside), ..one }, other]
}

fn solved(supply: &Supply, at: Vertex) -> OperatingPoint {
    operate(supply, at).expect("a steady state")
}

/// Voltages of a point over those of another, and currents and powers accordingly.
fn alike(a: &OperatingPoint, b: &OperatingPoint, n: f64, relative: f64) {
    close(a.valley_v, n * b.valley_v, relative, "valley");
    close(a.crest_v, n * b.crest_v, relative, "crest");
    close(a.mean_v, n * b.mean_v, relative, "mean");
    close(n * a.diode_rms_a, b.diode_rms_a, relative, "diode");
    close(n * a.path_rms_a, b.path_rms_a, relative, "winding");
    close(n * a.bank_rms_a, b.bank_rms_a, relative, "bank");
}

/// Law: without resistance in common rails do not couple, whatever their voltages. A fact of the circuit.
#[test]
fn without_primary_resistance_unlike_rails_are_two_single_supplies() {
    let [mut one, mut other] = both(0.3);
    for rail in [&mut one, &mut other] {
        rail.source.primary_20_ohm = 0.0;
        rail.beside = rail.beside.map(|mut beside| {
            if let Some(parts) = &mut beside.parts {
                parts.source.primary_20_ohm = 0.0;
            }
            beside
        });
    }
    for thermal in [Thermal::Cold, Thermal::Hot] {
        let at = Vertex { thermal, ..LADEN };
        for rail in [&one, &other] {
            let mut single = Supply { beside: Few::NONE, ..*rail };
            let pair = solved(rail, at);
            if thermal == Thermal::Hot {
                // Copper is as warm as both make it; held there the rail is what it would be alone.
                let warm = railwright::physics::copper::factor(railwright::quantity::Celsius(pair.winding_c));
                single.source.secondary_20_ohm *= warm;
                single.air = railwright::circuit::supply::Air { cold_c: 20.0, ..single.air };
                single.rectifier.line = WarmLine::level(Line {
                    threshold: Volts(pair.threshold_v / at.drop.of(single.rectifier.drop_low_factor, 1.0)),
                    slope: Ohms(pair.slope_ohm),
                });
                single.bank.esr_cold_ratio = 1.0;
                single.bank.farad_cold_ratio = 1.0;
            }
            alike(&pair, &solved(&single, LADEN), 1.0, 1e-7);
        }
    }
}

/// Law: a transformer scales impedances by the square of its turns, so that a pair of unlike rails whose parts are scaled is a
/// pair of rails alike; from either side. Textbook transformer theory.
#[test]
fn a_rail_scaled_by_its_turns_is_one_alike() {
    let [one, other] = both(1.0 / TURNS);
    let mut twin = alone();
    let parts = Some(seen_from(&twin, 1.0));
    twin.beside = Few::one(Beside { of_tap: false, load_a: twin.load_a, parts });
    for thermal in [Thermal::Cold, Thermal::Hot] {
        let at = Vertex { thermal, ..LADEN };
        let (expected, first, second) = (solved(&twin, at), solved(&one, at), solved(&other, at));
        alike(&first, &expected, 1.0, 1e-6);
        alike(&second, &expected, TURNS, 1e-6);
        for found in [&first, &second] {
            close(found.primary_load_rms_a, expected.primary_load_rms_a, 1e-6, "primary");
            close(found.copper_w, expected.copper_w, 1e-6, "copper loss");
            close(found.winding_c, expected.winding_c, 1e-6, "winding temperature");
        }
    }
}

/// Second method: the closed form of the search, which takes the other rail as alike but for turns and load, is the engine's
/// where it is alike.
#[test]
fn the_closed_form_counts_the_other_rail_by_its_turns() {
    let [one, other] = both(1.0 / TURNS);
    for rail in [one, other] {
        let mut mirrored = rail;
        mirrored.beside = mirrored.beside.map(|beside| Beside { parts: None, ..beside });
        for thermal in [Thermal::Cold, Thermal::Hot] {
            let at = Vertex { thermal, ..LADEN };
            let (a, b) = (solved(&mirrored, at), solved(&rail, at));
            alike(&a, &b, 1.0, 1e-6);
            close(a.primary_load_rms_a, b.primary_load_rms_a, 1e-6, "primary");
            close(a.copper_w, b.copper_w, 1e-6, "copper loss");
        }
    }
}

/// Law: heat and primary current are those of one transformer, from whichever rail they are looked at; a laden rail beside
/// lowers the valley.
#[test]
fn both_unlike_rails_are_told_of_the_same_transformer() {
    let [one, other] = both(0.35);
    for at in [LADEN, Vertex { thermal: Thermal::Hot, mains: End::High, ..LADEN }] {
        let (a, b) = (solved(&one, at), solved(&other, at));
        close(a.primary_load_rms_a, b.primary_load_rms_a, 1e-6, "primary");
        close(a.copper_w, b.copper_w, 1e-6, "copper loss");
        close(a.winding_c, b.winding_c, 1e-6, "winding temperature");
        for rail in [&one, &other] {
            let idle = solved(rail, Vertex { others: Some(End::Low), ..at });
            assert!(solved(rail, at).valley_v < idle.valley_v - 0.02);
        }
    }
}

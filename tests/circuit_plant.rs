//! Operating points of doublers, ± pairs, second sections and shared cores against independent cases and laws.

use crate::support::cases::{self, Case};
use railwright::circuit::corner::{End, Thermal, Vertex};
use railwright::circuit::operate::{OperatingPoint, operate, operate_nominal};
use railwright::circuit::operate_plant::{Own, operate_plant, operate_plant_nominal};
use railwright::circuit::plant::{ChokeNumbers, Outlet, Plant, PlantRail, Shape};
use railwright::circuit::spec::Topology;
use railwright::circuit::supply::{Air, Bank, Drawn, HeatPath, Rectifier, Source, Span, Supply};
use railwright::numeric::few::Few;
use railwright::physics::diode::{Line, WarmLine};
use railwright::quantity::{Ohms, Volts};

const OWN: Own = Own { rail: 0, outlet: 0 };

const fn flat(value: f64) -> Span {
    Span { low: value, nominal: value, high: value }
}

fn bank(farad: f64, esr_ohm: f64) -> Bank {
    Bank { farad: flat(farad), esr_ohm: flat(esr_ohm), esr_cold_ratio: 1.0, farad_cold_ratio: 1.0 }
}

fn source(emf_rms_v: f64, secondary_20_ohm: f64, primary_20_ohm: f64) -> Source {
    Source {
        emf_rms_v,
        emf_tolerance: 0.02,
        secondary_20_ohm,
        primary_20_ohm,
        mains_ohm: 0.0,
        leakage_h: 0.0,
        primary_per_path: emf_rms_v / 230.0,
        other_turns: [1.0; 2],
        copper_rated_w: 6.0,
        iron_rated_w: 1.5,
        primary_rated_v: 230.0,
        iron_frequency_hz: 50.0,
        rated_rise_k: 50.0,
        no_load_a: 0.01,
        no_load_high_a: 0.015,
    }
}

fn rectifier(threshold_v: f64, slope_ohm: f64, elements_per_package: u32) -> Rectifier {
    Rectifier {
        line: WarmLine::level(Line { threshold: Volts(threshold_v), slope: Ohms(slope_ohm) }),
        drop_low_factor: 0.9,
        path: HeatPath::Direct(25.0),
        elements_per_package,
        leakage_hot_a: 0.0,
    }
}

pub(crate) fn supply(topology: Topology) -> Supply {
    Supply {
        topology,
        mains_v: Span { low: 207.0, nominal: 230.0, high: 253.0 },
        peak_factor: 1.0,
        frequency_hz: Span { low: 49.0, nominal: 50.0, high: 51.0 },
        source: source(18.0, 0.3, 0.2),
        rectifier: rectifier(0.75, 0.03, 1),
        bank: Bank {
            farad: Span { low: 2.8e-3, nominal: 4.7e-3, high: 5.6e-3 },
            esr_ohm: Span { low: 0.01, nominal: 0.02, high: 0.06 },
            esr_cold_ratio: 1.6,
            farad_cold_ratio: 0.9,
        },
        load_a: Drawn { low: 0.02, ..Drawn::steady(1.0) },
        air: Air { cold_c: 5.0, nominal_c: 25.0, hot_c: 45.0 },
        beside: Few::NONE,
        section: None,
    }
}

fn close(found: f64, expected: f64, relative: f64, what: &str) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{what}: {found:e} against {expected:e}");
}

fn alike(a: &OperatingPoint, b: &OperatingPoint, relative: f64) {
    for (what, x, y) in [
        ("turn-on", a.turn_on_v, b.turn_on_v),
        ("valley", a.valley_v, b.valley_v),
        ("crest", a.crest_v, b.crest_v),
        ("mean", a.mean_v, b.mean_v),
        ("average", a.diode_avg_a, b.diode_avg_a),
        ("diode rms", a.diode_rms_a, b.diode_rms_a),
        ("peak", a.diode_peak_a, b.diode_peak_a),
        ("path", a.path_rms_a, b.path_rms_a),
        ("primary", a.primary_load_rms_a, b.primary_load_rms_a),
        ("bank", a.bank_rms_a, b.bank_rms_a),
        ("winding", a.winding_c, b.winding_c),
        ("junction", a.junction_c, b.junction_c),
        ("copper", a.copper_w, b.copper_w),
        ("diodes", a.diode_w, b.diode_w),
        ("bank loss", a.bank_w, b.bank_w),
    ] {
        close(x, y, relative, what);
    }
}

/// Second method: the closed form of a single reservoir at its own fixed point, over the whole box.
#[test]
fn a_plant_of_one_rail_is_the_closed_form() {
    for topology in [Topology::HalfWave, Topology::CentreTap, Topology::Bridge] {
        let supply = supply(topology);
        let plant = Plant::of(&supply);
        for index in (0..256).step_by(5) {
            let vertex = Vertex::at(index);
            let one = operate(&supply, vertex).expect("the closed form");
            let other = operate_plant(&plant, OWN, vertex, End::High).expect("the plant");
            assert!(one.state.closed().is_some() && other.points[0].state.closed().is_none());
            // A half-wave's primary sees no mean; the engine's common resistance heats by the current without it.
            alike(&other.points[0], &one, if topology == Topology::HalfWave { 1e-6 } else { 1e-8 });
        }
        let one = operate_nominal(&supply).expect("the closed form");
        alike(&operate_plant_nominal(&plant).expect("the plant").points[0], &one, 1e-6);
    }
}

/// A case of constant current as a plant, cold at 20 °C where nothing is heated.
fn plant_of(case: &Case) -> Option<Plant> {
    let num = |key: &str| case.number(key).unwrap_or_else(|| panic!("{} states no {key}", case.id));
    if case.text("diode_model") != "pwl" {
        return None;
    }
    let outlet = |prefix: &str| {
        let of = |key: &str| case.number(&format!("{prefix}{key}")).unwrap_or_else(|| num(key));
        let first = || bank(of("c1_f"), of("c1_esr_ohm"));
        let second = || bank(of("c2_f"), of("c2_esr_ohm"));
        let choke = || ChokeNumbers {
            henry: flat(of("choke_inductance_h")),
            ohm_20: of("choke_resistance_ohm"),
            rise_per_a2: 0.0,
        };
        let shape = match case.text("filter") {
            "c" => Shape::Reservoir(first()),
            "crc" => Shape::Crc(first(), flat(of("filter_resistance_ohm")), second()),
            "clc" => Shape::Clc(first(), choke(), second()),
            "lc" => Shape::ChokeInput(choke(), second()),
            _ => return None,
        };
        (case.text(&format!("{prefix}load_kind")) == "current")
            .then(|| Outlet { shape, load_a: flat(num(&format!("{prefix}load_current_a"))) })
    };
    let topology = match case.text("topology") {
        "half_wave" => Topology::HalfWave,
        "centre_tapped" => Topology::CentreTap,
        "bridge" => Topology::Bridge,
        "doubler" => Topology::FullWaveDoubler,
        _ => Topology::DualComplementary,
    };
    let mut outlets = vec![outlet("")?];
    if topology == Topology::DualComplementary {
        outlets.push(outlet("neg_")?);
    }
    let emf = num("emf_peak_v") / std::f64::consts::SQRT_2;
    Some(Plant {
        mains_v: flat(230.0),
        peak_factor: 1.0,
        frequency_hz: flat(num("frequency_hz")),
        air: Air { cold_c: 20.0, nominal_c: 20.0, hot_c: 20.0 },
        rails: vec![PlantRail {
            topology,
            source: Source {
                emf_tolerance: 0.0,
                leakage_h: num("leakage_inductance_h"),
                ..source(emf, num("winding_resistance_ohm"), 0.0)
            },
            rectifier: rectifier(num("diode_v0_v"), num("diode_rd_ohm"), 1),
            outlets,
        }],
    })
}

/// Source: `tests/fixtures/rectifier-cases.json`, every case of constant current, with and without leakage.
#[test]
fn every_case_of_constant_current_is_met_through_the_operating_point() {
    let vertex = Vertex { thermal: Thermal::Cold, drop: End::High, leakage: End::High, ..Vertex::at(0) };
    let mut met = std::collections::BTreeSet::new();
    let mut count = 0;
    for case in cases::all() {
        let Some(plant) = plant_of(&case) else { continue };
        let found = operate_plant(&plant, OWN, vertex, End::High).expect("a steady state");
        let check = |value: f64, key: &str, relative: f64| {
            if let Some(expected) = case.number(&format!("expected_{key}")) {
                close(value, expected, relative, &format!("{} {key}", case.id));
            }
        };
        for (point, prefix) in found.points.iter().zip(["", "neg_"]) {
            check(point.mean_v, &format!("{prefix}load_mean_v"), 1e-8);
            check(point.valley_v, &format!("{prefix}load_min_v"), 1e-7);
            check(point.crest_v, &format!("{prefix}load_max_v"), 1e-8);
            check(point.diode_rms_a, &format!("{prefix}diode_rms_a"), 1e-8);
            check(point.diode_peak_a, &format!("{prefix}diode_peak_a"), 1e-8);
            let key = if case.text("filter") == "lc" { "c2" } else { "c1" };
            check(point.bank_rms_a, &format!("{prefix}{key}_ripple_current_rms_a"), 1e-8);
            assert!(point.turn_on_v >= point.valley_v && point.turn_on_v <= point.crest_v, "{}", case.id);
            assert_eq!(
                point.state.figures().output.load_mean_v.to_bits(),
                point.mean_v.to_bits(),
                "{}",
                case.id
            );
        }
        let first = &found.points[0];
        check(first.path_rms_a, "winding_rms_a", 1e-8);
        check(first.primary_load_rms_a / plant.rails[0].source.primary_per_path, "primary_rms_a", 1e-8);
        if let Some(section) = first.section {
            check(section.second_rms_a.unwrap_or(first.bank_rms_a), "c2_ripple_current_rms_a", 1e-8);
            if let Some([valley, crest]) = section.reservoir_v {
                check(valley, "reservoir_min_v", 1e-8);
                check(crest, "reservoir_max_v", 1e-8);
            }
            if let Some([_, most]) = section.choke_a {
                check(section.rms_a, "choke_rms_a", 1e-8);
                check(most, "choke_max_a", 1e-8);
            }
        }
        met.insert((case.text("topology").to_owned(), case.text("filter").to_owned()));
        count += 1;
    }
    println!("{count} cases, {met:?}");
    assert!(count == 12 && met.len() == 11, "{count} {met:?}");
}

/// A ± pair of 4.7 mF banks on a centre-tapped winding.
fn pair(loads: [f64; 2]) -> Plant {
    let base = supply(Topology::DualComplementary);
    let outlet = |amps: f64| Outlet {
        shape: Shape::Reservoir(base.bank),
        load_a: Span { low: 0.01, nominal: amps, high: amps },
    };
    Plant {
        rails: vec![PlantRail {
            topology: Topology::DualComplementary,
            source: base.source,
            rectifier: rectifier(0.75, 0.03, 4),
            outlets: loads.map(outlet).to_vec(),
        }],
        ..Plant::of(&base)
    }
}

/// Law: with equal loads each rail of a pair is a centre-tapped one behind its half's own resistance and twice the primary's,
/// and the pair's one primary and two halves lose what two such rails do. The reversal of the EMF exchanges halves, not rails.
#[test]
fn a_pair_with_equal_loads_is_two_centre_tapped_rails() {
    let plant = pair([1.0, 1.0]);
    let single = Supply {
        source: Source {
            primary_20_ohm: 0.4,
            copper_rated_w: 3.0,
            iron_rated_w: 0.75,
            ..source(18.0, 0.3, 0.0)
        },
        rectifier: rectifier(0.75, 0.03, 1),
        ..supply(Topology::CentreTap)
    };
    for index in [0, 37, 64, 255, 111] {
        // The loads stand at their high end, both.
        let vertex = Vertex { load: End::High, thermal: Thermal::Cold, ..Vertex::at(index) };
        let both = operate_plant(&plant, OWN, vertex, End::High).expect("the pair");
        let one = operate(&single, vertex).expect("a rail");
        for point in &both.points {
            close(point.valley_v, one.valley_v, 1e-9, "valley");
            close(point.mean_v, one.mean_v, 1e-9, "mean");
            close(point.diode_rms_a, one.diode_rms_a, 1e-9, "diode");
            close(point.bank_rms_a, one.bank_rms_a, 1e-9, "bank");
            // Each half feeds both rails in turn: √2 of one diode's rms.
            close(point.path_rms_a, one.path_rms_a * 2.0_f64.sqrt(), 1e-9, "half");
            close(point.copper_w, 2.0 * one.copper_w, 1e-9, "copper");
        }
    }
}

/// Law: the other rail at its least load leaves more voltage to this one; without primary resistance it leaves nothing.
#[test]
fn the_other_rail_of_a_pair_matters_through_the_primary_alone() {
    let mut plant = pair([1.0, 1.5]);
    let vertex = Vertex { load: End::High, thermal: Thermal::Hot, ..Vertex::at(0) };
    let mean = |plant: &Plant, others: End| {
        operate_plant(plant, OWN, vertex, others).expect("the pair").points[0].mean_v
    };
    assert!(mean(&plant, End::Low) > 1.01 * mean(&plant, End::High));
    plant.rails[0].source.primary_20_ohm = 0.0;
    plant.rails[0].source.rated_rise_k = 0.0;
    plant.rails[0].rectifier.path = HeatPath::Direct(0.0);
    close(mean(&plant, End::Low), mean(&plant, End::High), 1e-9, "uncoupled");
}

/// Law: two equal rails on one core are one at twice the primary's resistance; one rail idle leaves the other more.
#[test]
fn rails_of_one_core_are_coupled_through_the_primary() {
    let base = supply(Topology::Bridge);
    let mut plant = Plant::of(&base);
    plant.rails.push(plant.rails[0].clone());
    let vertex = Vertex { load: End::High, thermal: Thermal::Cold, ..Vertex::at(0) };
    let both = operate_plant(&plant, OWN, vertex, End::High).expect("the core");
    let twice = Supply { source: Source { primary_20_ohm: 0.4, ..base.source }, ..base };
    let one = operate(&twice, vertex).expect("a rail");
    for point in &both.points {
        close(point.mean_v, one.mean_v, 1e-9, "mean");
        close(point.bank_rms_a, one.bank_rms_a, 1e-9, "bank");
        close(point.primary_load_rms_a, 2.0 * one.primary_load_rms_a, 1e-9, "primary");
    }
    let idle = operate_plant(&plant, OWN, vertex, End::Low).expect("the core");
    assert!(idle.points[0].mean_v > both.points[0].mean_v && idle.points[1].load_a < 0.05);
}

/// A doubler at every few vertices: its energy balance, and hot windings and junctions at their fixed point.
#[test]
fn a_doubler_rests_at_its_own_heat() {
    let doubler =
        Supply { load_a: Drawn { low: 0.005, ..Drawn::steady(0.2) }, ..supply(Topology::FullWaveDoubler) };
    for index in (0..256).step_by(17) {
        let vertex = Vertex::at(index);
        let point = operate(&doubler, vertex).expect("a doubler");
        assert!(point.settled && point.state.figures().energy_residual.abs() < 1e-9);
        close(point.diode_avg_a, point.load_a, 1e-9, "one diode carries the whole mean");
        close(
            point.path_rms_a,
            2.0_f64.sqrt() * point.diode_rms_a,
            1e-9,
            "both pulses flow through the winding",
        );
        let ripple2 = point.diode_rms_a.powi(2) - point.load_a.powi(2);
        close(point.bank_rms_a, ripple2.sqrt(), 1e-8, "ripple of one of the two");
        if vertex.thermal == Thermal::Hot {
            close(point.winding_c, 45.0 + 50.0 * (point.copper_w + point.iron_w) / 7.5, 1e-7, "winding");
            close(point.junction_c, 45.0 + 25.0 * point.diode_w / 2.0, 1e-7, "junction");
        }
    }
}

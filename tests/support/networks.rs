//! The cases of every topology, filter and load, read into circuits; and every figure by the name it has in them.

use super::cases::{Case, named};
use railwright::circuit::figures::{Figures, OutputFigures};
use railwright::circuit::spec::{Branch, Capacitor, Choke, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts, Watts};

/// The circuit of a case with the piecewise-linear diode; `None` for the others.
pub(crate) fn spec(case: &Case) -> Option<Spec> {
    (case.text("diode_model") == "pwl")
        .then(|| with_diode(case, num(case, "diode_v0_v"), num(case, "diode_rd_ohm")))
}

/// The circuit of a case with a diode of one's own.
pub(crate) fn with_diode(case: &Case, threshold_v: f64, slope_ohm: f64) -> Spec {
    let topology = match case.text("topology") {
        "half_wave" => Topology::HalfWave,
        "centre_tapped" => Topology::CentreTap,
        "bridge" => Topology::Bridge,
        "doubler" => Topology::FullWaveDoubler,
        "dual_complementary" => Topology::DualComplementary,
        other => panic!("unknown topology {other}"),
    };
    Spec {
        topology,
        winding: Winding {
            emf_peak: Volts(num(case, "emf_peak_v")),
            frequency: Hertz(num(case, "frequency_hz")),
            resistance: Ohms(num(case, "winding_resistance_ohm")),
            common_resistance: Ohms(0.0),
            leakage: Henries(num(case, "leakage_inductance_h")),
        },
        diode: Diode { threshold: Volts(threshold_v), slope: Ohms(slope_ohm) },
        output: branch(case, ""),
        negative: (topology == Topology::DualComplementary).then(|| branch(case, "neg_")),
    }
}

fn num(case: &Case, key: &str) -> f64 {
    case.number(key).unwrap_or_else(|| panic!("{} states no {key}", case.id))
}

fn branch(case: &Case, prefix: &str) -> Branch {
    // A missing filter key of the negative output equals the positive one's.
    let of = |key: &str| case.number(&format!("{prefix}{key}")).unwrap_or_else(|| num(case, key));
    let cap = |n: u8| Capacitor {
        capacitance: Farads(of(&format!("c{n}_f"))),
        esr: Ohms(of(&format!("c{n}_esr_ohm"))),
    };
    let choke = || Choke {
        inductance: Henries(of("choke_inductance_h")),
        resistance: Ohms(of("choke_resistance_ohm")),
    };
    let filter = match case.text("filter") {
        "none" => Filter::None,
        "c" => Filter::Reservoir(cap(1)),
        "crc" => Filter::Crc(cap(1), Ohms(of("filter_resistance_ohm")), cap(2)),
        "clc" => Filter::Clc(cap(1), choke(), cap(2)),
        "lc" => Filter::Lc(choke(), cap(2)),
        other => panic!("unknown filter {other}"),
    };
    let load = match case.text(&format!("{prefix}load_kind")) {
        "resistor" => Load::Resistance(Ohms(num(case, &format!("{prefix}load_resistance_ohm")))),
        "current" => Load::Current(Amps(num(case, &format!("{prefix}load_current_a")))),
        "power" => Load::Power(Watts(num(case, &format!("{prefix}load_power_w")))),
        other => panic!("unknown load {other}"),
    };
    Branch { filter, load }
}

/// Every figure, the second section's and the negative output's included, by its name in the cases.
pub(crate) fn all_named(f: &Figures) -> Vec<(String, Option<f64>)> {
    let mut list: Vec<(String, Option<f64>)> =
        named(f).into_iter().map(|(name, value)| (name.to_owned(), value)).collect();
    list.extend(second_section(&f.output).into_iter().map(|(name, value)| (name.to_owned(), value)));
    if let Some(negative) = &f.negative {
        let whole = Figures { output: *negative, ..Figures::default() };
        let own = named(&whole).into_iter().filter(|(name, _)| {
            ["load_", "diode_", "ripple_", "c1_"].iter().any(|start| name.starts_with(start))
        });
        let own =
            own.chain(second_section(negative).into_iter().filter(|(name, _)| !name.starts_with("choke")));
        list.extend(own.map(|(name, value)| (format!("neg_{name}"), value)));
    }
    list
}

fn second_section(o: &OutputFigures) -> Vec<(&'static str, Option<f64>)> {
    vec![
        ("c2_ripple_current_rms_a", o.c2_ripple_current_rms_a),
        ("reservoir_mean_v", o.reservoir_mean_v),
        ("reservoir_min_v", o.reservoir_min_v),
        ("reservoir_max_v", o.reservoir_max_v),
        ("choke_mean_a", o.choke_mean_a),
        ("choke_rms_a", o.choke_rms_a),
        ("choke_min_a", o.choke_min_a),
        ("choke_max_a", o.choke_max_a),
    ]
}

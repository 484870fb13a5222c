//! The independently computed rectifier cases of `tests/fixtures`, read into circuits.

use railwright::circuit::figures::Figures;
use railwright::circuit::spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding};
use railwright::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts};
use serde_json::Value;

/// One case: the row and the name it goes by.
pub(crate) struct Case {
    pub(crate) id: String,
    pub(crate) row: Value,
}

impl Case {
    /// A number of the row; `null` and absent are `None`.
    pub(crate) fn number(&self, key: &str) -> Option<f64> {
        self.row.get(key).and_then(Value::as_f64)
    }

    /// A text of the row.
    pub(crate) fn text(&self, key: &str) -> &str {
        self.row.get(key).and_then(Value::as_str).unwrap_or_default()
    }

    fn need(&self, key: &str) -> f64 {
        self.number(key).unwrap_or_else(|| panic!("{} states no {key}", self.id))
    }

    /// The circuit where it has one output with at most one reservoir, three topologies, resistance or current.
    pub(crate) fn reservoir_spec(&self) -> Option<Spec> {
        let topology = match self.text("topology") {
            "half_wave" => Topology::HalfWave,
            "centre_tapped" => Topology::CentreTap,
            "bridge" => Topology::Bridge,
            _ => return None,
        };
        let filter = match self.text("filter") {
            "none" => Filter::None,
            "c" => Filter::Reservoir(Capacitor {
                capacitance: Farads(self.need("c1_f")),
                esr: Ohms(self.need("c1_esr_ohm")),
            }),
            _ => return None,
        };
        let load = match self.text("load_kind") {
            "resistor" => Load::Resistance(Ohms(self.need("load_resistance_ohm"))),
            "current" => Load::Current(Amps(self.need("load_current_a"))),
            _ => return None,
        };
        if self.text("diode_model") != "pwl" {
            return None;
        }
        Some(Spec {
            topology,
            winding: Winding {
                emf_peak: Volts(self.need("emf_peak_v")),
                frequency: Hertz(self.need("frequency_hz")),
                resistance: Ohms(self.need("winding_resistance_ohm")),
                common_resistance: Ohms(0.0),
                leakage: Henries(self.need("leakage_inductance_h")),
            },
            diode: Diode {
                threshold: Volts(self.need("diode_v0_v")),
                slope: Ohms(self.need("diode_rd_ohm")),
            },
            output: Branch { filter, load },
            negative: None,
        })
    }
}

/// A bridge at 50 Hz with diodes without drop, its winding resistance, one reservoir, and 1 A.
pub(crate) fn bridge(emf_peak_v: f64, resistance_ohm: f64, capacitance_f: f64, esr_ohm: f64) -> Spec {
    Spec {
        topology: Topology::Bridge,
        winding: Winding {
            emf_peak: Volts(emf_peak_v),
            frequency: Hertz(50.0),
            resistance: Ohms(resistance_ohm),
            common_resistance: Ohms(0.0),
            leakage: Henries(0.0),
        },
        diode: Diode { threshold: Volts(0.0), slope: Ohms(0.0) },
        output: Branch {
            filter: Filter::Reservoir(Capacitor { capacitance: Farads(capacitance_f), esr: Ohms(esr_ohm) }),
            load: Load::Current(Amps(1.0)),
        },
        negative: None,
    }
}

/// All rows.
pub(crate) fn all() -> Vec<Case> {
    let rows: Vec<Value> =
        serde_json::from_str(include_str!("../fixtures/rectifier-cases.json")).expect("the fixture is JSON");
    rows.into_iter()
        .map(|row| Case { id: row["id"].as_str().expect("each case has an id").to_owned(), row })
        .collect()
}

/// Every figure of one output with the key it has in the cases.
pub(crate) fn named(f: &Figures) -> Vec<(&'static str, Option<f64>)> {
    let o = &f.output;
    vec![
        ("load_mean_v", Some(o.load_mean_v)),
        ("load_min_v", Some(o.load_min_v)),
        ("load_max_v", Some(o.load_max_v)),
        ("ripple_pp_v", Some(o.ripple_pp_v)),
        ("ripple_rms_v", Some(o.ripple_rms_v)),
        ("load_current_mean_a", Some(o.load_current_mean_a)),
        ("load_power_w", Some(o.load_power_w)),
        ("diode_avg_a", Some(o.diode_avg_a)),
        ("diode_rms_a", Some(o.diode_rms_a)),
        ("diode_peak_a", Some(o.diode_peak_a)),
        ("diode_conduction_deg", Some(o.diode_conduction_deg)),
        ("diode_piv_v", Some(o.diode_piv_v)),
        ("c1_ripple_current_rms_a", o.c1_ripple_current_rms_a),
        ("winding_rms_a", Some(f.winding_rms_a)),
        ("winding_mean_a", Some(f.winding_mean_a)),
        ("va_emf_va", Some(f.va_emf_va)),
        ("va_terminal_va", Some(f.va_terminal_va)),
        ("primary_rms_a", Some(f.primary_rms_a)),
        ("input_power_w", Some(f.input_power_w)),
        ("power_factor_emf", Some(f.power_factor_emf)),
        ("power_factor_primary", Some(f.power_factor_primary)),
    ]
}

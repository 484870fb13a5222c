//! The command that analyses a circuit: against independently computed cases, bad files, sweeps, samples, layout.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

mod cases;
mod cores;
mod corners;
mod files;
mod page;
mod records;
mod ripple;
mod spread;

use std::{
    fs,
    path::{Path, PathBuf},
};

use assert_cmd::Command;
use serde_json::{Value, json};

use crate::support::cases::Case;

fn railwright(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("railwright").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").arg("analyse").args(arguments);
    command
}

/// Runs the command on a text given on standard input: exit code, standard output, standard error.
fn run(text: &str, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = railwright(arguments).arg("-").write_stdin(text).output().unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

fn answered(text: &str, arguments: &[&str]) -> String {
    let (code, out, err) = run(text, arguments);
    assert_eq!((code, err.as_str()), (Some(0), ""), "{text}");
    out
}

fn solved(text: &str, arguments: &[&str]) -> Value {
    let arguments: Vec<&str> = ["--format", "json"].iter().chain(arguments).copied().collect();
    serde_json::from_str(&answered(text, &arguments)).unwrap()
}

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/circuits").join(name)
}

fn bench_bridge() -> String {
    fs::read_to_string(fixture("bench-bridge.yaml")).unwrap()
}

/// The circuit file of a case, with a diode of one's own; JSON is YAML.
fn file_of(case: &Case, threshold_v: f64, slope_ohm: f64) -> String {
    let with = |value: f64, unit: &str| json!(format!("{value:e} {unit}"));
    let need = |key: &str| case.number(key).unwrap();
    let branch = |prefix: &str| {
        let of = |key: &str| case.number(&format!("{prefix}{key}")).or_else(|| case.number(key));
        let mut filter = json!({ "kind": match case.text("filter") { "c" => "reservoir", other => other } });
        for (key, from, unit) in [
            ("c1", "c1_f", "F"),
            ("esr1", "c1_esr_ohm", "Ω"),
            ("resistance", "filter_resistance_ohm", "Ω"),
            ("choke", "choke_inductance_h", "H"),
            ("choke_resistance", "choke_resistance_ohm", "Ω"),
            ("c2", "c2_f", "F"),
            ("esr2", "c2_esr_ohm", "Ω"),
        ] {
            if let Some(value) = of(from) {
                filter[key] = with(value, unit);
            }
        }
        let (kind, unit, key) = match case.text(&format!("{prefix}load_kind")) {
            "resistor" => ("resistance", "Ω", "load_resistance_ohm"),
            "current" => ("current", "A", "load_current_a"),
            "power" => ("power", "W", "load_power_w"),
            other => panic!("unknown load {other}"),
        };
        let mut load = json!({ kind: with(need(&format!("{prefix}{key}")), unit) });
        if let Some(knee) = case.number(&format!("{prefix}load_knee_voltage_v")).filter(|knee| *knee > 0.0) {
            load["knee"] = with(knee, "V");
        }
        (filter, load)
    };
    let (filter, load) = branch("");
    let mut file = json!({
        "circuit": 1,
        "name": case.id,
        "topology": match case.text("topology") {
            "half_wave" => "half-wave",
            "centre_tapped" => "centre-tap",
            "doubler" => "full-wave-doubler",
            "dual_complementary" => "dual-complementary",
            other => other,
        },
        "winding": {
            "emf_peak": with(need("emf_peak_v"), "V"),
            "frequency": with(need("frequency_hz"), "Hz"),
            "resistance": with(need("winding_resistance_ohm"), "Ω"),
            "leakage": with(need("leakage_inductance_h"), "H"),
        },
        "diode": { "threshold": with(threshold_v, "V"), "slope": with(slope_ohm, "Ω") },
        "filter": filter,
        "load": load,
    });
    if case.text("topology") == "dual_complementary" {
        let (filter, load) = branch("neg_");
        file["negative"] = json!({ "filter": filter, "load": load });
    }
    file.to_string()
}

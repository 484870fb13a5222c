//! The command that analyses a circuit: against independently computed cases, bad files, sweeps, samples, layout.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{
    fs,
    path::{Path, PathBuf},
};

use assert_cmd::Command;
use serde_json::{Value, json};

use crate::support::cases::{self, Case};

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

/// Relative agreement asked of every case.
const RELATIVE: f64 = 1e-7;
/// Near zero: agreement as a share of the load current or of the EMF peak.
const ABSOLUTE: f64 = 1e-9;

/// Source: `tests/fixtures/rectifier-cases.json`, independently computed (event-driven exact method, stiff ODE
/// cross-checks): 45 cases with a piecewise-linear diode, among them all with a load of constant power.
#[test]
fn every_piecewise_linear_case_agrees_through_the_command() {
    let mut compared = 0;
    let mut worst = (0.0_f64, String::new());
    let mut circuits = 0;
    for case in cases::all().iter().filter(|case| case.text("diode_model") == "pwl") {
        let text = file_of(case, case.number("diode_v0_v").unwrap(), case.number("diode_rd_ohm").unwrap());
        let found = solved(&text, &[]);
        circuits += 1;
        let load = case.number("expected_load_current_mean_a").unwrap();
        let peak = case.number("emf_peak_v").unwrap();
        let mut check = |key: &str, found: Option<f64>, expected: Option<f64>| {
            let (Some(found), Some(expected)) = (found, expected) else {
                assert_eq!(found, expected, "{} {key}", case.id);
                return;
            };
            let floor = ABSOLUTE * if key.ends_with("_a") { load } else { peak };
            let error = (found - expected).abs();
            compared += 1;
            assert!(
                error <= (RELATIVE * expected.abs()).max(floor),
                "{} {key}: found {found:e}, expected {expected:e}",
                case.id
            );
            let relative = error / expected.abs().max(1e-3 * floor / ABSOLUTE);
            if relative > worst.0 {
                worst = (relative, format!("{} {key}", case.id));
            }
        };
        for (key, expected) in case.row.as_object().unwrap() {
            let Some(key) = key.strip_prefix("expected_") else { continue };
            if key.starts_with("inrush_") || key == "settle_cycles" {
                continue;
            }
            let found = found.get(key).unwrap_or_else(|| panic!("no `{key}` in the answer"));
            if let Some(list) = expected.as_array() {
                let own = found.as_array().unwrap();
                assert_eq!(own.len(), list.len());
                for (found, expected) in own.iter().zip(list) {
                    check(key, found.as_f64(), expected.as_f64());
                }
            } else if expected.is_boolean() {
                assert_eq!(found, expected, "{} {key}", case.id);
            } else {
                check(key, found.as_f64(), expected.as_f64());
            }
        }
        assert!(found["energy_residual"].as_f64().unwrap().abs() < 1e-9, "{}", case.id);
    }
    println!("{circuits} circuits, {compared} figures, worst {worst:?}");
    assert_eq!(circuits, 45);
    assert!(compared > 45 * 35);
}

/// Source: as above. The cases try 24 phases, the command finds the worst of all: never less, and no more than the share
/// that 7.5° off the crest of a sine can hide twice over (the square of a current), 2 %.
#[test]
fn switch_on_is_at_least_the_worst_of_24_phases() {
    for id in ["dev-01", "dev-04", "dev-14", "dev-30"] {
        let all = cases::all();
        let case = all.iter().find(|case| case.id == id).unwrap();
        let text = file_of(case, case.number("diode_v0_v").unwrap(), case.number("diode_rd_ohm").unwrap());
        let found = solved(&text, &["--switch-on"]);
        for key in ["inrush_peak_a", "inrush_i2t_half_cycle_a2s", "inrush_i2t_cycle_a2s"] {
            let (found, expected) =
                (found[key].as_f64().unwrap(), case.number(&format!("expected_{key}")).unwrap());
            assert!(
                found >= expected * (1.0 - 1e-7) && found <= expected * 1.02,
                "{id} {key}: {found} {expected}"
            );
        }
        let (found, expected) =
            (found["settle_cycles"].as_f64().unwrap(), case.number("expected_settle_cycles").unwrap());
        let slack = if case.number("settle_margin_rel").unwrap() < 1e-3 { 1.0 } else { 0.0 };
        assert!((found - expected).abs() <= slack, "{id}: {found} {expected}");
    }
}

/// What the piecewise-linear diode costs: a chord through a tenth and the whole of the diode's peak current stands for an
/// exponential diode. Mean voltage within 1.5 % of the EMF peak, winding rms within 3 %.
/// Source: `tests/fixtures/rectifier-cases.json`, exponential diodes, good to 1e-6.
#[test]
fn exponential_diodes_are_met_within_what_a_chord_can_do() {
    const BOLTZMANN_OVER_CHARGE: f64 = 1.380_649e-23 / 1.602_176_634e-19;
    let mut worst = (0.0_f64, 0.0_f64);
    let mut circuits = 0;
    for case in cases::all().iter().filter(|case| case.text("diode_model") == "shockley") {
        let need = |key: &str| case.number(key).unwrap();
        let volts = |amps: f64| {
            need("diode_n")
                * BOLTZMANN_OVER_CHARGE
                * need("diode_temperature_k")
                * (amps / need("diode_is_a")).ln_1p()
                + need("diode_rser_ohm") * amps
        };
        let peak = need("expected_diode_peak_a");
        let slope = (volts(peak) - volts(0.1 * peak)) / (0.9 * peak);
        let found = solved(&file_of(case, volts(peak) - slope * peak, slope), &[]);
        let mean = (found["load_mean_v"].as_f64().unwrap() - need("expected_load_mean_v")).abs()
            / need("emf_peak_v");
        let rms = found["winding_rms_a"].as_f64().unwrap() / need("expected_winding_rms_a") - 1.0;
        worst = (worst.0.max(mean), worst.1.max(rms.abs()));
        circuits += 1;
    }
    println!("{circuits} exponential circuits, worst {worst:?}");
    assert_eq!(circuits, 15);
    assert!(worst.0 < 0.015 && worst.1 < 0.03, "{worst:?}");
}

#[test]
fn a_bad_circuit_file_is_answered_with_all_its_faults_at_once() {
    let text = "circuit: 2\ntopology: brigde\nwinding:\n  emf_rms: 18\n  emf_peak: 25 V\n  resistance: -1 Ω\nfilter:\n  kind: crc\n  c1: 4700 F\n  c3: 1 uF\nload:\n  current: 1 A\n  power: 10 W\n";
    let (code, out, err) = run(text, &[]);
    assert_eq!((code, out.as_str()), (Some(2), ""));
    for said in [
        "did you mean `bridge`?",
        "the EMF is stated once",
        "missing key `frequency`",
        "`resistance` is out of range",
        "`c1` is out of range",
        "missing key `resistance`",
        "did you mean `c2`?",
        "a load is stated once",
        "18 V",
    ] {
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
}

#[test]
fn what_is_no_circuit_is_refused_in_words() {
    let base = |topology: &str, filter: &str, load: &str, more: &str| {
        format!(
            "circuit: 1\ntopology: {topology}\nwinding: {{emf_peak: 20 V, frequency: 50 Hz, resistance: 1 Ω}}\nfilter: {filter}\nload: {load}\n{more}"
        )
    };
    let reservoir = "{kind: reservoir, c1: 1000 uF}";
    for (text, said) in [
        (
            base("full-wave-doubler", "{kind: lc, choke: 1 H, c2: 1 uF}", "{current: 1 A}", ""),
            "a doubler needs",
        ),
        (base("bridge", "{kind: none}", "{current: 1 A}", ""), "needs a capacitor across it"),
        (base("dual-complementary", reservoir, "{current: 1 A}", ""), "missing key `negative`"),
        (base("bridge", reservoir, "{current: 1 A}", "negative: {load: {current: 1 A}}"), "only `dual-compl"),
        (base("bridge", reservoir, "{current: 1 A}", "tolerance: {filter.c2: 5 %}"), "has no `filter.c2`"),
        (
            base("bridge", reservoir, "{current: 1 A}", "tolerance: {filter.c1: {from: 2 uF}}"),
            "not stated once",
        ),
        (base("bridge", reservoir, "{current: 1 A}", "limits: {load_men_v: {max: 1}}"), "`load_mean_v`"),
        (base("bridge", reservoir, "{current: 60 A}", ""), "the output collapses"),
        (base("bridge", reservoir, "{power: 900 W}", ""), "the output collapses"),
        (base("bridge", "{kind: reservoir, c1: .nan}", "{current: 1 A}", ""), "`c1`"),
        ("[]".to_owned(), "is not a map"),
        (String::new(), "error"),
    ] {
        let (code, out, err) = run(&text, &[]);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{text}");
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
}

#[test]
fn bad_options_are_refused_in_words() {
    let text = bench_bridge();
    for (arguments, said) in [
        (&["--sweep", "filter.c9=1uF..2uF/3"][..], "no input is called `filter.c9`"),
        (&["--sweep", "filter.c2=1uF..2uF/3"], "the circuit has no `filter.c2`"),
        (&["--sweep", "filter.c1=1uF..2uF"], "KEY=FROM..TO/POINTS"),
        (&["--sweep", "filter.c1=1..2uF/3"], "filter.c1=1..2uF/3"),
        (&["--sweep", "filter.c1=1uF..2uF/1"], "2 or more"),
        (&["--sweep", "winding.emf_rms=1V..2V/3", "--sweep", "winding.emf_peak=1V..2V/3"], "swept twice"),
        (&["--sweep", "filter.c1=1uF..2uF/4000", "--sweep", "filter.esr1=1mΩ..2mΩ/4000"], "at most 4000000"),
        (&["--figures", "ripple"], "no figure is called `ripple`"),
        (&["--samples", "0"], "samples"),
    ] {
        let (code, out, err) = run(&text, arguments);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
}

#[test]
fn a_sweep_gives_what_single_runs_give() {
    let text = bench_bridge();
    let keys = "load_mean_v,ripple_pp_v,crest_factor,inrush_peak_a";
    let swept = solved(
        &text,
        &["--sweep", "filter.c1=1000uF..4000uF/3", "--sweep", "load.current=0.5A..1.5A/2", "--figures", keys],
    );
    let points = swept["points"].as_array().unwrap();
    assert_eq!(points.len(), 6);
    for (point, (c1, load)) in points
        .iter()
        .zip(["1000 uF", "2500 uF", "4000 uF"].into_iter().flat_map(|c1| [(c1, "0.5 A"), (c1, "1.5 A")]))
    {
        let single = text.replace("4700 uF", c1).replace("current: 1.5 A", &format!("current: {load}"));
        assert_ne!(single, text);
        let single = solved(&single, &["--switch-on"]);
        for key in keys.split(',') {
            let (one, other) = (point[key].as_f64().unwrap(), single[key].as_f64().unwrap());
            assert!((one - other).abs() <= 1e-12 * other.abs(), "{c1} {load} {key}: {one} {other}");
        }
    }
}

#[test]
fn samples_are_the_same_bytes_on_one_thread_and_on_many() {
    let text = bench_bridge();
    let arguments = ["--samples", "20000", "--seed", "7", "--format", "json"];
    let with = |threads: &str, seed: &str| {
        let mut arguments = arguments;
        arguments[3] = seed;
        let output = railwright(&arguments)
            .arg("-")
            .env("RAYON_NUM_THREADS", threads)
            .write_stdin(text.clone())
            .output()
            .unwrap();
        assert!(output.status.success());
        output.stdout
    };
    assert_eq!(with("1", "7"), with("3", "7"));
    assert_ne!(with("2", "7"), with("2", "8"));
}

/// A law: no sample of a box lies beyond its vertices where the figure is monotone in every input, as the mean voltage is.
/// The share that keeps a limit set at the median is a half (definition of the median), within four standard errors.
#[test]
fn samples_stay_within_the_vertices_and_half_of_them_keep_the_median() {
    let text = bench_bridge();
    let found = solved(&text, &["--samples", "20000"]);
    let (sampled, vertices) = (&found["samples"]["figures"], &found["vertices"]["figures"]);
    let mean = |from: &Value, key: &str| from["load_mean_v"][key].as_f64().unwrap();
    assert!(mean(sampled, "min") >= mean(vertices, "min") && mean(sampled, "max") <= mean(vertices, "max"));
    assert!(
        mean(vertices, "min") < mean(vertices, "nominal")
            && mean(vertices, "nominal") < mean(vertices, "max")
    );
    let median = mean(sampled, "p50");
    let cut = text.replace("load_min_v: { min: 17.5 }", &format!("load_mean_v: {{ min: {median} }}"));
    assert_ne!(cut, text);
    let other = solved(&cut, &["--samples", "20000", "--seed", "99"]);
    let kept = other["samples"]["kept"]["load_mean_v"].as_f64().unwrap() / 20000.0;
    assert!((kept - 0.5).abs() < 4.0 * 0.5 / 20000_f64.sqrt(), "{kept}");
}

/// Second method: the figures from the samples of the waveform by the trapezoidal rule, exact within 1e-4 at 4001 points.
#[test]
fn the_waveform_file_holds_the_figures() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wave.csv");
    let found = solved(&bench_bridge(), &["--waveforms", path.to_str().unwrap(), "--points", "4001"]);
    let text = fs::read_to_string(&path).unwrap();
    let mut lines = text.lines();
    let heads: Vec<&str> = lines.next().unwrap().split(',').collect();
    let column = |name: &str| heads.iter().position(|head| *head == name).unwrap();
    let rows: Vec<Vec<f64>> =
        lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
    assert!(rows.len() >= 4001 && rows.iter().all(|row| row.len() == heads.len()));
    assert!(rows.iter().any(|row| row[column("event")] > 0.5));
    assert!(rows.windows(2).all(|pair| pair[0][0] <= pair[1][0]));
    let period = rows.last().unwrap()[0] - rows[0][0];
    assert!((period - 0.02).abs() < 1e-12);
    let integral = |of: &dyn Fn(&[f64]) -> f64| {
        rows.windows(2)
            .map(|pair| 0.5 * (of(&pair[0]) + of(&pair[1])) * (pair[1][0] - pair[0][0]))
            .sum::<f64>()
            / period
    };
    let (load, winding) = (column("load_v"), column("winding_1_a"));
    let close = |one: f64, key: &str| {
        let other = found[key].as_f64().unwrap();
        assert!((one - other).abs() < 1e-4 * other.abs(), "{key}: {one} {other}");
    };
    close(integral(&|row| row[load]), "load_mean_v");
    close(integral(&|row| row[winding] * row[winding]).sqrt(), "winding_rms_a");
    close(rows.iter().map(|row| row[load]).fold(f64::INFINITY, f64::min), "load_min_v");
    close(rows.iter().map(|row| row[winding]).fold(0.0, f64::max), "diode_peak_a");
}

/// A law: what the elements take is what the source gives, for the circuits whose every element has a figure.
#[test]
fn the_energy_balance_closes_element_by_element() {
    for case in cases::all().iter().filter(|case| case.text("diode_model") == "pwl") {
        if ["crc"].contains(&case.text("filter")) {
            continue;
        }
        let text = file_of(case, case.number("diode_v0_v").unwrap(), case.number("diode_rd_ohm").unwrap());
        let found = solved(&text, &[]);
        let taken: f64 =
            found["energy"].as_object().unwrap().values().map(|value| value.as_f64().unwrap()).sum();
        let input = found["input_power_w"].as_f64().unwrap();
        assert!((taken - input).abs() < 1e-8 * input, "{}: {taken} of {input}", case.id);
    }
}

#[test]
fn a_written_circuit_reads_back_as_the_same_circuit() {
    let folder = tempfile::tempdir().unwrap();
    for case in cases::all().iter().filter(|case| case.text("diode_model") == "pwl").step_by(4) {
        let text = file_of(case, case.number("diode_v0_v").unwrap(), case.number("diode_rd_ohm").unwrap());
        let path = folder.path().join("circuit.yaml");
        let first = answered(&text, &["--format", "json", "--write-circuit", path.to_str().unwrap()]);
        let written = fs::read_to_string(&path).unwrap();
        assert_eq!(answered(&written, &["--format", "json"]), first, "{written}");
    }
}

#[test]
fn a_corner_of_a_record_can_be_looked_into() {
    let look = |corner: &str| {
        let output = railwright(&[
            "--record",
            "tests/fixtures/review/record.yaml",
            "--requirements",
            "tests/fixtures/review/requirements.yaml",
            "--rail",
            "main",
            "--corner",
            corner,
            "--format",
            "json",
        ])
        .output()
        .unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_slice::<Value>(&output.stdout).unwrap()
    };
    let volts = |found: &Value, key: &str| found[key].as_f64().unwrap();
    let (low, nominal, high) = (look("headroom-cold"), look("nominal"), look("mains-high-cold"));
    assert!(volts(&low, "load_min_v") < volts(&nominal, "load_min_v"));
    assert!(volts(&high, "load_max_v") > volts(&nominal, "load_max_v"));
    let peak = look("diode-peak");
    assert!(volts(&peak, "diode_peak_a") > volts(&low, "diode_peak_a"));
    assert!(low["circuit"]["name"].as_str().unwrap().contains("cold, mains −, load +"));
}

#[test]
fn an_unknown_rail_is_answered_with_the_rails_there_are() {
    let output = railwright(&[
        "--record",
        "tests/fixtures/review/record.yaml",
        "--requirements",
        "tests/fixtures/review/requirements.yaml",
        "--rail",
        "mian",
    ])
    .output()
    .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("allowed `main`"));
}

#[test]
fn every_shipped_circuit_is_analysed_and_its_power_adds_up() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("designs/circuits");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    assert!(paths.len() >= 4);
    for path in paths {
        let found = solved(&fs::read_to_string(&path).unwrap(), &["--switch-on"]);
        let taken: f64 =
            found["energy"].as_object().unwrap().values().map(|value| value.as_f64().unwrap()).sum();
        let input = found["input_power_w"].as_f64().unwrap();
        assert!((taken - input).abs() < 1e-9 * input, "{}", path.display());
        assert!(found["energy_residual"].as_f64().unwrap().abs() < 1e-9, "{}", path.display());
        assert!(found["inrush_peak_a"].as_f64().unwrap() > found["diode_peak_a"].as_f64().unwrap());
        let cycles = found["settle_cycles"].as_f64().unwrap();
        assert!(cycles >= 1.0 && cycles.fract().abs() < f64::EPSILON, "{}: {cycles}", path.display());
    }
}

fn page(width: &str) -> String {
    let arguments = ["--switch-on", "--plot", "--samples", "5000", "--width", width];
    answered(&bench_bridge(), &arguments)
}

#[test]
fn an_analysis_at_80_columns() {
    insta::assert_snapshot!(page("80"));
}

#[test]
fn an_analysis_at_120_columns() {
    insta::assert_snapshot!(page("120"));
}

#[test]
fn no_line_of_an_analysis_is_wider_than_the_terminal() {
    for width in [60, 72, 80, 100, 120] {
        let text =
            answered(&bench_bridge(), &["--switch-on", "--samples", "500", "--width", &width.to_string()]);
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{width}: {widest}");
    }
}

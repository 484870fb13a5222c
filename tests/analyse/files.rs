//! What the command says to bad files and options; files it writes; files that are shipped.

use std::{
    fs,
    path::{Path, PathBuf},
};

use super::{answered, bench_bridge, file_of, run, solved};
use crate::support::cases;

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
        (base("bridge", reservoir, "{current: 60 A}", ""), "the output collapses; about "),
        (base("bridge", reservoir, "{power: 900 W}", ""), " W would be borne"),
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
fn every_shipped_circuit_is_analysed_and_its_power_adds_up() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("designs/circuits");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let texts: Vec<(PathBuf, String)> = paths
        .into_iter()
        .map(|path| (path.clone(), fs::read_to_string(path).unwrap()))
        .filter(|(_, text)| text.contains("circuit: 1"))
        .collect();
    assert!(texts.len() >= 5);
    for (path, text) in texts {
        if text.contains("\nrails:") {
            let found = solved(&text, &[]);
            assert!(found["energy_residual"].as_f64().unwrap().abs() < 1e-9, "{}", path.display());
            continue;
        }
        let found = solved(&text, &["--switch-on"]);
        let taken: f64 =
            found["energy"].as_object().unwrap().values().map(|value| value.as_f64().unwrap()).sum();
        let input = found["input_power_w"].as_f64().unwrap();
        assert!((taken - input).abs() < 1e-9 * input, "{}", path.display());
        assert!(found["energy_residual"].as_f64().unwrap().abs() < 1e-9, "{}", path.display());
        assert!(found["inrush_peak_a"].as_f64().unwrap() > found["diode_peak_a"].as_f64().unwrap());
        let cycles = found["settle_cycles"].as_u64().expect("a whole number");
        assert!(cycles >= 1, "{}: {cycles}", path.display());
    }
}

/// Limits are told at the nominal values and at the vertices, without any samples.
#[test]
fn limits_are_told_at_the_nominal_values_and_at_the_vertices() {
    let text = |limits: &str| {
        format!(
            "circuit: 1\ntopology: bridge\nwinding: {{emf_peak: 20 V, frequency: 50 Hz, resistance: 1 Ω}}\n\
             filter: {{kind: reservoir, c1: 1000 uF}}\nload: {{current: 0.5 A}}\nlimits: {{{limits}}}\n"
        )
    };
    let limits = text(
        "load_min_v: {min: 3}, load_max_v: {min: 5, max: 6}, inrush_peak_a: {max: 99}, choke_rms_a: {max: 1}",
    );
    let page = answered(&limits, &[]);
    for said in [
        "load_min_v min 3: kept by the nominal circuit",
        "load_max_v min 5 max 6: broken by the nominal circuit",
        "inrush_peak_a max 99: not looked at",
        "choke_rms_a max 1: the circuit has no such figure",
    ] {
        assert!(page.contains(said), "no {said:?} in\n{page}");
    }
    let page =
        answered(&format!("{}tolerance: {{winding.emf_peak: 10 %}}\n", text("load_min_v: {min: 16.5}")), &[]);
    assert!(page.contains("load_min_v min 16.5: broken, at vertex 0"), "{page}");
    let page =
        answered(&format!("{}tolerance: {{winding.emf_peak: 10 %}}\n", text("load_min_v: {min: 3}")), &[]);
    assert!(page.contains("load_min_v min 3: kept at all vertices"), "{page}");
}

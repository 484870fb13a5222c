//! Ripple current of a rated capacitor by harmonic; tolerances from a file of their own; whole numbers.

use std::fs;

use super::{answered, bench_bridge, railwright, run, solved};

const RATING: &str = "c1_ripple: {rated: 3.2 A, multipliers: [[50 Hz, 0.91], [100 Hz, 1], [200 Hz, 1.05], [400 Hz, 1.09], [1 kHz, 1.13]]}\n";

/// By the definition `√(Σ(I_h/k_h)²)`, the table's own multipliers at 100, 200, 400 and 1000 Hz, 1.13 above; what 40
/// harmonics leave of the rms at the last one.
#[test]
fn harmonics_are_weighted_by_the_makers_multipliers() {
    let found = solved(&(bench_bridge() + RATING), &[]);
    let ripple = &found["c1_ripple"];
    let listed = ripple["harmonics"].as_array().unwrap();
    let (mut sum, mut plain) = (0.0, 0.0);
    for one in listed {
        let (order, rms, k) = (
            one["order"].as_u64().unwrap(),
            one["rms_a"].as_f64().unwrap(),
            one["multiplier"].as_f64().unwrap(),
        );
        let printed = match order {
            2 => 1.0,
            4 => 1.05,
            8 => 1.09,
            20.. => 1.13,
            _ => k,
        };
        assert!((k - printed).abs() < 1e-12 && (1.0..=1.13).contains(&k), "{order}: {k}");
        assert_eq!(order % 2, 0, "a bridge's capacitor carries even harmonics only");
        sum += (rms / k).powi(2);
        plain += rms * rms;
    }
    let total = found["c1_ripple_current_rms_a"].as_f64().unwrap();
    let rest = (total * total - plain).max(0.0);
    assert!(rest < 1e-3 * total * total);
    let expected = (sum + rest / 1.13_f64.powi(2)).sqrt();
    let equivalent = ripple["equivalent_a"].as_f64().unwrap();
    assert!((equivalent - expected).abs() < 1e-9 * expected, "{equivalent} {expected}");
    assert!((ripple["use"].as_f64().unwrap() - equivalent / 3.2).abs() < 1e-12);
    assert!(answered(&(bench_bridge() + RATING), &[]).contains("against its rating"));
}

#[test]
fn a_table_that_begins_above_the_mains_is_told_and_bad_tables_are_refused() {
    let half = bench_bridge().replace("bridge\nwinding", "half-wave\nwinding") + RATING;
    let half = half.replace("[50 Hz, 0.91], ", "");
    assert!(answered(&half, &[]).contains("do not cover the capacitor's current"));
    assert!(solved(&half, &[])["c1_ripple"].is_null());
    for (table, said) in [
        ("[[100 Hz, 1], [50 Hz, 0.9]]", "rising order"),
        ("[[100 Hz]]", "this is no pair"),
        ("[]", "at least one item"),
        ("[[100, 1]]", "Hz"),
    ] {
        let text = bench_bridge() + &format!("c1_ripple: {{rated: 1 A, multipliers: {table}}}\n");
        let (code, _, err) = run(&text, &[]);
        assert_eq!(code, Some(2));
        assert!(err.contains(said), "no {said:?} in\n{err}");
    }
}

/// The same tolerances in the file and beside it give the same bytes; those beside it replace the file's own.
#[test]
fn tolerances_may_stand_in_a_file_of_their_own() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tolerance.yaml");
    let whole = bench_bridge();
    let at = whole.find("tolerance:").unwrap();
    let (circuit, own) = whole.split_at(at);
    fs::write(&path, own).unwrap();
    let beside = ["--tolerance", path.to_str().unwrap(), "--samples", "3000", "--format", "json"];
    assert_eq!(answered(circuit, &beside), answered(&whole, &["--samples", "3000", "--format", "json"]));
    fs::write(&path, "tolerance: {load.current: 5 %}\n").unwrap();
    let found = solved(&whole, &["--tolerance", path.to_str().unwrap()]);
    assert_eq!(found["vertices"]["count"], 2);
    fs::write(&path, "tolerance: {filter.c2: 5 %}\nlimit: {}\n").unwrap();
    let (code, _, err) = run(&whole, &["--tolerance", path.to_str().unwrap()]);
    assert_eq!(code, Some(2));
    assert!(err.contains("has no `filter.c2`") && err.contains("`limits`"), "{err}");
}

#[test]
fn counts_are_whole_numbers_in_every_format() {
    let text = answered(&bench_bridge(), &["--format", "json", "--switch-on"]);
    let line = text.lines().find(|line| line.contains("\"settle_cycles\"")).unwrap();
    assert!(!line.contains('.'), "{line}");
    let output = railwright(&["designs/circuits/bench-supply.yaml", "--switch-on", "--format", "csv"])
        .output()
        .unwrap();
    let csv = String::from_utf8(output.stdout).unwrap();
    assert!(
        !csv.contains("settle_cycles")
            || !csv.lines().any(|line| line.starts_with("settle_cycles,") && line.contains('.'))
    );
}

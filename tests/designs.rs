//! Each folder in `designs/`: re-solved from its requirements, compared byte for byte with what is kept there.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{fs, path::PathBuf};

use assert_cmd::Command;

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("designs").join(name)
}

fn railwright() -> Command {
    let mut command = Command::cargo_bin("railwright").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("COLUMNS").env("NO_COLOR", "1");
    command
}

/// Re-solves a design; the kept record and report must come out again.
fn resolved(name: &str) {
    let made = tempfile::tempdir().unwrap();
    let requirements = format!("designs/{name}/requirements.yaml");
    let output = railwright()
        .args(["design", &requirements, "--output", made.path().to_str().unwrap()])
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{name}: {told}");
    for file in ["record.yaml", "report.txt"] {
        let kept = fs::read_to_string(folder(name).join(file)).unwrap();
        let again = fs::read_to_string(made.path().join(file)).unwrap();
        assert!(
            kept == again,
            "{name}/{file} is no longer what `design` makes; run tests/designs.rs' commands anew"
        );
    }
}

#[test]
fn the_workshop_supply_comes_out_again() {
    resolved("workshop-12v");
}

#[test]
fn the_mixer_comes_out_again() {
    resolved("mixer-15v");
}

#[test]
fn the_tide_gauge_comes_out_again() {
    resolved("tide-gauge");
}

#[test]
fn the_sluice_gate_comes_out_again() {
    resolved("sluice-gate");
}

#[test]
fn the_beehive_scale_comes_out_again() {
    resolved("beehive-scale");
}

#[test]
fn the_valve_bias_comes_out_again() {
    resolved("valve-bias");
}

#[test]
fn the_phono_stage_comes_out_again() {
    resolved("phono-stage");
}

#[test]
fn the_oral_history_recorder_comes_out_again() {
    resolved("oral-history");
}

#[test]
fn the_slide_lamp_comes_out_again() {
    resolved("slide-lamp");
}

#[test]
fn the_print_shop_comes_out_again() {
    resolved("print-shop");
}

#[test]
fn the_tea_kettle_clock_comes_out_again() {
    resolved("tea-kettle-clock");
}

#[test]
fn the_practice_amplifier_comes_out_again() {
    resolved("practice-amplifier");
}

#[test]
fn the_garden_gate_comes_out_again() {
    resolved("garden-gate");
}

#[test]
fn the_kiln_controller_comes_out_again() {
    resolved("kiln-controller");
}

#[test]
fn the_modular_rack_comes_out_again() {
    resolved("modular-rack");
}

/// The answer is no, with its reasons; no record is written.
#[test]
fn the_orchard_radio_is_refused_with_its_reasons() {
    let made = tempfile::tempdir().unwrap();
    let output = railwright()
        .args([
            "design",
            "designs/orchard-radio/requirements.yaml",
            "--output",
            made.path().to_str().unwrap(),
        ])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(!made.path().join("record.yaml").exists());
    let kept = fs::read_to_string(folder("orchard-radio").join("report.txt")).unwrap();
    let again = fs::read_to_string(made.path().join("report.txt")).unwrap();
    assert!(kept == again, "orchard-radio/report.txt is no longer what `design` says");
}

/// Every folder is named by a test above.
#[test]
fn every_design_is_re_solved() {
    let mut folders: Vec<String> = fs::read_dir(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("designs"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().join("requirements.yaml").exists())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    folders.sort();
    let named = [
        "beehive-scale",
        "garden-gate",
        "kiln-controller",
        "mixer-15v",
        "modular-rack",
        "oral-history",
        "orchard-radio",
        "phono-stage",
        "practice-amplifier",
        "print-shop",
        "slide-lamp",
        "sluice-gate",
        "tea-kettle-clock",
        "tide-gauge",
        "valve-bias",
        "workshop-12v",
    ];
    assert_eq!(folders, named);
}

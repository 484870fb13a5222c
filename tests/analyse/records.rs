//! Corners of a recorded rail.

use serde_json::Value;

use super::railwright;

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

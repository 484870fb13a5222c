//! The command against independently computed cases.

use super::{file_of, solved};
use crate::support::cases;

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

//! The general engine against independently computed cases.

use crate::support::{cases, networks};
use railwright::circuit::general::solve;
use railwright::circuit::general::switch_on::{self, Conditions, Surge};
use railwright::quantity::{Ohms, Volts};
use std::f64::consts::PI;

/// Worst disagreement of a case with the figures found: relative, near zero to the load current or the EMF peak.
fn worst_of(case: &cases::Case, found: &[(String, Option<f64>)]) -> (f64, String) {
    let peak = case.number("emf_peak_v").expect("an EMF");
    let load = case.number("expected_load_current_mean_a").expect("a load current");
    let mut worst = (0.0_f64, String::new());
    for (name, found) in found {
        let expected = case.number(&format!("expected_{name}"));
        let (Some(found), Some(expected)) = (found, expected) else {
            assert_eq!(*found, expected, "{} {name}", case.id);
            continue;
        };
        let floor = if name.ends_with("_a") { load } else { peak };
        let error = (found - expected).abs() / expected.abs().max(1e-3 * floor);
        if error > worst.0 {
            worst = (error, format!("{} {name}: found {found:e}, expected {expected:e}", case.id));
        }
    }
    worst
}

/// Source: `tests/fixtures/rectifier-cases.json`, independently computed (event-driven exact method, stiff ODE
/// cross-checks); stated good to 1e-9.
#[test]
fn every_piecewise_linear_case_agrees_with_the_independent_computation() {
    let (mut solved, mut worst) = (0, (0.0_f64, String::new()));
    for case in cases::all() {
        let Some(spec) = networks::spec(&case) else { continue };
        let steady = solve(&spec).unwrap_or_else(|why| panic!("{}: {why}", case.id));
        let figures = steady.figures();
        solved += 1;
        let own = worst_of(&case, &networks::all_named(&figures));
        if own.0 > worst.0 {
            worst = own;
        }
        assert!(figures.energy_residual.abs() < 1e-9, "{}: energy {}", case.id, figures.energy_residual);
    }
    println!("{solved} cases, worst {worst:?}");
    assert_eq!(solved, 45);
    assert!(worst.0 < 1e-9, "{worst:?}");
}

/// Source: `tests/fixtures/rectifier-cases.json`: from discharged, the worst of 24 phases 15° apart, over all diodes, over
/// five periods; stated good to 8 digits. Settling may differ by one period where the decision was close.
#[test]
fn switch_on_from_discharged_agrees_with_the_independent_computation() {
    let mut worst = (0.0_f64, String::new());
    for case in cases::all() {
        let Some(spec) = networks::spec(&case) else { continue };
        let knee = |key| Volts(case.number(key).unwrap_or(0.0));
        let conditions = Conditions {
            negative_knee: knee("neg_load_knee_voltage_v"),
            ..Conditions::discharged(Ohms(0.0), knee("load_knee_voltage_v"))
        };
        let mut most = Surge::default();
        for k in 0..24 {
            let surge = switch_on::at_phase(&spec, &conditions, f64::from(k) * PI / 12.0)
                .unwrap_or_else(|why| panic!("{}: {why}", case.id));
            most.peak_a = most.peak_a.max(surge.peak_a);
            most.i2t_half_cycle_a2s = most.i2t_half_cycle_a2s.max(surge.i2t_half_cycle_a2s);
            most.i2t_cycle_a2s = most.i2t_cycle_a2s.max(surge.i2t_cycle_a2s);
        }
        for (name, found) in [
            ("peak_a", most.peak_a),
            ("i2t_half_cycle_a2s", most.i2t_half_cycle_a2s),
            ("i2t_cycle_a2s", most.i2t_cycle_a2s),
        ] {
            let expected = case.number(&format!("expected_inrush_{name}")).expect("inrush figures");
            let error = (found - expected).abs() / expected;
            if error > worst.0 {
                worst = (error, format!("{} {name}: found {found:e}, expected {expected:e}", case.id));
            }
        }
        let anywhere = switch_on::worst_under(&spec, &conditions).expect("a worst phase");
        assert!(anywhere.peak_a >= most.peak_a * (1.0 - 1e-9), "{}: {anywhere:?} {most:?}", case.id);
        assert!(anywhere.i2t_half_cycle_a2s >= most.i2t_half_cycle_a2s * (1.0 - 1e-9), "{}", case.id);
        assert!(anywhere.i2t_cycle_a2s >= most.i2t_cycle_a2s * (1.0 - 1e-9), "{}", case.id);
        let expected = case.number("expected_settle_cycles").expect("settling");
        let margin = case.number("settle_margin_rel").expect("a margin");
        let found = anywhere.settle_cycles.map_or(f64::NAN, f64::from);
        let slack = if margin < 1e-3 { 1.0 } else { 0.0 };
        assert!((found - expected).abs() <= slack, "{}: settles in {found}, expected {expected}", case.id);
    }
    println!("worst {worst:?}");
    assert!(worst.0 < 1e-8, "{worst:?}");
}

/// Source: `tests/fixtures/rectifier-cases.json`, odd orders 1 to 39 of the referred primary current.
#[test]
fn primary_harmonics_agree_with_the_independent_computation() {
    let mut worst = (0.0_f64, String::new());
    for case in cases::all() {
        let Some(spec) = networks::spec(&case) else { continue };
        let steady = solve(&spec).unwrap_or_else(|why| panic!("{}: {why}", case.id));
        let rms = steady.figures().primary_rms_a;
        let listed = case.row["expected_primary_harmonics_odd_rms_a"].as_array().expect("a list");
        let found = steady.harmonics(39);
        for (harmonic, expected) in found.iter().step_by(2).zip(listed) {
            let error = (harmonic.rms_a() - expected.as_f64().expect("a number")).abs() / rms;
            if error > worst.0 {
                worst = (error, format!("{} order {}", case.id, harmonic.order));
            }
        }
    }
    println!("worst {worst:?}");
    assert!(worst.0 < 1e-9, "{worst:?}");
}

/// Law: the squares of all harmonics add up to the square of the rms (Parseval), seen from a waveform as well.
#[test]
fn harmonics_and_waveform_tell_of_the_same_current() {
    for case in cases::all() {
        let Some(spec) = networks::spec(&case) else { continue };
        let steady = solve(&spec).unwrap_or_else(|why| panic!("{}: {why}", case.id));
        let figures = steady.figures();
        let sum: f64 = steady.harmonics(400).iter().map(|h| h.rms_a().powi(2)).sum();
        let share = sum.sqrt() / figures.primary_rms_a;
        assert!(share < 1.0 + 1e-9 && share > 0.99, "{}: {share}", case.id);
        let samples = steady.waveform(2001);
        let period = 1.0 / spec.winding.frequency.0;
        let mut square = 0.0;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for pair in samples.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            assert!(b.time_s >= a.time_s, "{}: time runs backwards", case.id);
            let (x, y) = (a.winding_a[0], b.winding_a[0]);
            square += (b.time_s - a.time_s) * (x * x + x * y + y * y) / 3.0;
            low = low.min(a.outputs[0].load_v);
            high = high.max(a.outputs[0].load_v);
        }
        let rms = (square / period).sqrt();
        assert!(
            (rms / figures.winding_rms_a - 1.0).abs() < 2e-4,
            "{}: {rms} {}",
            case.id,
            figures.winding_rms_a
        );
        let slack = 1e-4 * figures.output.load_max_v;
        assert!((low - figures.output.load_min_v).abs() < slack, "{}", case.id);
        assert!((high - figures.output.load_max_v).abs() < slack, "{}", case.id);
        let (first, last) = (&samples[0], &samples[samples.len() - 1]);
        assert!((last.time_s - period).abs() < 1e-12 && first.time_s == 0.0, "{}", case.id);
        assert!((first.outputs[0].load_v - last.outputs[0].load_v).abs() < 1e-9 * spec.winding.emf_peak.0);
    }
}

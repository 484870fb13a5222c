//! The general engine against independently computed cases.

use crate::support::{cases, networks};
use railwright::circuit::general::solve;
use railwright::circuit::spec::Load;

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
        if matches!(spec.output.load, Load::Power(_)) {
            continue;
        }
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
    assert_eq!(solved, 40);
    assert!(worst.0 < 1e-9, "{worst:?}");
}

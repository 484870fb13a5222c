//! The closed-form reservoir path against independently computed cases.

use railwright::circuit::reservoir::{figures, harmonics, steady};

use crate::support::cases;

/// Source: `tests/fixtures/rectifier-cases.json`, independently computed (event-driven exact method, stiff ODE
/// cross-checks). Tolerance 1e-9 of the value, or of the load current or EMF peak where the value is near zero.
#[test]
fn every_single_reservoir_case_agrees_with_the_independent_computation() {
    let (mut solved, mut worst) = (0, (0.0_f64, String::new()));
    for case in cases::all() {
        let Some(spec) = case.reservoir_spec() else { continue };
        let state = match steady(&spec) {
            Ok(state) => state,
            Err(other) => panic!("{}: {other}", case.id),
        };
        solved += 1;
        let f = figures(&state);
        let peak = spec.winding.emf_peak.0;
        for (name, found) in cases::named(&f) {
            let expected = case.number(&format!("expected_{name}"));
            let (Some(found), Some(expected)) = (found, expected) else {
                assert_eq!(found, expected, "{} {name}", case.id);
                continue;
            };
            let scale =
                expected.abs().max(1e-3 * if name.ends_with("_a") { f.output.diode_peak_a } else { peak });
            let error = (found - expected).abs() / scale;
            if error > worst.0 {
                worst = (error, format!("{} {name}", case.id));
            }
        }
        let listed = case.row["expected_primary_harmonics_odd_rms_a"].as_array().expect("a list");
        for (harmonic, expected) in harmonics(&state, 39).iter().step_by(2).zip(listed) {
            let expected = expected.as_f64().expect("a number");
            let error = (harmonic.rms_a() - expected).abs() / f.primary_rms_a;
            if error > worst.0 {
                worst = (error, format!("{} harmonic {}", case.id, harmonic.order));
            }
        }
        assert!(f.energy_residual.abs() < 1e-9, "{}: energy {}", case.id, f.energy_residual);
    }
    println!("{solved} cases, worst {worst:?}");
    assert_eq!(solved, 17);
    assert!(worst.0 < 1e-9, "{worst:?}");
}

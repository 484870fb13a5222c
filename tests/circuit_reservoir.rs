//! The closed-form reservoir path against independent computations and a second method.

use std::f64::consts::PI;

use railwright::circuit::figures::Figures;
use railwright::circuit::reservoir::{
    Pulse, Steady, Unsolved, capacitor_harmonics, events, figures, harmonics, sample, steady,
};
use railwright::circuit::spec::{Filter, Load, Spec, Topology};
use railwright::quantity::{Amps, Henries, Ohms, Volts};

use crate::support::draw::{Dice, EXTREME, Ranges, USUAL, circuit, spec};
use crate::support::{cases, ode};

/// Source: `tests/fixtures/rectifier-cases.json`, independently computed (event-driven exact method, stiff ODE
/// cross-checks). Tolerance 1e-10 of the value, or of a thousandth of the EMF or current peak where the value is near
/// zero; the worst when written was 6e-12.
#[test]
fn every_single_reservoir_case_agrees_with_the_independent_computation() {
    let (mut solved, mut worst) = (0, (0.0_f64, String::new()));
    for case in cases::all() {
        let Some(spec) = case.reservoir_spec() else { continue };
        let state = steady(&spec).unwrap_or_else(|why| panic!("{}: {why}", case.id));
        solved += 1;
        let f = figures(&state);
        let mut compare = |name: &str, found: f64, expected: f64, size: f64| {
            let error = (found - expected).abs() / expected.abs().max(1e-3 * size);
            if error > worst.0 {
                worst = (error, format!("{} {name}", case.id));
            }
        };
        for (name, found) in cases::named(&f) {
            let expected = case.number(&format!("expected_{name}"));
            let (Some(found), Some(expected)) = (found, expected) else {
                assert_eq!(found, expected, "{} {name}", case.id);
                continue;
            };
            let size = if name.ends_with("_a") { f.output.diode_peak_a } else { spec.winding.emf_peak.0 };
            compare(name, found, expected, size);
        }
        let listed = case.row["expected_primary_harmonics_odd_rms_a"].as_array().expect("a list");
        for (harmonic, expected) in harmonics(&state, 39).iter().step_by(2).zip(listed) {
            let expected = expected.as_f64().expect("a number");
            compare(&format!("harmonic {}", harmonic.order), harmonic.rms_a(), expected, f.primary_rms_a);
        }
        assert!(f.energy_residual.abs() < 1e-9, "{}: energy {}", case.id, f.energy_residual);
    }
    println!("{solved} cases, worst {worst:?}");
    assert_eq!(solved, 17);
    assert!(worst.0 < 1e-10, "{worst:?}");
}

/// Source: O. H. Schade, "Analysis of Rectifier Operation", Proc. IRE 31 (1943): his circuit, solved exactly by an
/// independent method over his range of `ωCR` and of source over load resistance (not read off the published curves).
#[test]
fn schades_surfaces_are_met_over_the_whole_range() {
    let surface: serde_json::Value =
        serde_json::from_str(include_str!("fixtures/rectifier-surface.json")).expect("the fixture is JSON");
    let list = |value: &serde_json::Value| -> Vec<f64> {
        value.as_array().expect("a list").iter().map(|x| x.as_f64().expect("a number")).collect()
    };
    let (mut points, mut worst) = (0, 0.0_f64);
    for (name, topology) in [("half_wave", Topology::HalfWave), ("full_wave", Topology::CentreTap)] {
        let table = &surface["tables"][name];
        for (row, omega_cr) in list(&surface["omega_cr"]).into_iter().enumerate() {
            for (column, ratio) in list(&surface["rs_over_r"]).into_iter().enumerate() {
                let mut spec = cases::bridge(1.0, ratio, omega_cr / (2.0 * PI * 50.0), 0.0);
                spec.topology = topology;
                spec.output.load = Load::Resistance(Ohms(1.0));
                let f = figures(&steady(&spec).expect("a resistance always has a steady state"));
                let o = &f.output;
                for (key, found) in [
                    ("vdc_over_vpk", o.load_mean_v),
                    ("irms_over_iav", o.diode_rms_a / o.diode_avg_a),
                    ("ipk_over_iav", o.diode_peak_a / o.diode_avg_a),
                    ("ripple_pp_over_vdc", o.ripple_pp_v / o.load_mean_v),
                    ("conduction_deg", o.diode_conduction_deg),
                ] {
                    let expected = list(&table[key][row])[column];
                    worst = worst.max((found / expected - 1.0).abs());
                    points += 1;
                }
            }
        }
    }
    println!("{points} values, worst relative difference {worst:e}");
    assert_eq!(points, 2 * 8 * 13 * 5);
    assert!(worst < 1e-9, "{worst:e}");
}

/// Integrates one mains period from the closed-form state and returns the worst relative difference of the state it
/// ends in and of the means and mean squares gathered on the way.
fn integrated(spec: &Spec, state: &Steady) -> f64 {
    let f: Figures = figures(state);
    let Filter::Reservoir(part) = spec.output.filter else { panic!("a reservoir") };
    let at = sample(state, 0.0);
    let stored = at.load_v - part.esr.0 * at.capacitor_a;
    let mut circuit = ode::Circuit::of(spec).expect("a circuit the integrator knows");
    circuit.commutating = spec.topology == Topology::Bridge && f.output.diode_conduction_deg > 179.999_999;
    let flowing = if circuit.commutating { at.winding_a } else { at.rectifier_a };
    let end = circuit
        .period(ode::Long::new(stored, flowing, 0.0, 0.0, 0.0, 0.0), 1e-11)
        .expect("the integrator gets through one period");
    let pulses = if spec.topology == Topology::HalfWave { 1.0 } else { 2.0 };
    let (o, peak, unit) = (&f.output, spec.winding.emf_peak.0, circuit.unit());
    let square = o.load_mean_v * o.load_mean_v + o.ripple_rms_v * o.ripple_rms_v;
    let (avg, rms) = (o.diode_avg_a / unit, o.diode_rms_a / unit);
    [
        (end[0] - stored) / peak,
        if circuit.commutating { (end[1] - flowing) / o.diode_peak_a } else { 0.0 },
        end[2] / (2.0 * PI * o.load_mean_v) - 1.0,
        end[3] / (2.0 * PI * peak * pulses * avg) - 1.0,
        end[4] / (2.0 * PI * peak * pulses * rms * rms) - 1.0,
        end[5] / (2.0 * PI * square / peak) - 1.0,
    ]
    .into_iter()
    .fold(0.0, |worst: f64, error| worst.max(error.abs()))
}

/// Source: second method, a general Dormand-Prince integrator on the circuit's own equations, 40 random circuits with
/// and without leakage, ESR, half-wave and full-wave. The integrator steps over the diodes' kinks at its tolerance.
#[test]
fn a_general_integrator_returns_to_the_closed_form_state_with_its_means_and_squares() {
    let mut dice = Dice(3);
    let (mut checked, mut worst) = (0, 0.0_f64);
    let ranges = Ranges { omega_cr: (0.5, 100.0), source_over_load: (1e-2, 1.0), ..USUAL };
    while checked < 40 {
        let drawn = circuit(&mut dice, ranges, checked % 2 == 0);
        let leakage = if checked % 4 < 2 { 0.0 } else { dice.log(0.03, 3.0) };
        let part = spec(&drawn, leakage, checked % 3 == 0);
        let Ok(state) = steady(&part) else { continue };
        checked += 1;
        let error = integrated(&part, &state);
        assert!(error < 2e-7, "{error:e} {part:?}");
        worst = worst.max(error);
    }
    println!("{checked} circuits, worst {worst:e}");
}

/// Source: second method, as above. A large leakage makes a bridge hand over from pair to pair without rest: each
/// diode then conducts exactly half of the period.
#[test]
fn a_bridge_with_much_leakage_conducts_without_rest_as_the_integrator_says() {
    let mut spec = cases::bridge(20.0, 0.5, 1e-3, 0.02);
    spec.winding.leakage = Henries(0.03);
    spec.output.load = Load::Resistance(Ohms(4.0));
    let state = steady(&spec).expect("a steady state");
    let f = figures(&state);
    assert!((f.output.diode_conduction_deg - 180.0).abs() < 1e-9);
    assert!(f.energy_residual.abs() < 1e-12);
    let error = integrated(&spec, &state);
    assert!(error < 2e-7, "{error:e}");
}

/// Source: Parseval's theorem; a limit case, the mean square of a wave is the sum of those of its harmonics.
#[test]
fn harmonics_add_up_to_the_rms_of_primary_and_capacitor() {
    for (leakage, topology) in [
        (0.0, Topology::HalfWave),
        (0.0, Topology::Bridge),
        (1e-3, Topology::CentreTap),
        (1e-3, Topology::HalfWave),
    ] {
        let mut spec = cases::bridge(20.0, 0.5, 2e-3, 0.05);
        spec.topology = topology;
        spec.winding.leakage = Henries(leakage);
        spec.output.load = Load::Resistance(Ohms(12.0));
        let state = steady(&spec).expect("a steady state");
        let f = figures(&state);
        let rms = |squares: f64| squares.sqrt();
        let primary = rms(harmonics(&state, 4000).iter().map(|h| h.rms_a().powi(2)).sum());
        let capacitor = rms(capacitor_harmonics(&state, 4000).iter().map(|h| h.rms_a().powi(2)).sum());
        assert!((primary / f.primary_rms_a - 1.0).abs() < 1e-8, "{topology:?} primary {primary}");
        let whole = f.output.c1_ripple_current_rms_a.expect("a reservoir");
        assert!((capacitor / whole - 1.0).abs() < 1e-8, "{topology:?} capacitor {capacitor} {whole}");
        // The fundamental's part in phase with the EMF carries all input power.
        let power = 20.0 / 2.0_f64.sqrt() * harmonics(&state, 1)[0].sine_rms_a;
        assert!((power / f.input_power_w - 1.0).abs() < 1e-12, "{topology:?}");
    }
}

/// Source: the definitions of the figures, on 20,000 points of the waveform and its events.
#[test]
fn samples_of_the_waveform_have_the_extremes_and_means_of_the_figures() {
    for leakage in [0.0, 1e-3] {
        for topology in [Topology::HalfWave, Topology::CentreTap, Topology::Bridge] {
            let mut spec = cases::bridge(20.0, 0.5, 2e-3, 0.05);
            spec.topology = topology;
            spec.winding.leakage = Henries(leakage);
            spec.output.load = Load::Current(Amps(1.5));
            let state = steady(&spec).expect("a steady state");
            let o = figures(&state).output;
            let count = 20_000;
            let (mut low, mut high, mut mean, mut charge, mut peak) = (f64::MAX, 0.0_f64, 0.0, 0.0, 0.0_f64);
            let (on, off) = events(&state);
            let angles = (0..count).map(|n| 2.0 * PI * (f64::from(n) + 0.5) / f64::from(count));
            for theta in angles {
                let at = sample(&state, theta);
                (low, high, peak) = (low.min(at.load_v), high.max(at.load_v), peak.max(at.rectifier_a));
                mean += at.load_v / f64::from(count);
                charge += at.capacitor_a / f64::from(count);
            }
            assert!(low >= o.load_min_v - 1e-9 && low - o.load_min_v < 1e-3, "{topology:?} {low}");
            assert!(high <= o.load_max_v + 1e-9 && o.load_max_v - high < 1e-6);
            assert!(peak <= o.diode_peak_a + 1e-9 && o.diode_peak_a - peak < 1e-5);
            assert!((mean - o.load_mean_v).abs() < 1e-6 && charge.abs() < 1e-6);
            assert!(
                sample(&state, on - 1e-9).rectifier_a <= 0.0 && sample(&state, on + 1e-3).rectifier_a > 0.0
            );
            assert!(
                sample(&state, off + 1e-9).rectifier_a <= 0.0 && sample(&state, off - 1e-3).rectifier_a > 0.0
            );
        }
    }
}

/// Source: limit case; without load the reservoir stands at the peak less the drops, and a diode sees the EMF peak more
/// (half-wave, centre-tap), shared by two in a bridge.
#[test]
fn without_load_the_reservoir_stands_at_the_peak_less_the_drops() {
    for (topology, level, reverse) in
        [(Topology::HalfWave, 19.3, 39.3), (Topology::CentreTap, 19.3, 39.3), (Topology::Bridge, 18.6, 19.3)]
    {
        for leakage in [0.0, 1e-3] {
            let mut spec = cases::bridge(20.0, 0.5, 2e-3, 0.05);
            spec.topology = topology;
            spec.diode.threshold = Volts(0.7);
            spec.winding.leakage = Henries(leakage);
            spec.output.load = Load::Current(Amps(0.0));
            let f = figures(&steady(&spec).expect("a steady state"));
            for voltage in [f.output.load_min_v, f.output.load_mean_v, f.output.load_max_v] {
                assert!((voltage - level).abs() < 1e-12, "{topology:?} {voltage}");
            }
            assert!((f.output.diode_piv_v - reverse).abs() < 1e-12, "{topology:?}");
            assert!(f.winding_rms_a.abs() + f.output.ripple_rms_v.abs() + f.input_power_w.abs() < 1e-12);
            assert!(f.energy_residual.abs() < 1e-12 && f.power_factor_emf.abs() < 1e-12);
        }
    }
}

#[test]
fn what_belongs_to_the_general_engine_and_what_lies_outside_is_said_so() {
    let base = cases::bridge(20.0, 0.5, 2e-3, 0.05);
    let refused = |change: &dyn Fn(&mut Spec)| {
        let mut spec = base;
        change(&mut spec);
        steady(&spec).expect_err("not solved here")
    };
    assert_eq!(refused(&|s| s.topology = Topology::FullWaveDoubler), Unsolved::NotMine);
    assert_eq!(refused(&|s| s.output.load = Load::Current(Amps(30.0))), Unsolved::Collapsed);
    for change in [
        (|s: &mut Spec| s.winding.emf_peak = Volts(f64::NAN)) as fn(&mut Spec),
        |s| s.winding.resistance = Ohms(-1.0),
        |s| s.diode.threshold = Volts(11.0),
        |s| s.output.load = Load::Resistance(Ohms(0.0)),
        |s| s.output.load = Load::Current(Amps(f64::INFINITY)),
    ] {
        assert!(matches!(refused(&change), Unsolved::OutsideDomain { .. }));
    }
}

/// Counts over random circuits; the same survey over a million of each is in the benchmark `robust`.
#[test]
fn twenty_thousand_random_circuits_are_solved_or_refused_and_balance_their_energy() {
    let mut dice = Dice(29);
    let (mut solved, mut refused, mut worst) = (0, 0, (0.0_f64, 0.0_f64));
    for number in 0..20_000_u32 {
        let constant_current = number % 2 == 0;
        let ranges = if number % 4 < 2 { USUAL } else { EXTREME };
        let drawn = circuit(&mut dice, ranges, constant_current);
        let leakage = if number % 10 == 0 && number % 4 < 2 { dice.log(0.01, 3.0) } else { 0.0 };
        let part = spec(&drawn, leakage, number % 3 == 0);
        match steady(&part) {
            Ok(state) => {
                let f = figures(&state);
                let (o, slack) = (f.output, 1e-12 * part.winding.emf_peak.0);
                solved += 1;
                worst = (worst.0.max(f.residual), worst.1.max(f.energy_residual.abs()));
                assert!(o.load_min_v <= o.load_mean_v + slack && o.load_mean_v <= o.load_max_v + slack);
                assert!(o.load_min_v > -slack && o.diode_avg_a <= o.diode_rms_a);
                assert!(o.diode_rms_a <= o.diode_peak_a && f.power_factor_emf < 1.0);
                let fed = if part.topology == Topology::HalfWave { 1.0 } else { 2.0 } * o.diode_avg_a;
                assert!((fed / o.load_current_mean_a - 1.0).abs() < 1e-9, "charge {part:?}");
            }
            Err(Unsolved::Collapsed) => {
                refused += 1;
                assert!(constant_current, "a resistance cannot collapse the output: {part:?}");
            }
            Err(why) => assert!(leakage > 0.0 && why == Unsolved::NotMine, "{why} {part:?}"),
        }
    }
    println!(
        "{solved} solved, {refused} collapsed, worst residual {:e}, worst energy residual {:e}",
        worst.0, worst.1
    );
    assert!(solved > 15_000 && worst.0 < 1e-12 && worst.1 < 1e-9, "{worst:?}");
}

/// Source: second method. Let down from a full reservoir, the integrator's output falls to zero wherever the closed form
/// says that the load takes more than the source gives.
#[test]
fn a_load_said_to_collapse_the_output_does_so_in_the_integrator() {
    let mut dice = Dice(7);
    let ranges = Ranges { omega_cr: (0.5, 20.0), source_over_load: (0.02, 1.0), ..USUAL };
    let mut checked = 0;
    while checked < 12 {
        let (source, bank, draw) = circuit(&mut dice, ranges, true);
        if Pulse::solve(&source, &bank, draw) != Err(Unsolved::Collapsed) {
            continue;
        }
        checked += 1;
        let part = spec(&(source, bank, draw), 0.0, false);
        let circuit = ode::Circuit::of(&part).expect("a circuit the integrator knows");
        let mut state = ode::Short::new(source.emf_peak_v - source.drop_v, 0.0);
        let mut fell = false;
        for _ in 0..400 {
            // 48 looks a period, so that a dip below zero is seen.
            fell = circuit.dips_below_zero(&mut state, 48, 1e-8);
            if fell {
                break;
            }
        }
        assert!(fell, "{part:?}");
    }
}

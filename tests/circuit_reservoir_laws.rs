//! Laws that every reservoir circuit obeys, on random circuits.

use std::f64::consts::PI;

use proptest::prelude::*;
use railwright::circuit::figures::OutputFigures;
use railwright::circuit::reservoir::{Bank, Draw, Pulse, Source, figures, steady};
use railwright::circuit::spec::{Filter, Load, Topology};
use railwright::quantity::{Farads, Henries, Ohms};

use crate::support::{cases, draw};

/// Room for rounding, of the EMF peak.
const ROUNDING: f64 = 1e-9;

type Circuit = (Source, Bank, Draw);

/// Circuits of 20 V peak: `ωCR` 0.5 to 1000, thresholds to 8 V, ESR to a third of all resistance.
fn circuit(esr: bool) -> impl Strategy<Value = Circuit> {
    let numbers = (-0.3..3.0_f64, -4.0..0.3_f64, 0.0..8.0_f64, 0.0..0.5_f64, 0.1..10.0_f64);
    (numbers, any::<bool>()).prop_map(move |((omega_cr, ratio, drop_v, share, resistance), full_wave)| {
        let omega = 100.0 * PI;
        let esr_ohm = if esr { share * resistance } else { 0.0 };
        let total = resistance + esr_ohm;
        (
            Source { emf_peak_v: 20.0, omega_rad_s: omega, resistance_ohm: resistance, drop_v, full_wave },
            Bank { capacitance_f: 10_f64.powf(omega_cr) / (omega * total), esr_ohm },
            Draw::current(20.0 * 10_f64.powf(ratio) / total),
        )
    })
}

/// The circuit with its current drawn by the resistance that takes it at the EMF peak.
fn resistive((source, bank, draw): Circuit) -> Circuit {
    (source, bank, Draw { current_a: 0.0, conductance_s: draw.current_a / source.emf_peak_v })
}

fn solve((source, bank, draw): Circuit) -> Option<Pulse> {
    Pulse::solve(&source, &bank, draw).ok()
}

/// Voltages at turn-on, least, mean, greatest.
fn levels(pulse: &Pulse) -> [f64; 4] {
    [pulse.turn_on_v(), pulse.min_v(), pulse.mean_v(), pulse.max_v()]
}

fn all_above(higher: &Pulse, lower: &Pulse) -> bool {
    levels(higher).into_iter().zip(levels(lower)).all(|(high, low)| high >= low - ROUNDING * 20.0)
}

proptest! {
    /// Source: proven, order preservation of a scalar monotone differential equation: what raises the drive at every
    /// level raises the whole orbit.
    #[test]
    fn every_voltage_falls_with_source_resistance_threshold_and_load_and_rises_with_the_emf(
        base in circuit(false), factor in 1.01..1.6_f64, load_is_resistance in any::<bool>()
    ) {
        let base = if load_is_resistance { resistive(base) } else { base };
        let Some(before) = solve(base) else { return Ok(()) };
        let changed = |change: &dyn Fn(&mut Circuit)| {
            let mut circuit = base;
            change(&mut circuit);
            solve(circuit)
        };
        if let Some(after) = changed(&|c| c.0.resistance_ohm *= factor) { prop_assert!(all_above(&before, &after)); }
        if let Some(after) = changed(&|c| c.0.drop_v += factor - 1.0) { prop_assert!(all_above(&before, &after)); }
        if let Some(after) = changed(&|c| { c.2.current_a *= factor; c.2.conductance_s *= factor; }) {
            prop_assert!(all_above(&before, &after));
        }
        let after = changed(&|c| c.0.emf_peak_v *= factor).expect("more EMF holds what less held");
        prop_assert!(all_above(&after, &before));
    }

    /// Source: proven by algebra: under a constant current a threshold only moves the output down.
    #[test]
    fn a_threshold_shifts_the_output_of_a_constant_current_and_changes_nothing_else(
        base in circuit(true), more in 0.01..1.0_f64
    ) {
        let moved = (Source { drop_v: base.0.drop_v + more, ..base.0 }, base.1, base.2);
        let (Some(before), Some(after)) = (solve(base), solve(moved)) else { return Ok(()) };
        for (high, low) in levels(&before).into_iter().zip(levels(&after)) {
            prop_assert!((high - low - more).abs() < ROUNDING * 20.0);
        }
        prop_assert!((before.diode_rms_a() / after.diode_rms_a() - 1.0).abs() < 1e-8);
        prop_assert!((before.diode_peak_a() / after.diode_peak_a() - 1.0).abs() < 1e-8);
        prop_assert!((before.capacitor_rms_a() / after.capacitor_rms_a() - 1.0).abs() < 1e-8);
    }

    /// Source: proven: the current is never more than a reservoir standing at the valley would draw, and has the
    /// load's mean; so the valley lies below the ripple-free level of the same mean, whatever capacitance and ESR.
    #[test]
    fn no_capacitance_lifts_the_valley_above_the_ripple_free_level(base in circuit(true)) {
        let Some(pulse) = solve(base) else { return Ok(()) };
        let (source, bank, draw) = base;
        // A reservoir 10,000 times as large, without ESR, is ripple-free to 1e-4 of what the sag was.
        let large = Bank { capacitance_f: 1e4 * bank.capacitance_f, esr_ohm: 0.0 };
        let level = Pulse::solve(&source, &large, draw).expect("a larger reservoir holds").max_v();
        prop_assert!(pulse.min_v() <= level + ROUNDING * 20.0);
    }

    /// Source: measured on 200,000 circuits without exception, and the textbook's first rule; not proven.
    #[test]
    fn ripple_falls_with_capacitance_where_there_is_no_esr(base in circuit(false), factor in 1.01..3.0_f64) {
        let more = Bank { capacitance_f: factor * base.1.capacitance_f, ..base.1 };
        let (Some(before), Some(after)) = (solve(base), solve((base.0, more, base.2))) else { return Ok(()) };
        let ripple = |pulse: &Pulse| pulse.max_v() - pulse.min_v();
        prop_assert!(ripple(&after) < ripple(&before) + ROUNDING * 20.0);
    }

    /// Source: dimensional analysis: the circuit is ruled by ratios of impedances.
    #[test]
    fn scaling_impedances_or_frequency_scales_the_figures(base in circuit(true), s in 0.1..10.0_f64) {
        let Some(pulse) = solve(base) else { return Ok(()) };
        let (source, bank, draw) = base;
        let heavier = Pulse::solve(
            &Source { resistance_ohm: s * source.resistance_ohm, ..source },
            &Bank { capacitance_f: bank.capacitance_f / s, esr_ohm: s * bank.esr_ohm },
            Draw::current(draw.current_a / s),
        ).expect("the same circuit");
        let faster = Pulse::solve(
            &Source { omega_rad_s: s * source.omega_rad_s, ..source },
            &Bank { capacitance_f: bank.capacitance_f / s, ..bank },
            draw,
        ).expect("the same circuit");
        for ((one, other), another) in levels(&pulse).into_iter().zip(levels(&heavier)).zip(levels(&faster)) {
            prop_assert!((one - other).abs() < ROUNDING * 20.0 && (one - another).abs() < ROUNDING * 20.0);
        }
        prop_assert!((s * heavier.diode_rms_a() / pulse.diode_rms_a() - 1.0).abs() < 1e-8);
        prop_assert!((faster.diode_rms_a() / pulse.diode_rms_a() - 1.0).abs() < 1e-8);
    }

    /// Source: conservation of energy and charge; the powers are integrated one by one.
    #[test]
    fn energy_and_charge_balance_in_every_circuit_with_and_without_leakage(
        base in circuit(true), leakage in prop_oneof![Just(0.0), 0.02..2.0_f64],
        centre_tap in any::<bool>(), load_is_resistance in any::<bool>()
    ) {
        let base = if load_is_resistance { resistive(base) } else { base };
        let Ok(state) = steady(&draw::spec(&base, leakage, centre_tap)) else { return Ok(()) };
        let f = figures(&state);
        prop_assert!(f.energy_residual.abs() < 1e-9, "{}", f.energy_residual);
        let pulses = if base.0.full_wave { 2.0 } else { 1.0 };
        prop_assert!((pulses * f.output.diode_avg_a / f.output.load_current_mean_a - 1.0).abs() < 1e-9);
    }

    /// Source: limit case. As leakage vanishes the figures become those without it, in the first order of `ωL/R`.
    #[test]
    fn a_vanishing_leakage_leaves_the_circuit_without_it(base in circuit(true), centre_tap in any::<bool>()) {
        let base = resistive(base);
        let bare = figures(&steady(&draw::spec(&base, 0.0, centre_tap)).expect("a steady state"));
        let Ok(state) = steady(&draw::spec(&base, 1e-5, centre_tap)) else { return Ok(()) };
        let f = figures(&state);
        prop_assert!((f.output.load_mean_v / bare.output.load_mean_v - 1.0).abs() < 1e-4);
        prop_assert!((f.winding_rms_a / bare.winding_rms_a - 1.0).abs() < 1e-4);
        prop_assert!((f.output.diode_piv_v / bare.output.diode_piv_v - 1.0).abs() < 1e-4);
    }
}

fn output(topology: Topology, filter: Filter, leakage_h: f64) -> OutputFigures {
    let mut spec = cases::bridge(20.0, 1.0, 1e-3, 0.0);
    spec.topology = topology;
    spec.winding.leakage = Henries(leakage_h);
    spec.output.filter = filter;
    spec.output.load = Load::Resistance(Ohms(50.0));
    figures(&steady(&spec).expect("a resistance always has a steady state")).output
}

fn reservoir(capacitance_f: f64) -> Filter {
    let Filter::Reservoir(mut part) = cases::bridge(20.0, 1.0, 1e-3, 0.0).output.filter else {
        unreachable!("the bridge has a reservoir")
    };
    part.capacitance = Farads(capacitance_f);
    Filter::Reservoir(part)
}

/// Source: limit case; a vanishing reservoir is none.
#[test]
fn a_vanishing_reservoir_leaves_the_bare_rectifier() {
    for topology in [Topology::HalfWave, Topology::CentreTap, Topology::Bridge] {
        let (small, none) = (output(topology, reservoir(3e-8), 0.0), output(topology, Filter::None, 0.0));
        assert!((small.load_mean_v / none.load_mean_v - 1.0).abs() < 1e-3, "{topology:?}");
        assert!((small.diode_rms_a / none.diode_rms_a - 1.0).abs() < 1e-3, "{topology:?}");
        assert!((small.load_max_v / none.load_max_v - 1.0).abs() < 1e-3 && small.load_min_v < 2e-2);
    }
}

/// Source: elementary rectifier theory (any handbook): without filter and drops the mean is `V̂/π` or `2V̂/π` divided
/// over load and source, the reverse voltage `V̂`, `2V̂` less the drop in the source, `V̂` less it.
#[test]
fn a_bare_rectifier_has_the_textbook_mean_and_reverse_voltage() {
    let divided = 20.0 * 50.0 / 51.0;
    for (topology, mean, reverse) in [
        (Topology::HalfWave, divided / PI, 20.0),
        (Topology::CentreTap, 2.0 * divided / PI, 20.0 + divided),
        (Topology::Bridge, 2.0 * divided / PI, divided),
    ] {
        let o = output(topology, Filter::None, 0.0);
        assert!((o.load_mean_v / mean - 1.0).abs() < 1e-12, "{topology:?}");
        assert!((o.diode_piv_v / reverse - 1.0).abs() < 1e-9, "{topology:?} {}", o.diode_piv_v);
        assert!((o.diode_conduction_deg - 180.0).abs() < 1e-9);
    }
}

/// Source: limit case: an infinite reservoir is a battery, and its level `V` solves
/// `∫ max(0, V̂ sin θ − V) dθ / R = D V/RL` (twice the pulse over the cycle `D`).
#[test]
fn a_vast_reservoir_is_a_battery_at_the_level_that_balances_its_charge() {
    for (topology, cycle) in [(Topology::HalfWave, 2.0 * PI), (Topology::Bridge, PI)] {
        let o = output(topology, reservoir(1e3), 0.0);
        assert!(o.ripple_pp_v < 1e-4);
        let f = (o.load_mean_v / 20.0).acos();
        let balance = 20.0 * 2.0 * (f.sin() - f * f.cos()) - cycle * o.load_mean_v / 50.0;
        assert!(balance.abs() < 1e-4, "{topology:?} {balance}");
    }
}

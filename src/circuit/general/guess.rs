//! Where the search for a steady state starts: capacitors charged as a ripple-free reservoir would be.
//!
//! A rule of thumb that only saves iterations; nothing of it reaches a figure.

use super::network::{Network, Output, Rail};
use crate::circuit::spec::{Load, Topology};
use std::f64::consts::{PI, TAU};

/// Full state at the zero of the EMF.
pub(super) fn start(net: &Network) -> Vec<f64> {
    let inductors = net.inductors.len();
    let mut full = vec![0.0; net.order()];
    for rail in &net.rails {
        for &output in &rail.outputs {
            charge(net, rail, &net.outputs[output], &mut full[inductors..]);
            let out = &net.outputs[output];
            if let (Some(choke), false) = (out.choke, out.first_caps.is_empty()) {
                let volts = out.second_cap.map_or(0.0, |cap| full[inductors + cap]);
                full[choke] = match out.load {
                    Load::Resistance(ohm) => volts / ohm.0,
                    Load::Current(amps) => amps.0,
                    Load::Power(watts) => watts.0 / volts.max(1e-3 * net.emf_peak),
                };
            }
        }
    }
    full
}

fn charge(net: &Network, rail: &Rail, out: &Output, volts: &mut [f64]) {
    let Some(&first) = rail.windings.first() else { return };
    let winding = &net.windings[first];
    let emf = winding.gain.abs() * net.emf_peak;
    let Some(&diode) = out.diodes.first() else { return };
    let threshold = net.diodes[diode].threshold_v / emf;
    let resistance = winding.resistance + net.diode_slope[diode] + net.common * winding.gain * winding.gain;
    let series = out.section.as_ref().map_or(0.0, |(ohm, _)| *ohm);
    let stacked = match rail.topology {
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 2.0,
        _ => 1.0,
    };
    let window = match rail.topology {
        Topology::HalfWave | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => TAU,
        _ => PI,
    };
    let (current, conductance) = match out.load {
        Load::Resistance(ohm) => (0.0, stacked / (ohm.0 + series)),
        Load::Current(amps) => (amps.0, 0.0),
        Load::Power(watts) => (watts.0 / (0.9 * stacked * emf), 0.0),
    };
    let level = if out.first_caps.is_empty() {
        // No reservoir: the average of the rectified sine.
        (2.0 / window - threshold).max(0.05)
    } else {
        let half = conduction(current * resistance / emf, conductance * resistance, threshold, window);
        (half.cos() - threshold).max(0.0)
    };
    for &cap in &out.first_caps {
        volts[cap] = level * emf;
    }
    if rail.topology == Topology::HalfWaveDoubler
        && let [reservoir, _] = out.first_caps[..]
    {
        volts[reservoir] = 2.0 * level * emf;
    }
    if let Some(second) = out.second_cap {
        let open = stacked * level * emf;
        volts[second] = match out.load {
            Load::Resistance(ohm) => open * ohm.0 / (ohm.0 + series),
            Load::Current(amps) => open - amps.0 * series,
            Load::Power(watts) => open - watts.0 * series / open.max(1e-3 * emf),
        };
    }
}

/// Half of the conduction angle of a ripple-free reservoir: `2 sin f − 2 f cos f = D (j + g (cos f − t))`.
fn conduction(j: f64, g: f64, t: f64, window: f64) -> f64 {
    let demand = j + g * (1.0 - t).max(0.0);
    let mut f = (1.5 * window * demand).cbrt().min(1.4);
    for _ in 0..6 {
        let value = 2.0 * f.sin() - 2.0 * f * f.cos() - window * (j + g * (f.cos() - t));
        let slope = (2.0 * f + window * g) * f.sin();
        if slope <= 0.0 {
            break;
        }
        f = (f - value / slope).clamp(1e-3, 1.5);
    }
    f
}

//! The general engine: the exact steady state of any circuit [`Spec`] can name, mode by mode in closed form.
//!
//! No time-stepping: inside a mode the motion is a sum of exponentials and a sinusoid, and the instants at which diodes start
//! and stop are roots found to machine precision. Derivation: `DEVELOPERS.md`, "General engine".

mod cache;
pub mod core;
pub mod core_powers;
mod domain;
mod eigen;
mod eigenvector;
mod event;
mod figures;
mod guess;
mod matrix;
mod mirror;
mod modal;
mod mode;
mod network;
mod places;
mod power;
mod propagate;
mod signal;
mod spectrum;
mod steady;
pub mod switch_on;
mod switch_on_bench;
pub mod switch_trace;
mod tally;
mod waveform;

pub use steady::Steady;
pub use waveform::{OutputSample, Sample};

use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Load, Spec};

/// Finds the steady state of a circuit.
pub fn solve(spec: &Spec) -> Result<Steady, NoSteadyState> {
    let net = network::Network::of(std::slice::from_ref(spec), spec.winding.common_resistance.0)?;
    settled(steady::seek(net)?)
}

/// Share of the EMF's peak that a load voltage must exceed: below it the voltage is the rounding of nothing.
const STANDS: f64 = 1e-12;

/// A constant current that draws its output to zero or below has collapsed: no regulator draws there.
fn settled(steady: Steady) -> Result<Steady, NoSteadyState> {
    if !steady.net.outputs.iter().any(|output| matches!(output.load, Load::Current(_))) {
        return Ok(steady);
    }
    let least = figures::least_load_voltages(&steady);
    let none = STANDS * steady.net.emf_peak;
    let fallen =
        |(output, least): (&network::Output, f64)| matches!(output.load, Load::Current(_)) && least <= none;
    if steady.net.outputs.iter().zip(least).any(fallen) { Err(NoSteadyState::Collapsed) } else { Ok(steady) }
}

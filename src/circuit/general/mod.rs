//! The general engine: the exact steady state of any circuit [`Spec`] can name, mode by mode in closed form.
//!
//! No time-stepping: inside a mode the motion is a sum of exponentials and a sinusoid, and the instants at which diodes start
//! and stop are roots found to machine precision. Derivation: `DEVELOPERS.md`, "General engine".

mod angle;
mod cache;
mod collapse;
pub mod core;
pub mod core_powers;
mod detour;
mod domain;
mod eigen;
mod eigenvector;
mod event;
mod few;
mod figures;
mod guess;
mod heating;
mod looks;
mod matrix;
mod mirror;
mod modal;
mod mode;
mod network;
mod places;
mod power;
mod propagate;
mod raise;
mod signal;
mod spectrum;
mod starved;
mod steady;
pub mod switch_on;
mod switch_on_bench;
pub mod switch_trace;
mod tally;
mod tangent;
mod variants;
mod waveform;

use collapse::settled;
pub use heating::{Heating, RailHeating};
pub use steady::Steady;
pub use waveform::{OutputSample, Sample};

use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::Spec;

/// Finds the steady state of a circuit.
pub fn solve(spec: &Spec) -> Result<Steady, NoSteadyState> {
    let net = network::Network::of(std::slice::from_ref(spec), spec.winding.common_resistance.0)?;
    settled(steady::seek(net)?)
}

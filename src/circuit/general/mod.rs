//! The general engine: the exact steady state of any circuit [`Spec`] can name, mode by mode in closed form.
//!
//! No time-stepping: inside a mode the motion is a sum of exponentials and a sinusoid, and the instants at which diodes start
//! and stop are roots found to machine precision. Derivation: `DEVELOPERS.md`, "General engine".

mod cache;
mod domain;
mod eigen;
mod eigenvector;
mod event;
mod figures;
mod guess;
mod matrix;
mod modal;
mod mode;
mod network;
mod propagate;
mod signal;
mod steady;
pub mod switch_on;
mod tally;

pub use steady::Steady;

use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Load, Spec};

/// Finds the steady state of a circuit.
pub fn solve(spec: &Spec) -> Result<Steady, NoSteadyState> {
    let net = network::Network::of(std::slice::from_ref(spec), spec.winding.common_resistance.0)?;
    let steady = steady::seek(net)?;
    if let (Load::Current(_), Some(&least)) =
        (spec.output.load, figures::least_load_voltages(&steady).first())
        && least <= 0.0
    {
        return Err(NoSteadyState::Collapsed);
    }
    Ok(steady)
}

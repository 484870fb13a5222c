//! The transformer: resistances, wirings, losses, temperature, currents on the mains side.
//!
//! Knows nothing of waveforms: currents come in as rms or mean values. Derivations stand beside each law.

pub mod core;
pub mod current;
pub mod insulation;
pub mod resistance;
pub mod temperature;
pub mod wiring;

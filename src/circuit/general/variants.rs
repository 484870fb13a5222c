//! Networks that differ from one in values only: less power, more of a leak, a trace of slope. On the way to a steady state; no
//! figure is read from them.

use super::network::Network;
use crate::circuit::spec::Load;
use crate::quantity::{Amps, Ohms};

/// Share of a path's resistance given to ideal diodes that close a loop without resistance.
const LAST_RESISTANCE: f64 = 1e-4;

impl Network {
    /// The same network with a share of every constant power.
    pub(super) fn with_power(&self, share: f64) -> Self {
        let mut part = self.clone();
        for output in &mut part.outputs {
            if let Load::Power(watts) = &mut output.load {
                *watts = *watts * share;
            }
        }
        part
    }

    /// The same network with no load less than a leak, as a multiple of its last capacitor's reactance; nothing where none is.
    pub(super) fn with_leak(&self, reactances: f64) -> Option<Self> {
        let (mut other, mut leaks) = (self.clone(), false);
        for output in &mut other.outputs {
            let Some(&last) = output.load_caps.last() else { continue };
            let leak = reactances / (self.omega * self.capacitors[last].farads);
            match &mut output.load {
                Load::Resistance(ohm) if ohm.0 > leak => *ohm = Ohms(leak),
                Load::Current(amps) if amps.0 < self.emf_peak / leak => *amps = Amps(self.emf_peak / leak),
                _ => continue,
            }
            leaks = true;
        }
        leaks.then_some(other)
    }

    /// Gives every diode path a trace of resistance.
    ///
    /// Ideal diodes can close a loop without any (all four of a bridge, or both of a doubler over capacitors without series
    /// resistance, with the output held at zero): the current round it would be undetermined.
    pub(super) fn soften(&mut self) {
        let paths: Vec<f64> = (0..self.diodes.len()).map(|diode| self.path_resistance(diode)).collect();
        for (diode, slope) in self.diode_slope.iter_mut().enumerate() {
            *slope += LAST_RESISTANCE * paths[diode];
        }
    }
}

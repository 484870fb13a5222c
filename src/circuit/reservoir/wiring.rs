//! How one pulse lies in the winding: diodes in series, halves, shares of the source resistance.
//!
//! Knows nothing of the pulse itself.

use std::f64::consts::PI;

use super::Unsolved;
use super::form::Source;
use crate::circuit::spec::{Spec, Topology};

/// One of the three circuits with a single reservoir.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Connection {
    /// One pulse a period.
    HalfWave,
    /// Two halves, one pulse each a period.
    CentreTap,
    /// One winding, two pulses a period, two diodes in series.
    Bridge,
}

/// The winding side of a solved circuit, in ohms and volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wiring {
    pub connection: Connection,
    /// Resistance of one half and what it has in common with the other.
    pub winding_ohm: f64,
    /// The common part of it.
    pub common_ohm: f64,
    /// Slope of a single diode.
    pub slope_ohm: f64,
    /// Threshold of a single diode.
    pub threshold_v: f64,
}

impl Wiring {
    /// Reads the circuit; anything but the three connections is the general engine's.
    pub(super) fn of(spec: &Spec) -> Result<(Self, Source), Unsolved> {
        let connection = match spec.topology {
            Topology::HalfWave => Connection::HalfWave,
            Topology::CentreTap => Connection::CentreTap,
            Topology::Bridge => Connection::Bridge,
            Topology::FullWaveDoubler | Topology::HalfWaveDoubler | Topology::DualComplementary => {
                return Err(Unsolved::NotMine);
            }
        };
        let winding = &spec.winding;
        let wiring = Self {
            connection,
            winding_ohm: winding.resistance.0 + winding.common_resistance.0,
            common_ohm: winding.common_resistance.0,
            slope_ohm: spec.diode.slope.0,
            threshold_v: spec.diode.threshold.0,
        };
        for (what, value) in [
            ("winding resistance", winding.resistance.0),
            ("common resistance", wiring.common_ohm),
            ("diode slope", wiring.slope_ohm),
            ("diode threshold", wiring.threshold_v),
            ("leakage inductance", winding.leakage.0),
        ] {
            super::form::within(what, value, 0.0, 1e300)?;
        }
        let diodes = wiring.diodes();
        let source = Source {
            emf_peak_v: winding.emf_peak.0,
            omega_rad_s: 2.0 * PI * winding.frequency.0,
            resistance_ohm: wiring.winding_ohm + diodes * wiring.slope_ohm,
            drop_v: diodes * wiring.threshold_v,
            full_wave: wiring.full_wave(),
        };
        Ok((wiring, source))
    }

    /// Diodes in series in a conducting path.
    #[inline]
    pub(super) fn diodes(&self) -> f64 {
        if self.connection == Connection::Bridge { 2.0 } else { 1.0 }
    }

    /// Whether the output sees two pulses a period.
    #[inline]
    pub(super) fn full_wave(&self) -> bool {
        self.connection != Connection::HalfWave
    }
}

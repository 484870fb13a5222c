//! Fuses, thermal cut-outs, inrush limiters.

use crate::{
    catalog::part::Common,
    quantity::{Amps, AmpsSquaredSeconds, Celsius, Farads, Joules, Ohms, Ratio, Seconds, Volts},
};

/// Rating system of a fuse; the two never mix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FuseSystem {
    /// IEC 60127-2, time-lag, low breaking capacity.
    Iec60127Sheet3,
    /// IEC 60127-2, time-lag, high breaking capacity.
    Iec60127Sheet5,
    /// UL 248-14, time-delay.
    Ul248,
}

/// A cartridge fuse.
#[derive(Clone, Debug)]
pub struct Fuse {
    /// What every part has.
    pub common: Common,
    /// Rating system.
    pub system: FuseSystem,
    /// Rated current.
    pub rated: Amps,
    /// Rated ac voltage rms.
    pub voltage: Volts,
    /// Breaking capacity rms.
    pub breaking: Amps,
    /// Least melting integral at ten times rated current.
    pub melting_i2t: AmpsSquaredSeconds,
    /// Cold resistance.
    pub cold_resistance: Option<Ohms>,
    /// Loss of rating per kelvin above 23 °C.
    pub rerating_per_kelvin: Ratio,
}

/// A thermal cut-out for a winding or sink.
#[derive(Clone, Debug)]
pub struct CutOut {
    /// What every part has.
    pub common: Common,
    /// Opening temperature.
    pub opens_at: Celsius,
    /// Tolerance of the opening temperature, both ways.
    pub tolerance_k: crate::quantity::Kelvins,
    /// Rated current.
    pub current: Amps,
    /// Rated ac voltage rms.
    pub voltage: Volts,
    /// Whether it closes again when cool.
    pub resets: bool,
}

/// An inrush-limiting thermistor.
#[derive(Clone, Debug)]
pub struct InrushLimiter {
    /// What every part has.
    pub common: Common,
    /// Resistance at 25 °C.
    pub cold: Ohms,
    /// Tolerance of the cold resistance.
    pub tolerance: Ratio,
    /// Resistance at greatest current.
    pub hot: Ohms,
    /// Greatest steady rms current.
    pub current_max: Amps,
    /// Greatest capacitance at `energy_voltage`.
    pub capacitance_max: Option<Farads>,
    /// rms voltage at which `capacitance_max` holds.
    pub energy_voltage: Option<Volts>,
    /// Greatest energy of one surge.
    pub energy_max: Option<Joules>,
    /// Time to cool.
    pub recovery: Option<Seconds>,
}

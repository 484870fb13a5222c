//! Electrolytic reservoirs, and the small capacitors beside a regulator.

use crate::{
    catalog::part::Common,
    quantity::{Amps, Celsius, Farads, Hertz, Hours, Kelvins, Metres, Ohms, Ratio, Volts},
};

/// What a stated life includes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LifeBasis {
    /// Stated with rated ripple current flowing.
    WithRipple,
    /// Stated without ripple.
    WithoutRipple,
}

/// An aluminium electrolytic capacitor.
#[derive(Clone, Debug)]
pub struct Electrolytic {
    /// What every part has.
    pub common: Common,
    /// Nominal capacitance.
    pub capacitance: Farads,
    /// Tolerance downward.
    pub tolerance_minus: Ratio,
    /// Tolerance upward.
    pub tolerance_plus: Ratio,
    /// Rated dc voltage.
    pub rated: Volts,
    /// Surge voltage.
    pub surge: Option<Volts>,
    /// Greatest temperature (upper category).
    pub t_max: Celsius,
    /// Least temperature (lower category).
    pub t_min: Celsius,
    /// Greatest ESR at `esr_frequency` and 20 °C.
    pub esr: Ohms,
    /// Frequency of the ESR.
    pub esr_frequency: Hertz,
    /// ESR at `t_min` over ESR at 20 °C.
    pub esr_cold_ratio: Ratio,
    /// Capacitance at `t_min` over capacitance at 20 °C.
    pub capacitance_cold_ratio: Ratio,
    /// Rated rms ripple current at `ripple_frequency` and `t_max`.
    pub ripple: Amps,
    /// Frequency of the ripple rating, 100 Hz or 120 Hz.
    pub ripple_frequency: Hertz,
    /// Ripple multipliers by frequency, rising.
    pub ripple_multipliers: Vec<(Hertz, f64)>,
    /// Core rise over ambient at rated ripple and `t_max`.
    pub core_rise: Kelvins,
    /// Life at `t_max`.
    pub life: Hours,
    /// What the life includes.
    pub life_basis: LifeBasis,
    /// Loss of capacitance that ends life.
    pub end_capacitance_loss: Ratio,
    /// Growth of ESR that ends life.
    pub end_esr_factor: f64,
    /// Leakage current at rated voltage and 20 °C.
    pub leakage: Option<Amps>,
    /// Can diameter.
    pub diameter: Metres,
    /// Free height above the vent.
    pub vent_gap: Option<Metres>,
}

/// What a small capacitor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dielectric {
    /// Plastic film.
    Film,
    /// Ceramic.
    Ceramic,
    /// Solid tantalum.
    Tantalum,
    /// Aluminium electrolytic.
    Aluminium,
}

impl Dielectric {
    /// Whether it must not be reversed: electrolytics, wet and solid. Common practice, no source.
    pub fn polarised(self) -> bool {
        matches!(self, Self::Tantalum | Self::Aluminium)
    }
}

/// A capacitor for the input or output of a regulator.
#[derive(Clone, Debug)]
pub struct SmallCapacitor {
    /// What every part has.
    pub common: Common,
    /// Nominal capacitance.
    pub capacitance: Farads,
    /// Tolerance, both ways.
    pub tolerance: Ratio,
    /// Rated dc voltage.
    pub rated: Volts,
    /// What it is made of.
    pub dielectric: Dielectric,
    /// Greatest ESR at 100 kHz and 20 °C.
    pub esr_max: Option<Ohms>,
    /// Least ESR at 100 kHz.
    pub esr_min: Option<Ohms>,
    /// Capacitance left at rated dc voltage; `None` where the dielectric does not lose any.
    pub bias_factor: Option<Ratio>,
}

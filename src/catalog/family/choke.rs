//! Filter chokes: gapped cores that carry direct current.

use crate::{
    catalog::part::Common,
    quantity::{Amps, Celsius, Henries, Kelvins, Ohms, Ratio},
};

/// A filter choke.
#[derive(Clone, Debug)]
pub struct Choke {
    /// What every part has.
    pub common: Common,
    /// Inductance at the rated direct current, 100 Hz, 20 °C.
    pub inductance: Henries,
    /// Tolerance of the inductance, both ways.
    pub tolerance: Ratio,
    /// Inductance without direct current over `inductance`; one or more.
    pub swing: Ratio,
    /// Direct current that the winding carries for good in air of 40 °C.
    pub current: Amps,
    /// Current up to which the inductance holds within its tolerance.
    pub current_peak: Amps,
    /// Winding resistance at 20 °C.
    pub resistance: Ohms,
    /// Rise of the winding at `current` in air of 40 °C.
    pub rise: Kelvins,
    /// Greatest winding temperature of the insulation.
    pub winding_max: Celsius,
}

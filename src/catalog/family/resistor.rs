//! Resistor series: a part is a series and a preferred value.

use crate::{
    catalog::part::Common,
    quantity::{Celsius, Ohms, Ratio, Volts, Watts},
};

/// Values of an IEC 60063 series between two ends, alike in everything else.
#[derive(Clone, Debug)]
pub struct ResistorSeries {
    /// What every value has; the id is the stem of the part numbers.
    pub common: Common,
    /// Values per decade: 6, 12, 24, 48, 96.
    pub per_decade: u32,
    /// Least value.
    pub from: Ohms,
    /// Greatest value.
    pub to: Ohms,
    /// Tolerance, both ways.
    pub tolerance: Ratio,
    /// Temperature coefficient per kelvin, both ways.
    pub temperature_coefficient: Ratio,
    /// Power up to `full_to`.
    pub power: Watts,
    /// Ambient up to which the whole power holds.
    pub full_to: Celsius,
    /// Ambient at which nothing is left.
    pub zero_at: Celsius,
    /// Greatest working voltage.
    pub voltage_max: Volts,
    /// Whether the maker states that it fails open without flame when overloaded.
    pub flameproof: bool,
}

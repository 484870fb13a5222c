//! Pass transistors: bipolar power transistors that stand beside a regulator.

use crate::{
    catalog::part::Common,
    quantity::{Amps, Celsius, KelvinsPerWatt, Ratio, Volts},
};

/// A bipolar power transistor.
#[derive(Clone, Debug)]
pub struct Transistor {
    /// What every part has.
    pub common: Common,
    /// `true` for pnp, which stands in a positive rail; npn in a negative one.
    pub pnp: bool,
    /// Greatest collector-emitter voltage, base open.
    pub collector_emitter_max: Volts,
    /// Greatest continuous collector current.
    pub collector_current: Amps,
    /// Greatest continuous base current.
    pub base_current: Amps,
    /// Least dc current gain up to `gain_current`, at 4 V and 25 °C junction.
    pub gain_min: Ratio,
    /// Collector current up to which the gain holds.
    pub gain_current: Amps,
    /// Least base-emitter voltage at which it conducts a tenth of `gain_current`, at 25 °C junction.
    pub base_emitter_min: Volts,
    /// Greatest base-emitter voltage at `gain_current`, at 25 °C junction.
    pub base_emitter_max: Volts,
    /// Greatest difference of base-emitter voltages of two of one lot, at equal current and temperature.
    pub base_emitter_spread: Volts,
    /// Corners of the dc operating area, voltage rising, current not.
    pub operating_area: Vec<(Volts, Amps)>,
    /// Case temperature at which the operating area holds.
    pub area_case: Celsius,
    /// Greatest junction temperature.
    pub junction_max: Celsius,
    /// Junction to case.
    pub junction_case: KelvinsPerWatt,
}

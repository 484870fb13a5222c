//! Rectifier diodes and bridges.

use crate::{
    catalog::part::Common,
    quantity::{Amps, AmpsSquaredSeconds, Celsius, KelvinsPerWatt, Seconds, Volts},
};

/// One point of the maximum forward characteristic of one diode element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForwardPoint {
    /// Forward current.
    pub current: Amps,
    /// Greatest forward voltage at it.
    pub voltage: Volts,
    /// Junction temperature at which it holds.
    pub junction: Celsius,
}

/// Average-current rating against reference temperature: full up to `full_to`, then straight to zero at `zero_at`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurrentCurve {
    /// Rating up to `full_to`, resistive load.
    pub rated: Amps,
    /// Temperature up to which the whole rating holds.
    pub full_to: Celsius,
    /// Temperature at which nothing is left.
    pub zero_at: Celsius,
    /// Where the temperature is measured.
    pub reference: Reference,
}

/// Where the reference temperature of a current rating is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// Air around the part.
    Ambient,
    /// Lead near the body.
    Lead,
    /// Case.
    Case,
}

/// How the junction's heat leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalPath {
    /// Junction to air on a board as the maker describes; `None` for parts made for a heat sink.
    pub junction_air: Option<KelvinsPerWatt>,
    /// Junction to case, of the whole package; `None` for parts without a mounting face.
    pub junction_case: Option<KelvinsPerWatt>,
    /// Greatest junction temperature.
    pub junction_max: Celsius,
}

/// Ratings that a diode and each element of a bridge have alike.
#[derive(Clone, Debug)]
pub struct Element {
    /// Repetitive peak reverse voltage.
    pub reverse_repetitive: Volts,
    /// Non-repetitive peak reverse voltage.
    pub reverse_surge: Option<Volts>,
    /// rms forward current.
    pub rms_max: Option<Amps>,
    /// Repetitive peak forward current.
    pub peak_repetitive: Option<Amps>,
    /// Peak of one half sine of `surge_pulse`.
    pub surge: Amps,
    /// Length of the surge pulse, 8.3 ms or 10 ms.
    pub surge_pulse: Seconds,
    /// Junction temperature before the surge.
    pub surge_start: Celsius,
    /// Heating integral, 10 ms basis.
    pub i2t: Option<AmpsSquaredSeconds>,
    /// Maximum forward characteristic: at least two points at 25 °C and two at a high junction temperature.
    pub forward: Vec<ForwardPoint>,
    /// Reverse current at rated reverse voltage and greatest junction temperature.
    pub leakage_hot: Option<Amps>,
    /// Whether the barrier is a metal one (Schottky).
    pub schottky: bool,
}

/// A single rectifier diode.
#[derive(Clone, Debug)]
pub struct DiodePart {
    /// What every part has.
    pub common: Common,
    /// Ratings of the element.
    pub element: Element,
    /// Average forward current of the diode, half sine.
    pub average: CurrentCurve,
    /// How the heat leaves.
    pub thermal: ThermalPath,
}

/// A rectifier bridge of four elements.
#[derive(Clone, Debug)]
pub struct BridgePart {
    /// What every part has.
    pub common: Common,
    /// Ratings of each element.
    pub element: Element,
    /// Average output current of the bridge, resistive load.
    pub output: CurrentCurve,
    /// Factor on `output` for a capacitive load, where the maker states one.
    pub capacitive_factor: Option<f64>,
    /// How the heat of the whole package leaves.
    pub thermal: ThermalPath,
    /// Insulation of the mounting face, rms; `None` where there is none.
    pub isolation: Option<Volts>,
}

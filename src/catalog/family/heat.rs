//! Heat sinks and interface pads.

use std::collections::BTreeMap;

use crate::{
    catalog::part::Common,
    quantity::{Kelvins, KelvinsPerWatt, Volts, Watts},
};

/// A heat sink in still air.
#[derive(Clone, Debug)]
pub struct HeatSink {
    /// What every part has.
    pub common: Common,
    /// Resistance to air at `rise`.
    pub resistance: KelvinsPerWatt,
    /// Rise of the sink at which it holds.
    pub rise: Kelvins,
    /// Exponent of the dependence on the rise: `R = resistance · (rise/ΔT)^exponent`.
    pub exponent: f64,
    /// Packages that can be mounted on it.
    pub mounts: Vec<String>,
    /// Greatest power the maker states.
    pub power_max: Option<Watts>,
}

/// A thermal interface between a package and a sink.
#[derive(Clone, Debug)]
pub struct InterfacePad {
    /// What every part has.
    pub common: Common,
    /// Resistance by package.
    pub resistance: BTreeMap<String, KelvinsPerWatt>,
    /// Insulation rms; `None` where it conducts.
    pub isolation: Option<Volts>,
    /// Material in words.
    pub material: String,
}

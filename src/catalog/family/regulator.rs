//! Linear regulators: fixed, adjustable, low-dropout.

use crate::{
    catalog::part::Common,
    quantity::{Amps, Celsius, Farads, Hertz, KelvinsPerWatt, Ohms, Ratio, Volts},
};

/// How the output voltage is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting {
    /// Fixed output.
    Fixed {
        /// Output voltage.
        output: Volts,
    },
    /// Floating: the reference stands between output and adjust pin, the adjust current leaves through the lower resistor.
    Adjustable {
        /// Reference voltage.
        reference: Volts,
        /// Least output voltage.
        output_min: Volts,
        /// Greatest output voltage.
        output_max: Volts,
        /// Greatest adjust-pin current.
        adjust_current: Amps,
    },
}

/// Greatest drop-out voltage at a current and a junction temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropOutPoint {
    /// Output current.
    pub current: Amps,
    /// Junction temperature.
    pub junction: Celsius,
    /// Greatest drop-out.
    pub voltage: Volts,
}

/// Ripple rejection as the maker states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rejection {
    /// Rejection in decibels.
    pub decibels: f64,
    /// Whether the maker guarantees it; otherwise it is typical.
    pub guaranteed: bool,
    /// Frequency, 100 Hz or 120 Hz.
    pub frequency: Hertz,
    /// Output current at which it holds.
    pub current: Amps,
    /// Input less output voltage at which it holds.
    pub headroom: Volts,
    /// Adjust-pin capacitor it needs, if any.
    pub adjust_capacitor: Option<Farads>,
}

/// Foldback: the current limit falls with the voltage across the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foldback {
    /// Input-to-output voltage.
    pub differential: Volts,
    /// Least current limit at it.
    pub limit: Amps,
}

/// Limits of a capacitor the regulator needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapacitorWindow {
    /// Least capacitance.
    pub min: Farads,
    /// Greatest capacitance; `None` where the maker states none.
    pub max: Option<Farads>,
    /// Least ESR for stability; `None` where any is allowed.
    pub esr_min: Option<Ohms>,
    /// Greatest ESR for stability.
    pub esr_max: Option<Ohms>,
}

/// A linear regulator.
#[derive(Clone, Debug)]
pub struct Regulator {
    /// What every part has.
    pub common: Common,
    /// Polarity: `true` for positive.
    pub positive: bool,
    /// How the output is set.
    pub setting: Setting,
    /// Accuracy of output or reference over temperature, both ways.
    pub accuracy: Ratio,
    /// Greatest input voltage to the common pin; `None` for a floating part.
    pub input_max: Option<Volts>,
    /// Greatest input-to-output voltage; `None` where the maker states none.
    pub differential_max: Option<Volts>,
    /// Guaranteed output current.
    pub output_current: Amps,
    /// Current limit: least, typical, greatest.
    pub limit_min: Amps,
    /// Typical current limit.
    pub limit_typ: Amps,
    /// Greatest current limit.
    pub limit_max: Amps,
    /// Foldback curve, differential rising; empty where the limit is constant.
    pub foldback: Vec<Foldback>,
    /// Greatest drop-out versus current, at one or more junction temperatures.
    pub drop_out: Vec<DropOutPoint>,
    /// Output sag at which drop-out is measured.
    pub drop_out_sag: Ratio,
    /// Typical ground current (fixed) or zero (floating).
    pub ground_current_typ: Amps,
    /// Greatest ground current at full load.
    pub ground_current_max: Amps,
    /// Typical minimum load; `None` where none is needed.
    pub minimum_load_typ: Option<Amps>,
    /// Greatest minimum load; `None` where none is needed.
    pub minimum_load_max: Option<Amps>,
    /// Ripple rejection.
    pub rejection: Option<Rejection>,
    /// Line regulation: change of output per volt of input, relative.
    pub line_regulation_per_volt: Ratio,
    /// Load regulation from no load to full load, relative.
    pub load_regulation: Ratio,
    /// Input capacitor.
    pub input_capacitor: Option<CapacitorWindow>,
    /// Output capacitor.
    pub output_capacitor: Option<CapacitorWindow>,
    /// Greatest junction temperature.
    pub junction_max: Celsius,
    /// Whether the part turns itself off when too hot.
    pub thermal_shutdown: bool,
    /// Junction to case.
    pub junction_case: KelvinsPerWatt,
    /// Junction to air without a sink.
    pub junction_air: Option<KelvinsPerWatt>,
    /// What the mounting tab is connected to.
    pub tab: Tab,
    /// Whether an output-to-input protection diode is asked for where the output is held up.
    pub wants_reverse_diode: bool,
}

/// What the mounting tab is connected to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tab {
    /// Common or ground.
    Ground,
    /// Input.
    Input,
    /// Output.
    Output,
    /// Insulated.
    Insulated,
}

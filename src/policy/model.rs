//! The typed policy, plain data.

use std::collections::BTreeMap;

use crate::quantity::{Celsius, Kelvins, Ratio, Seconds, Volts};

/// How a figure is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Read in the published text.
    Seen,
    /// Read in a secondary witness.
    SecondHand,
    /// Recalled, not read.
    Memory,
    /// Common practice, no source.
    CommonPractice,
}

/// What a limit means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitKind {
    /// Applied over rating, at most.
    Ratio(Ratio),
    /// At least this far below the part's greatest temperature.
    BelowMaximum(Kelvins),
    /// At most this temperature, whatever the part's own maximum; and at least `below` under that maximum.
    Ceiling {
        /// Absolute ceiling.
        at_most: Celsius,
        /// Distance below the part's own maximum, zero if the policy names none.
        below: Kelvins,
    },
    /// At least this value in the rule's own unit (volts of headroom, times the requirement, and so on).
    AtLeast(f64),
    /// At most this value in the rule's own unit.
    AtMost(f64),
}

/// One limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it means.
    pub kind: LimitKind,
    /// When it applies, in words.
    pub condition: String,
    /// Clause or table of the source.
    pub clause: String,
    /// How it is known.
    pub known: Known,
}

/// Figures of the policy that are not a limit of one stress.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameters {
    /// Mains transients: factor on the steady peak for reverse voltage and surge voltage.
    pub transient_factor: f64,
    /// Voltage below which a reservoir counts as discharged.
    pub discharge_voltage: Volts,
    /// Time the bleeder has for it.
    pub discharge_time: Seconds,
    /// Melting integral over inrush integral, at least.
    pub fuse_pulse_factor: f64,
    /// Taken off a rejection that the maker gives as typical, decibels.
    pub typical_rejection_allowance_db: f64,
    /// Loss of capacitance at end of life where the part states none.
    pub end_capacitance_loss: Ratio,
    /// Growth of ESR at end of life where the part states none.
    pub end_esr_factor: f64,
    /// Share of the most loaded of n parallel capacitors over the equal share.
    pub parallel_imbalance: f64,
    /// Lower end of the diode threshold over the catalog's greatest.
    pub diode_drop_low_factor: f64,
    /// Lower end of the ESR over the catalog's greatest.
    pub esr_low_factor: f64,
    /// Greatest touchable-surface temperature without a caution.
    pub touch_temperature: Celsius,
    /// Longest time a fault may last before its means of protection acts, where the part names none.
    pub fault_time: Seconds,
}

/// A derating policy; never mixed with another in one audit.
#[derive(Clone, Debug, PartialEq)]
pub struct Policy {
    /// File stem.
    pub id: String,
    /// Title.
    pub title: String,
    /// Organisation and edition.
    pub source: String,
    /// What the reader must know.
    pub note: String,
    /// Limits by rule code.
    pub limits: BTreeMap<String, Limit>,
    /// Other figures.
    pub parameters: Parameters,
    /// SHA-256 of the file.
    pub digest: String,
}

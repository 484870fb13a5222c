//! The unit of one input of a circuit, so that values of all inputs can be read and printed by one hand.
//!
//! Knows no input.

use crate::{
    document::Value,
    quantity::{Amps, Farads, Henries, Hertz, Ohms, Quantity, TextError, Volts, Watts},
};

/// What an input is measured in; values are in SI units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Ohms.
    Ohms,
    /// Farads.
    Farads,
    /// Henries.
    Henries,
    /// Hertz.
    Hertz,
}

/// Runs one generic function at the quantity of a measure.
macro_rules! at_quantity {
    ($measure:expr, $function:ident $arguments:tt) => {
        match $measure {
            Measure::Volts => $function::<Volts>$arguments,
            Measure::Amps => $function::<Amps>$arguments,
            Measure::Watts => $function::<Watts>$arguments,
            Measure::Ohms => $function::<Ohms>$arguments,
            Measure::Farads => $function::<Farads>$arguments,
            Measure::Henries => $function::<Henries>$arguments,
            Measure::Hertz => $function::<Hertz>$arguments,
        }
    };
}

impl Measure {
    /// Reads a value of a file.
    pub fn read(self, value: Value<'_>, (low, high): (f64, f64)) -> Option<f64> {
        at_quantity!(self, read_as(value, low, high))
    }

    /// Reads plain text.
    pub fn parse(self, text: &str) -> Result<f64, TextError> {
        at_quantity!(self, parse_as(text))
    }

    /// Prints with some significant digits.
    pub fn text(self, value: f64, digits: usize) -> String {
        at_quantity!(self, text_as(value, digits))
    }

    /// Prints all digits.
    pub fn exact(self, value: f64) -> String {
        at_quantity!(self, exact_as(value))
    }

    /// The unit as the end of a key says it: `v`, `ohm`.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Volts => "v",
            Self::Amps => "a",
            Self::Watts => "w",
            Self::Ohms => "ohm",
            Self::Farads => "f",
            Self::Henries => "h",
            Self::Hertz => "hz",
        }
    }
}

fn read_as<Q: Quantity>(value: Value<'_>, low: f64, high: f64) -> Option<f64> {
    value.quantity(Q::from_si(low)..=Q::from_si(high)).map(Q::si)
}

fn parse_as<Q: Quantity>(text: &str) -> Result<f64, TextError> {
    Q::from_text(text).map(Q::si)
}

fn text_as<Q: Quantity>(value: f64, digits: usize) -> String {
    Q::from_si(value).to_text(digits)
}

fn exact_as<Q: Quantity>(value: f64) -> String {
    Q::from_si(value).to_exact_text()
}

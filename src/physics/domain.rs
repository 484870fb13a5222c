//! A value outside the domain of a law, and what a thermal feedback came to.
//!
//! Knows no law and no limit of policy.

use crate::quantity::Celsius;

/// A law was asked beyond where it holds.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{what} is `{value}`, outside `{low}` to `{high}`")]
pub struct DomainError {
    /// Which input, with its unit.
    pub what: &'static str,
    /// Its value.
    pub value: f64,
    /// Least value for which the law holds.
    pub low: f64,
    /// Greatest value for which the law holds.
    pub high: f64,
}

impl DomainError {
    /// `value` where it lies in `low..=high` (so is not NaN), else the error.
    pub fn within(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, Self> {
        if value >= low && value <= high { Ok(value) } else { Err(Self { what, value, low, high }) }
    }
}

/// What a loss that grows with the temperature it causes comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Settling {
    /// It settles here.
    Settled(Celsius),
    /// Each kelvin of rise makes more than a kelvin of rise: it never settles.
    Runaway,
}

impl Settling {
    /// The settled temperature; `None` in a runaway.
    pub const fn temperature(self) -> Option<Celsius> {
        match self {
            Self::Settled(celsius) => Some(celsius),
            Self::Runaway => None,
        }
    }
}

//! How an analysis is read: page, plot, JSON, CSV. No arithmetic.
//!
//! Holds no figure of its own.

pub mod core;
pub mod csv;
pub mod figures;
pub mod json;
mod json_value;
pub mod page;
pub mod plot;
mod spread;
pub mod sweep;

use crate::{
    analysis::name::{FigureName, Unit as Measured},
    review::figure::{Figure, Unit},
};

/// Magnitude in the unit of a figure below which a value is what rounding leaves of nothing.
const NOTHING: f64 = 1e-12;

/// A value as every report prints figures.
fn figure(name: &FigureName, value: Option<f64>) -> Option<Figure> {
    let value = value.map(|value| if value.abs() < NOTHING { 0.0 } else { value })?;
    Figure::new(value, unit(name.unit()))
}

const fn unit(unit: Measured) -> Unit {
    match unit {
        Measured::Volts => Unit::Volts,
        Measured::Amps => Unit::Amps,
        Measured::Watts => Unit::Watts,
        Measured::VoltAmps => Unit::VoltAmps,
        Measured::Degrees => Unit::Degrees,
        Measured::AmpsSquaredSeconds => Unit::AmpsSquaredSeconds,
        Measured::Ratio => Unit::Ratio,
        Measured::Count => Unit::Count,
    }
}

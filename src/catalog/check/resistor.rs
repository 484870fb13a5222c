//! Rows of resistor series.

use super::row::Row;
use crate::{
    catalog::{Common, ResistorSeries},
    document::Value,
    quantity::{Celsius, Ohms, Ratio, Volts, Watts},
};

const RESISTANCE: std::ops::RangeInclusive<Ohms> = Ohms(1e-3)..=Ohms(1e9);
const TEMPERATURE: std::ops::RangeInclusive<Celsius> = Celsius(0.0)..=Celsius(400.0);
const PER_DECADE: [(&str, u32); 5] = [("6", 6), ("12", 12), ("24", 24), ("48", 48), ("96", 96)];

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<ResistorSeries> {
    let per_decade = row.required("per_decade", |v| v.word(&PER_DECADE));
    let from = row.required("from", |v| v.quantity(RESISTANCE));
    let to = row.required("to", |v| v.quantity(RESISTANCE));
    let tolerance = row.required("tolerance", |v| v.quantity(Ratio(1e-5)..=Ratio(0.2)));
    let coefficient = row.required("temperature_coefficient", |v| v.quantity(Ratio(0.0)..=Ratio(0.01)));
    let power = row.required("power", |v| v.quantity(Watts(0.01)..=Watts(1e3)));
    let full_to = row.required("full_to", |v| v.quantity(TEMPERATURE));
    let zero_at = row.required("zero_at", |v| v.quantity(TEMPERATURE));
    let voltage_max = row.required("voltage_max", |v| v.quantity(Volts(1.0)..=Volts(1e5)));
    let flameproof = row.optional("flameproof", Value::flag).unwrap_or(false);
    if let (Some(from), Some(to)) = (from, to)
        && from >= to
    {
        row.refuse("`from` is not below `to`", &format!("{} Ω", from.0), "`from` below `to`");
    }
    if let (Some(full), Some(zero)) = (full_to, zero_at)
        && full >= zero
    {
        row.refuse(
            "`zero_at` is not above `full_to`",
            &format!("{} °C", zero.0),
            "`zero_at` above `full_to`",
        );
    }
    Some(ResistorSeries {
        common: common?,
        per_decade: per_decade?,
        from: from?,
        to: to?,
        tolerance: tolerance?,
        temperature_coefficient: coefficient?,
        power: power?,
        full_to: full_to?,
        zero_at: zero_at?,
        voltage_max: voltage_max?,
        flameproof,
    })
}

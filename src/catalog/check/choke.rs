//! Rows of filter chokes.

use super::row::Row;
use crate::{
    catalog::{Choke, Common},
    quantity::{Amps, Celsius, Henries, Kelvins, Ohms, Ratio},
};

const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(500.0);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Choke> {
    let inductance = row.required("inductance", |v| v.quantity(Henries(1e-6)..=Henries(1e3)));
    let tolerance = row.required("tolerance", |v| v.quantity(Ratio(0.0)..=Ratio(0.9)));
    let swing = row.required("swing", |v| v.number(1.0..=20.0));
    let current = row.required("current", |v| v.quantity(CURRENT));
    let current_peak = row.required("current_peak", |v| v.quantity(CURRENT));
    let resistance = row.required("resistance", |v| v.quantity(Ohms(1e-4)..=Ohms(1e5)));
    let rise = row.required("rise", |v| v.quantity(Kelvins(1.0)..=Kelvins(200.0)));
    let winding_max = row.required("winding_max", |v| v.quantity(Celsius(40.0)..=Celsius(250.0)));
    if let (Some(current), Some(peak)) = (current, current_peak)
        && peak < current
    {
        let found = format!("{} A", peak.0);
        row.refuse("`current_peak` is below `current`", &found, "a peak of at least the direct current");
    }
    Some(Choke {
        common: common?,
        inductance: inductance?,
        tolerance: tolerance?,
        swing: Ratio(swing?),
        current: current?,
        current_peak: current_peak?,
        resistance: resistance?,
        rise: rise?,
        winding_max: winding_max?,
    })
}

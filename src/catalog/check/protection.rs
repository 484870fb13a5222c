//! Rows of fuses, thermal cut-outs and inrush limiters.

use super::row::Row;
use crate::{
    catalog::{Common, CutOut, Fuse, InrushLimiter, family::protection::FuseSystem},
    document::Value,
    quantity::{Amps, AmpsSquaredSeconds, Celsius, Farads, Joules, Kelvins, Ohms, Ratio, Seconds, Volts},
};

const SYSTEMS: [(&str, FuseSystem); 3] = [
    ("IEC 60127-2 sheet 3", FuseSystem::Iec60127Sheet3),
    ("IEC 60127-2 sheet 5", FuseSystem::Iec60127Sheet5),
    ("UL 248-14", FuseSystem::Ul248),
];
const MAINS: std::ops::RangeInclusive<Volts> = Volts(5.0)..=Volts(1000.0);
const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(200.0);
const RESISTANCE: std::ops::RangeInclusive<Ohms> = Ohms(1e-4)..=Ohms(1e3);
const RATIO: std::ops::RangeInclusive<Ratio> = Ratio(0.0)..=Ratio(0.9);

pub(super) fn fuse(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Fuse> {
    let system = row.required("system", |v| v.word(&SYSTEMS));
    let rated = row.required("rated", |v| v.quantity(CURRENT));
    let voltage = row.required("voltage", |v| v.quantity(MAINS));
    let breaking = row.required("breaking", |v| v.quantity(Amps(1.0)..=Amps(1e6)));
    let melting =
        row.required("melting_i2t", |v| v.quantity(AmpsSquaredSeconds(1e-7)..=AmpsSquaredSeconds(1e7)));
    let cold_resistance = row.optional("cold_resistance", |v| v.quantity(RESISTANCE));
    let rerating = row.required("rerating_per_kelvin", |v| v.quantity(Ratio(0.0)..=Ratio(0.02)));
    Some(Fuse {
        common: common?,
        system: system?,
        rated: rated?,
        voltage: voltage?,
        breaking: breaking?,
        melting_i2t: melting?,
        cold_resistance,
        rerating_per_kelvin: rerating?,
    })
}

pub(super) fn cut_out(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<CutOut> {
    let opens_at = row.required("opens_at", |v| v.quantity(Celsius(40.0)..=Celsius(300.0)));
    let tolerance_k = row.required("tolerance", |v| v.quantity(Kelvins(0.5)..=Kelvins(30.0)));
    let current = row.required("current", |v| v.quantity(CURRENT));
    let voltage = row.required("voltage", |v| v.quantity(MAINS));
    let resets = row.required("resets", Value::flag);
    Some(CutOut {
        common: common?,
        opens_at: opens_at?,
        tolerance_k: tolerance_k?,
        current: current?,
        voltage: voltage?,
        resets: resets?,
    })
}

pub(super) fn limiter(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<InrushLimiter> {
    let cold = row.required("cold", |v| v.quantity(RESISTANCE));
    let tolerance = row.required("tolerance", |v| v.quantity(RATIO));
    let hot = row.required("hot", |v| v.quantity(RESISTANCE));
    let current_max = row.required("current_max", |v| v.quantity(CURRENT));
    let capacitance_max = row.optional("capacitance_max", |v| v.quantity(Farads(1e-7)..=Farads(1.0)));
    let energy_voltage = row.optional("energy_voltage", |v| v.quantity(MAINS));
    let energy_max = row.optional("energy_max", |v| v.quantity(Joules(0.1)..=Joules(1e4)));
    let recovery = row.optional("recovery", |v| v.quantity(Seconds(1.0)..=Seconds(3600.0)));
    if let (Some(cold), Some(hot)) = (cold, hot)
        && hot >= cold
    {
        row.refuse("`hot` is not below `cold`", &format!("{} Ω", hot.0), "`hot` below `cold`");
    }
    if capacitance_max.is_some() && !row.states("energy_voltage") {
        row.missing("energy_voltage");
    }
    Some(InrushLimiter {
        common: common?,
        cold: cold?,
        tolerance: tolerance?,
        hot: hot?,
        current_max: current_max?,
        capacitance_max,
        energy_voltage,
        energy_max,
        recovery,
    })
}

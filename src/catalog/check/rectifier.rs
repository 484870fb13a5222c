//! Rows of rectifier diodes and bridges.

use super::row::Row;
use crate::{
    catalog::{
        BridgePart, Common, DiodePart,
        family::rectifier::{CurrentCurve, Element, ForwardPoint, Reference, ThermalPath},
    },
    document::Value,
    quantity::{Amps, AmpsSquaredSeconds, Celsius, KelvinsPerWatt, Seconds, Volts},
};

const REFERENCES: [(&str, Reference); 3] =
    [("ambient", Reference::Ambient), ("lead", Reference::Lead), ("case", Reference::Case)];
const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(1e5);
const REVERSE: std::ops::RangeInclusive<Volts> = Volts(5.0)..=Volts(1e4);
const JUNCTION: std::ops::RangeInclusive<Celsius> = Celsius(-55.0)..=Celsius(250.0);
const THERMAL: std::ops::RangeInclusive<KelvinsPerWatt> = KelvinsPerWatt(1e-3)..=KelvinsPerWatt(2e3);
/// Forward points above this temperature count as hot.
const HOT: Celsius = Celsius(60.0);

pub(super) fn diode(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<DiodePart> {
    let element = element(row);
    let average = row.required("average", curve);
    let thermal = thermal(row);
    Some(DiodePart { common: common?, element: element?, average: average?, thermal: thermal? })
}

pub(super) fn bridge(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<BridgePart> {
    let element = element(row);
    let output = row.required("output", curve);
    let capacitive_factor = row.optional("capacitive_factor", |v| v.number(0.1..=1.0));
    let thermal = thermal(row);
    let isolation = row.optional("isolation", |v| v.quantity(Volts(100.0)..=Volts(20e3)));
    Some(BridgePart {
        common: common?,
        element: element?,
        output: output?,
        capacitive_factor,
        thermal: thermal?,
        isolation,
    })
}

fn element(row: &mut Row<'_, '_>) -> Option<Element> {
    let reverse_repetitive = row.required("reverse_repetitive", |v| v.quantity(REVERSE));
    let reverse_surge = row.optional("reverse_surge", |v| v.quantity(REVERSE));
    let rms_max = row.optional("rms_max", |v| v.quantity(CURRENT));
    let peak_repetitive = row.optional("peak_repetitive", |v| v.quantity(CURRENT));
    let surge = row.required("surge", |v| v.quantity(CURRENT));
    let surge_pulse = row.required("surge_pulse", |v| v.quantity(Seconds(1e-3)..=Seconds(20e-3)));
    let surge_start = row.required("surge_start", |v| v.quantity(JUNCTION));
    let i2t = row.optional("i2t", |v| v.quantity(AmpsSquaredSeconds(1e-4)..=AmpsSquaredSeconds(1e6)));
    let forward = row.required("forward", forward);
    let leakage_hot = row.optional("leakage_hot", |v| v.quantity(Amps(1e-9)..=Amps(10.0)));
    let schottky = row.required("schottky", Value::flag);
    Some(Element {
        reverse_repetitive: reverse_repetitive?,
        reverse_surge,
        rms_max,
        peak_repetitive,
        surge: surge?,
        surge_pulse: surge_pulse?,
        surge_start: surge_start?,
        i2t,
        forward: forward?,
        leakage_hot,
        schottky: schottky?,
    })
}

fn forward(value: Value<'_>) -> Option<Vec<ForwardPoint>> {
    let points = value.list_of_some(|item| {
        let mut map = item.fields()?;
        let current = map.required("current", |v| v.quantity(CURRENT));
        let voltage = map.required("voltage", |v| v.quantity(Volts(0.05)..=Volts(10.0)));
        let junction = map.required("junction", |v| v.quantity(JUNCTION));
        map.finish();
        Some(ForwardPoint { current: current?, voltage: voltage?, junction: junction? })
    })?;
    let cold = points.iter().filter(|point| point.junction <= HOT).count();
    let hot = points.len() - cold;
    if cold < 2 || hot < 2 {
        value.refuse(
            format!("{} has too few points", value.name()),
            "two points or more at 25 °C and two or more at a high junction temperature",
            None,
        );
        return None;
    }
    Some(points)
}

fn curve(value: Value<'_>) -> Option<CurrentCurve> {
    let mut map = value.fields()?;
    let rated = map.required("rated", |v| v.quantity(CURRENT));
    let full_to = map.required("full_to", |v| v.quantity(JUNCTION));
    let zero_at = map.required("zero_at", |v| v.quantity(JUNCTION));
    let reference = map.required("reference", |v| v.word(&REFERENCES));
    if let (Some(full), Some(zero)) = (full_to, zero_at)
        && full >= zero
    {
        map.map().refuse("`zero_at` is not above `full_to`", "`zero_at` above `full_to`", None);
    }
    map.finish();
    Some(CurrentCurve { rated: rated?, full_to: full_to?, zero_at: zero_at?, reference: reference? })
}

fn thermal(row: &mut Row<'_, '_>) -> Option<ThermalPath> {
    let junction_air = row.optional("junction_air", |v| v.quantity(THERMAL));
    let junction_case = row.optional("junction_case", |v| v.quantity(THERMAL));
    let junction_max = row.required("junction_max", |v| v.quantity(JUNCTION));
    if !row.states("junction_air") && !row.states("junction_case") {
        row.refuse(
            "no thermal resistance",
            "neither `junction_air` nor `junction_case`",
            "at least one of `junction_air`, `junction_case`",
        );
    }
    Some(ThermalPath { junction_air, junction_case, junction_max: junction_max? })
}

//! Rows of linear regulators.

use super::row::Row;
use crate::{
    catalog::{
        Common, Regulator,
        family::regulator::{CapacitorWindow, DropOutPoint, Foldback, Rejection, Setting, Tab},
    },
    document::Value,
    quantity::{Amps, Celsius, Decibels, Farads, Hertz, KelvinsPerWatt, Ohms, Ratio, Volts},
};

const TABS: [(&str, Tab); 4] =
    [("ground", Tab::Ground), ("input", Tab::Input), ("output", Tab::Output), ("insulated", Tab::Insulated)];
const VOLTAGE: std::ops::RangeInclusive<Volts> = Volts(0.2)..=Volts(1000.0);
const DROP: std::ops::RangeInclusive<Volts> = Volts(0.001)..=Volts(20.0);
const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(100.0);
const SMALL_CURRENT: std::ops::RangeInclusive<Amps> = Amps(0.0)..=Amps(2.0);
const JUNCTION: std::ops::RangeInclusive<Celsius> = Celsius(-55.0)..=Celsius(250.0);
const THERMAL: std::ops::RangeInclusive<KelvinsPerWatt> = KelvinsPerWatt(0.01)..=KelvinsPerWatt(1e3);
const CAPACITANCE: std::ops::RangeInclusive<Farads> = Farads(1e-10)..=Farads(0.1);
const ESR: std::ops::RangeInclusive<Ohms> = Ohms(0.0)..=Ohms(100.0);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Regulator> {
    let positive = row.required("polarity", |v| v.word(&[("positive", true), ("negative", false)]));
    let setting = setting(row);
    let accuracy = row.required("accuracy", |v| v.quantity(Ratio(1e-4)..=Ratio(0.2)));
    let input_max = row.optional("input_max", |v| v.quantity(VOLTAGE));
    let differential_max = row.optional("differential_max", |v| v.quantity(VOLTAGE));
    let output_current = row.required("output_current", |v| v.quantity(CURRENT));
    let limit = row.required("limit", limit);
    let foldback = row.optional("foldback", foldback);
    let drop_out = row.required("drop_out", drop_out);
    let drop_out_sag = row.required("drop_out_sag", |v| v.quantity(Ratio(1e-5)..=Ratio(0.1)));
    let ground_current_typ = row.required("ground_current_typ", |v| v.quantity(SMALL_CURRENT));
    let ground_current_max = row.required("ground_current_max", |v| v.quantity(SMALL_CURRENT));
    let minimum_load_typ = row.optional("minimum_load_typ", |v| v.quantity(SMALL_CURRENT));
    let minimum_load_max = row.optional("minimum_load_max", |v| v.quantity(SMALL_CURRENT));
    let rejection = row.optional("rejection", rejection);
    let line = row.required("line_regulation_per_volt", |v| v.quantity(Ratio(0.0)..=Ratio(0.05)));
    let load_regulation = row.required("load_regulation", |v| v.quantity(Ratio(0.0)..=Ratio(0.1)));
    let input_capacitor = row.optional("input_capacitor", window);
    let output_capacitor = row.optional("output_capacitor", window);
    let junction_max = row.required("junction_max", |v| v.quantity(JUNCTION));
    let thermal_shutdown = row.required("thermal_shutdown", Value::flag);
    let junction_case = row.required("junction_case", |v| v.quantity(THERMAL));
    let junction_air = row.optional("junction_air", |v| v.quantity(THERMAL));
    let tab = row.required("tab", |v| v.word(&TABS));
    let wants_reverse_diode = row.required("wants_reverse_diode", Value::flag);
    if let (Some(typical), Some(greatest)) = (ground_current_typ, ground_current_max)
        && typical > greatest
    {
        row.refuse(
            "`ground_current_typ` is above `ground_current_max`",
            &format!("{} A", typical.0),
            "a typical value of at most the greatest",
        );
    }
    let [limit_min, limit_typ, limit_max] = limit?;
    Some(Regulator {
        common: common?,
        positive: positive?,
        setting: setting?,
        accuracy: accuracy?,
        input_max,
        differential_max,
        output_current: output_current?,
        limit_min,
        limit_typ,
        limit_max,
        foldback: foldback.unwrap_or_default(),
        drop_out: drop_out?,
        drop_out_sag: drop_out_sag?,
        ground_current_typ: ground_current_typ?,
        ground_current_max: ground_current_max?,
        minimum_load_typ,
        minimum_load_max,
        rejection,
        line_regulation_per_volt: line?,
        load_regulation: load_regulation?,
        input_capacitor,
        output_capacitor,
        junction_max: junction_max?,
        thermal_shutdown: thermal_shutdown?,
        junction_case: junction_case?,
        junction_air,
        tab: tab?,
        wants_reverse_diode: wants_reverse_diode?,
    })
}

/// Either `output` of a fixed part or `adjustable`.
fn setting(row: &mut Row<'_, '_>) -> Option<Setting> {
    let (fixed, adjustable) = (row.states("output"), row.states("adjustable"));
    let output = row.optional("output", |v| v.quantity(VOLTAGE));
    let setting = row.optional("adjustable", adjustment);
    match (fixed, adjustable) {
        (true, false) => output.map(|output| Setting::Fixed { output }),
        (false, true) => setting,
        (both, _) => {
            let found = if both { "both" } else { "neither" };
            row.refuse("the output is not set in one way", found, "one of `output`, `adjustable`");
            None
        }
    }
}

fn adjustment(value: Value<'_>) -> Option<Setting> {
    let mut map = value.fields()?;
    let reference = map.required("reference", |v| v.quantity(VOLTAGE));
    let output_min = map.required("output_min", |v| v.quantity(VOLTAGE));
    let output_max = map.required("output_max", |v| v.quantity(VOLTAGE));
    let adjust_current = map.required("adjust_current", |v| v.quantity(SMALL_CURRENT));
    if let (Some(reference), Some(least), Some(greatest)) = (reference, output_min, output_max)
        && !(reference <= least && least < greatest)
    {
        map.map().refuse(
            "the output range is out of order",
            "`reference` <= `output_min` < `output_max`",
            None,
        );
    }
    map.finish();
    Some(Setting::Adjustable {
        reference: reference?,
        output_min: output_min?,
        output_max: output_max?,
        adjust_current: adjust_current?,
    })
}

/// Least, typical and greatest current limit.
fn limit(value: Value<'_>) -> Option<[Amps; 3]> {
    let found = value.list(|v| v.quantity(CURRENT))?;
    if let [least, typical, greatest] = found.as_slice()
        && least <= typical
        && typical <= greatest
    {
        return Some([*least, *typical, *greatest]);
    }
    value.refuse("`limit` is out of order", "least, typical and greatest current limit, rising", None);
    None
}

fn foldback(value: Value<'_>) -> Option<Vec<Foldback>> {
    let points = value.list_of_some(|item| {
        let mut map = item.fields()?;
        let differential = map.required("differential", |v| v.quantity(VOLTAGE));
        let limit = map.required("limit", |v| v.quantity(Amps(0.0)..=Amps(100.0)));
        map.finish();
        Some(Foldback { differential: differential?, limit: limit? })
    })?;
    let falls = points.windows(2).all(|pair| match pair {
        [low, high] => low.differential < high.differential && low.limit >= high.limit,
        _ => true,
    });
    if !falls {
        value.refuse("`foldback` does not fold back", "differential rising, limit falling or equal", None);
        return None;
    }
    Some(points)
}

/// Sorted by junction temperature, then by current; voltage rises with current at each temperature.
fn drop_out(value: Value<'_>) -> Option<Vec<DropOutPoint>> {
    let mut points = value.list_of_some(|item| {
        let mut map = item.fields()?;
        let current = map.required("current", |v| v.quantity(CURRENT));
        let junction = map.required("junction", |v| v.quantity(JUNCTION));
        let voltage = map.required("voltage", |v| v.quantity(DROP));
        map.finish();
        Some(DropOutPoint { current: current?, junction: junction?, voltage: voltage? })
    })?;
    points.sort_by(|a, b| a.junction.0.total_cmp(&b.junction.0).then(a.current.0.total_cmp(&b.current.0)));
    let rises = points.windows(2).all(|pair| match pair {
        [low, high] if low.junction == high.junction => {
            low.current < high.current && low.voltage <= high.voltage
        }
        _ => true,
    });
    if !rises {
        value.refuse(
            "`drop_out` does not rise with current",
            "at each junction temperature a rising curve",
            None,
        );
        return None;
    }
    Some(points)
}

fn rejection(value: Value<'_>) -> Option<Rejection> {
    let mut map = value.fields()?;
    let decibels = map.required("decibels", |v| v.quantity(Decibels(0.0)..=Decibels(140.0)));
    let guaranteed = map.required("guaranteed", Value::flag);
    let frequency = map.required("frequency", |v| v.quantity(Hertz(100.0)..=Hertz(120.0)));
    let current = map.required("current", |v| v.quantity(CURRENT));
    let headroom = map.required("headroom", |v| v.quantity(Volts(0.1)..=Volts(100.0)));
    let adjust_capacitor = map.optional("adjust_capacitor", |v| v.quantity(CAPACITANCE));
    map.finish();
    Some(Rejection {
        decibels: decibels?.0,
        guaranteed: guaranteed?,
        frequency: frequency?,
        current: current?,
        headroom: headroom?,
        adjust_capacitor,
    })
}

fn window(value: Value<'_>) -> Option<CapacitorWindow> {
    let mut map = value.fields()?;
    let min = map.required("min", |v| v.quantity(CAPACITANCE));
    let max = map.optional("max", |v| v.quantity(CAPACITANCE));
    let esr_min = map.optional("esr_min", |v| v.quantity(ESR));
    let esr_max = map.optional("esr_max", |v| v.quantity(ESR));
    let empty = matches!((min, max), (Some(low), Some(high)) if low > high)
        || matches!((esr_min, esr_max), (Some(low), Some(high)) if low > high);
    if empty {
        map.map().refuse("no capacitor fits this window", "the least value of at most the greatest", None);
    }
    map.finish();
    Some(CapacitorWindow { min: min?, max, esr_min, esr_max })
}

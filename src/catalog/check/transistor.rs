//! Rows of pass transistors.

use super::row::Row;
use crate::{
    catalog::{Common, Transistor},
    document::Value,
    quantity::{Amps, Celsius, KelvinsPerWatt, Ratio, Volts},
};

const VOLTAGE: std::ops::RangeInclusive<Volts> = Volts(1.0)..=Volts(2000.0);
const CURRENT: std::ops::RangeInclusive<Amps> = Amps(1e-3)..=Amps(500.0);
const BASE_EMITTER: std::ops::RangeInclusive<Volts> = Volts(0.2)..=Volts(4.0);
const TEMPERATURE: std::ops::RangeInclusive<Celsius> = Celsius(-55.0)..=Celsius(250.0);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Transistor> {
    let pnp = row.required("polarity", |v| v.word(&[("pnp", true), ("npn", false)]));
    let collector_emitter_max = row.required("collector_emitter_max", |v| v.quantity(VOLTAGE));
    let collector_current = row.required("collector_current", |v| v.quantity(CURRENT));
    let base_current = row.required("base_current", |v| v.quantity(CURRENT));
    let gain_min = row.required("gain_min", |v| v.number(1.0..=1e5));
    let gain_current = row.required("gain_current", |v| v.quantity(CURRENT));
    let base_emitter_min = row.required("base_emitter_min", |v| v.quantity(BASE_EMITTER));
    let base_emitter_max = row.required("base_emitter_max", |v| v.quantity(BASE_EMITTER));
    let base_emitter_spread = row.required("base_emitter_spread", |v| v.quantity(Volts(0.001)..=Volts(1.0)));
    let operating_area = row.required("operating_area", area);
    let area_case = row.required("area_case", |v| v.quantity(TEMPERATURE));
    let junction_max = row.required("junction_max", |v| v.quantity(TEMPERATURE));
    let junction_case =
        row.required("junction_case", |v| v.quantity(KelvinsPerWatt(0.01)..=KelvinsPerWatt(100.0)));
    if let (Some(least), Some(greatest)) = (base_emitter_min, base_emitter_max)
        && least >= greatest
    {
        let found = format!("{} V", least.0);
        row.refuse(
            "`base_emitter_min` is not below `base_emitter_max`",
            &found,
            "the least below the greatest",
        );
    }
    if let (Some(case), Some(junction)) = (area_case, junction_max)
        && case.0 + 1.0 > junction.0
    {
        let found = format!("{} °C", case.0);
        row.refuse("`area_case` is not below `junction_max`", &found, "a case cooler than the junction");
    }
    Some(Transistor {
        common: common?,
        pnp: pnp?,
        collector_emitter_max: collector_emitter_max?,
        collector_current: collector_current?,
        base_current: base_current?,
        gain_min: Ratio(gain_min?),
        gain_current: gain_current?,
        base_emitter_min: base_emitter_min?,
        base_emitter_max: base_emitter_max?,
        base_emitter_spread: base_emitter_spread?,
        operating_area: operating_area?,
        area_case: area_case?,
        junction_max: junction_max?,
        junction_case: junction_case?,
    })
}

/// Two corners or more, voltage rising, current not.
fn area(value: Value<'_>) -> Option<Vec<(Volts, Amps)>> {
    let corners = value.list_of_some(|item| {
        let mut map = item.fields()?;
        let voltage = map.required("voltage", |v| v.quantity(VOLTAGE));
        let current = map.required("current", |v| v.quantity(CURRENT));
        map.finish();
        Some((voltage?, current?))
    })?;
    let falls = corners.windows(2).all(|pair| match pair {
        [low, high] => low.0 < high.0 && low.1 >= high.1,
        _ => true,
    });
    if corners.len() < 2 || !falls {
        value.refuse(
            "`operating_area` is no limit line",
            "two corners or more, voltage rising, current not",
            None,
        );
        return None;
    }
    Some(corners)
}

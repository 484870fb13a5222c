//! Rows of heat sinks and interface pads.

use std::collections::BTreeMap;

use super::row::Row;
use crate::{
    catalog::{Common, HeatSink, InterfacePad},
    document::Value,
    quantity::{Kelvins, KelvinsPerWatt, Volts, Watts},
};

const THERMAL: std::ops::RangeInclusive<KelvinsPerWatt> = KelvinsPerWatt(0.005)..=KelvinsPerWatt(500.0);

pub(super) fn sink(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<HeatSink> {
    let resistance = row.required("resistance", |v| v.quantity(THERMAL));
    let rise = row.required("rise", |v| v.quantity(Kelvins(5.0)..=Kelvins(150.0)));
    let exponent = row.required("exponent", |v| v.number(0.0..=0.5));
    let mounts = row.required("mounts", |v| v.list_of_some(Value::text));
    let power_max = row.optional("power_max", |v| v.quantity(Watts(0.1)..=Watts(1e4)));
    Some(HeatSink {
        common: common?,
        resistance: resistance?,
        rise: rise?,
        exponent: exponent?,
        mounts: mounts?,
        power_max,
    })
}

pub(super) fn pad(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<InterfacePad> {
    let resistance = row.required("resistance", by_package);
    let isolation = row.optional("isolation", |v| v.quantity(Volts(100.0)..=Volts(20e3)));
    let material = row.required("material", Value::text);
    Some(InterfacePad { common: common?, resistance: resistance?, isolation, material: material? })
}

fn by_package(value: Value<'_>) -> Option<BTreeMap<String, KelvinsPerWatt>> {
    let mut all = BTreeMap::new();
    for (package, value) in value.entries()? {
        if let (Some(package), Some(resistance)) = (package.text(), value.quantity(THERMAL)) {
            all.insert(package, resistance);
        }
    }
    if all.is_empty() {
        value.refuse(format!("{} is empty", value.name()), "at least one package", None);
        return None;
    }
    Some(all)
}

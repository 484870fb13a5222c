//! From records to lines: which pieces are needed, and which parts may serve.
//!
//! Parts are merged across designs; a resistor's part is its series and its value.

use std::collections::BTreeMap;

use crate::{
    catalog::{Catalog, Common, PartId},
    quantity::{Ohms, Quantity as _},
    record::Record,
};

use super::terms::{Barred, Freedom, Substitute};

/// A design to be built so many times.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// Its record.
    pub record: &'a Record,
    /// Supplies to build.
    pub quantity: u32,
}

/// What is ordered: a part number, and the value of a resistor.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// Part number; of a resistor, that of its series.
    pub part: PartId,
    /// Value, of a resistor.
    pub value: Option<String>,
}

/// Pieces of one position of one design.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Index of the design.
    pub design: usize,
    /// Rail.
    pub rail: String,
    /// Position.
    pub position: String,
    /// Part designed in.
    pub designed: Key,
    /// What may be bought for it; the part designed in comes first.
    pub allowed: Vec<Key>,
    /// Pieces for all supplies of the design.
    pub pieces: u64,
}

/// Digits of a resistor's value.
const VALUE_DIGITS: usize = 3;

/// Every line of every design, in their order.
pub fn lines(wanted: &[Wanted<'_>], freedom: Freedom<'_>) -> Vec<Line> {
    let mut lines = Vec::new();
    for (design, one) in wanted.iter().enumerate() {
        for rail in &one.record.rails {
            for part in &rail.parts {
                let value = part.value.as_deref().map(tidy);
                let key = |id: &str| Key { part: PartId(id.to_owned()), value: value.clone() };
                let holds = |rule: &&Substitute| {
                    rule.part == part.part
                        && rule.rail.as_ref().is_none_or(|name| *name == rail.rail)
                        && rule.position.as_ref().is_none_or(|position| *position == part.position)
                        && rule.supply.as_ref().is_none_or(|supply| *supply == one.record.supply)
                };
                let barred = |id: &String| {
                    let one = Barred {
                        design,
                        rail: rail.rail.clone(),
                        position: part.position.clone(),
                        part: id.clone(),
                    };
                    freedom.barred.binary_search(&one).is_ok()
                };
                let mut allowed = vec![key(&part.part)];
                for id in freedom.substitutes.iter().filter(holds).flat_map(|rule| &rule.allowed) {
                    if !allowed.iter().any(|known| known.part.0 == *id) && !barred(id) {
                        allowed.push(key(id));
                    }
                }
                lines.push(Line {
                    design,
                    rail: rail.rail.clone(),
                    position: part.position.clone(),
                    designed: key(&part.part),
                    allowed,
                    pieces: u64::from(part.count) * u64::from(one.quantity),
                });
            }
        }
    }
    lines
}

/// One spelling for a value.
fn tidy(text: &str) -> String {
    Ohms::from_text(text).map_or_else(|_| text.to_owned(), |value| value.to_text(VALUE_DIGITS))
}

/// Every part by number, with the name of its family.
pub fn shelf(catalog: &Catalog) -> BTreeMap<&PartId, (&'static str, &Common)> {
    let mut all = BTreeMap::new();
    macro_rules! put {
        ($($list:ident: $family:literal),* $(,)?) => {$(
            all.extend(catalog.$list.iter().map(|part| (&part.common.id, ($family, &part.common))));
        )*};
    }
    put!(
        transformers: "transformer", diodes: "diode", bridges: "bridge", electrolytics: "electrolytic",
        small_capacitors: "small-capacitor", regulators: "regulator", transistors: "transistor", chokes: "choke", sinks: "heat-sink", pads: "pad", fuses: "fuse",
        cut_outs: "cut-out", limiters: "inrush-limiter", resistors: "resistor-series",
    );
    all
}

/// Names of the families, as catalog files write them.
pub const FAMILIES: [&str; 14] = [
    "transformer",
    "diode",
    "bridge",
    "electrolytic",
    "small-capacitor",
    "regulator",
    "transistor",
    "choke",
    "heat-sink",
    "pad",
    "fuse",
    "cut-out",
    "inrush-limiter",
    "resistor-series",
];

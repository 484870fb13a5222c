//! Purchases of many designs, drawn from the demo catalog by a fixed seed: for tests and for the bench.

use std::collections::BTreeMap;

use railwright::{
    catalog::Catalog,
    purchase::{Wanted, Wishes, lines, terms},
    quantity::Currency,
    record::{Inputs, RECORD_VERSION, RailRecord, Record, RecordedPart},
};

/// Positions of a design, by family.
const POSITIONS: [&str; 25] = [
    "fuse",
    "transformer",
    "inrush-limiter",
    "cut-out",
    "bridge",
    "diode",
    "diode",
    "diode",
    "electrolytic",
    "electrolytic",
    "electrolytic",
    "regulator",
    "regulator",
    "heat-sink",
    "heat-sink",
    "pad",
    "pad",
    "small-capacitor",
    "small-capacitor",
    "small-capacitor",
    "small-capacitor",
    "resistor-series",
    "resistor-series",
    "resistor-series",
    "resistor-series",
];
/// Charges of the suppliers.
pub(crate) const TERMS: &str = "currency: EUR\nsuppliers: {Corvane: {order_charge: 9.50, minimum_order_value: 25}, Brackmill: {order_charge: 14}, Nordhal: {order_charge: 18, minimum_order_value: 100}, Ostvale: {order_charge: 35}}\n";

/// A plain generator: the same designs every time.
struct Draw(u64);

impl Draw {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % most.max(1)
    }
}

/// Parts that are sold, by family.
pub(crate) fn pools(catalog: &Catalog) -> BTreeMap<&'static str, Vec<String>> {
    let mut pools: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (id, (family, common)) in lines::shelf(catalog) {
        if !common.offers.is_empty() {
            pools.entry(family).or_default().push(id.0.clone());
        }
    }
    pools
}

/// So many designs of 25 positions.
pub(crate) fn designs(pools: &BTreeMap<&str, Vec<String>>, count: usize) -> Vec<Record> {
    let mut draw = Draw(1);
    let part = |at: usize, family: &str, draw: &mut Draw| {
        let pool = &pools[family];
        RecordedPart {
            position: format!("position-{at}"),
            designators: vec![format!("X{at}")],
            part: pool[draw.below((pool.len() / 4).max(8).min(pool.len()))].clone(),
            value: (family == "resistor-series")
                .then(|| ["1.00 kΩ", "3.30 kΩ", "10.0 kΩ"][draw.below(3)].to_owned()),
            maker: String::new(),
            count: 1 + u32::try_from(draw.below(4) / 3).expect("0 or 1"),
            row: String::new(),
        }
    };
    (0..count)
        .map(|design| Record {
            record: RECORD_VERSION,
            tool: String::new(),
            supply: format!("design {design}"),
            build_quantity: [5, 10, 20, 25, 40, 50, 75, 100, 120, 200][draw.below(10)],
            inputs: Inputs::default(),
            rails: vec![RailRecord {
                transformer_of: None,
                rail: "main".to_owned(),
                topology: String::new(),
                wiring: String::new(),
                primary: String::new(),
                parts: POSITIONS.iter().enumerate().map(|(at, family)| part(at, family, &mut draw)).collect(),
            }],
        })
        .collect()
}

/// The next parts of the family by number stand in for one: up to four.
pub(crate) fn substitutes(pools: &BTreeMap<&str, Vec<String>>) -> Vec<terms::Substitute> {
    let mut draw = Draw(2);
    let mut all = Vec::new();
    for pool in pools.iter().filter(|(family, _)| **family != "resistor-series").map(|(_, pool)| pool) {
        for (at, part) in pool.iter().enumerate() {
            let allowed: Vec<String> = pool.iter().skip(at + 1).take(draw.below(5)).cloned().collect();
            if !allowed.is_empty() {
                all.push(terms::Substitute {
                    supply: None,
                    rail: None,
                    position: None,
                    part: part.clone(),
                    allowed,
                });
            }
        }
    }
    all
}

/// Each design as often as it is built at a time.
pub(crate) fn wanted(records: &[Record]) -> Vec<Wanted<'_>> {
    records.iter().map(|record| Wanted { record, quantity: record.build_quantity }).collect()
}

/// In euros, without limits.
pub(crate) fn wishes() -> Wishes {
    Wishes {
        currency: Currency::new("EUR").expect("three letters"),
        deadline_days: None,
        budget: None,
        spares: BTreeMap::new(),
    }
}

//! How long does one purchase list for many designs take, and how near is its proven bound? The gap is printed once a size.

use std::{collections::BTreeMap, path::Path};

use divan::{Bencher, black_box};
use railwright::{
    catalog::{self, Catalog},
    document::Source,
    purchase::{self, Freedom, Wanted, Wishes, lines, terms},
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
const TERMS: &str = "currency: EUR\nsuppliers: {Corvane: {order_charge: 9.50, minimum_order_value: 25}, Brackmill: {order_charge: 14}, Nordhal: {order_charge: 18, minimum_order_value: 100}, Ostvale: {order_charge: 35}}\n";

fn main() {
    divan::main();
}

/// A plain generator: the same designs every time.
struct Draw(u64);

impl Draw {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % most.max(1)
    }
}

fn demo() -> Catalog {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the catalog")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    paths.sort();
    let files: Vec<_> = paths
        .iter()
        .filter_map(|path| Some(Source::new(path.to_string_lossy(), std::fs::read_to_string(path).ok()?)))
        .collect();
    catalog::read(&files).expect("sound")
}

fn pools(catalog: &Catalog) -> BTreeMap<&'static str, Vec<String>> {
    let mut pools: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (id, (family, common)) in lines::shelf(catalog) {
        if !common.offers.is_empty() {
            pools.entry(family).or_default().push(id.0.clone());
        }
    }
    pools
}

fn designs(pools: &BTreeMap<&str, Vec<String>>, count: usize) -> Vec<Record> {
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
fn substitutes(pools: &BTreeMap<&str, Vec<String>>) -> Vec<terms::Substitute> {
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

#[divan::bench(args = [3, 12, 40], sample_count = 1, sample_size = 1)]
fn one_list_for_designs_of_25_positions_with_substitutes_and_charges(bencher: Bencher<'_, '_>, count: usize) {
    let catalog = demo();
    let pools = pools(&catalog);
    let records = designs(&pools, count);
    let wanted: Vec<_> =
        records.iter().map(|record| Wanted { record, quantity: record.build_quantity }).collect();
    let wishes = Wishes {
        currency: Currency::new("EUR").expect("three letters"),
        deadline_days: None,
        budget: None,
        spares: BTreeMap::new(),
    };
    let supplier_terms = terms::terms(&Source::new("terms.yaml", TERMS)).expect("sound");
    let substitutes = substitutes(&pools);
    bencher.bench_local(|| {
        let freedom = Freedom { substitutes: &substitutes, barred: &[] };
        let order = purchase::order(black_box(&wanted), &catalog, &wishes, &supplier_terms, freedom)
            .expect("an answer");
        let (total, gap) = (order.total, order.gap_percent);
        // What the bench is for, beside the time.
        #[expect(clippy::print_stderr, reason = "the gap belongs to the time")]
        {
            eprintln!("{count} designs: {total}, gap {gap} %");
        }
    });
}

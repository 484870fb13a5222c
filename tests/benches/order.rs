//! How long does one purchase list for many designs take, and how near is its proven bound? The gap is printed once a size.

use std::path::Path;

use divan::{Bencher, black_box};
use railwright::{
    catalog::{self, Catalog},
    document::Source,
    purchase::{self, Freedom, terms},
};

#[path = "../support/orders.rs"]
mod orders;

/// Greatest gap that is good enough, in percent.
const GAP_PERCENT: f64 = 2.0;

fn main() {
    divan::main();
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

#[divan::bench(args = [3, 12, 40, 80], sample_count = 1, sample_size = 1)]
fn one_list_for_designs_of_25_positions_with_substitutes_and_charges(bencher: Bencher<'_, '_>, count: usize) {
    let catalog = demo();
    let pools = orders::pools(&catalog);
    let records = orders::designs(&pools, count);
    let wanted = orders::wanted(&records);
    let supplier_terms = terms::terms(&Source::new("terms.yaml", orders::TERMS)).expect("sound");
    let substitutes = orders::substitutes(&pools);
    bencher.bench_local(|| {
        let freedom = Freedom { substitutes: &substitutes, barred: &[] };
        let wishes = orders::wishes();
        let order = purchase::order(black_box(&wanted), &catalog, &wishes, &supplier_terms, freedom)
            .expect("an answer");
        let (total, gap) = (order.total, order.gap_percent);
        // What the bench is for, beside the time.
        #[expect(clippy::print_stderr, reason = "the gap belongs to the time")]
        {
            eprintln!("{count} designs: {total}, gap {gap} %");
        }
        assert!(gap.parse::<f64>().is_ok_and(|gap| gap <= GAP_PERCENT), "a gap of {gap} %");
    });
}

//! How long does it take to read the whole demo catalog into typed parts, and to judge it?

use std::path::Path;

use divan::{Bencher, black_box};
use railwright::{catalog, document::Source};

fn main() {
    divan::main();
}

fn demo_files() -> Vec<Source> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the catalog")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    paths.sort();
    paths
        .iter()
        .filter_map(|path| Some(Source::new(path.to_string_lossy(), std::fs::read_to_string(path).ok()?)))
        .collect()
}

#[divan::bench]
fn whole_demo_catalog_read_by_file_in_parallel(bencher: Bencher<'_, '_>) {
    let files = demo_files();
    bencher.bench(|| catalog::read(black_box(&files)).is_ok());
}

#[divan::bench]
fn whole_demo_catalog_read_on_one_thread(bencher: Bencher<'_, '_>) {
    let files = demo_files();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("one thread");
    bencher.bench(|| pool.install(|| catalog::read(black_box(&files)).is_ok()));
}

#[divan::bench]
fn whole_demo_catalog_judged(bencher: Bencher<'_, '_>) {
    let read = catalog::read(&demo_files()).expect("the demo catalog");
    bencher.bench(|| catalog::consistency(black_box(&read)).len());
}

//! How long does it take to read half a megabyte of catalog, and a number with its unit?

use std::path::Path;

use divan::{Bencher, black_box};
use railwright::document::{Source, Tree};
use railwright::quantity::{Farads, Ohms, Quantity};

fn main() {
    divan::main();
}

/// The demo catalog's files, repeated until they make up about 500 kB.
fn half_a_megabyte(ending: &str) -> Vec<Source> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the catalog")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    paths.sort();
    let texts: Vec<String> = paths.iter().filter_map(|path| std::fs::read_to_string(path).ok()).collect();
    let mut sources = Vec::new();
    let mut size = 0;
    for text in texts.iter().cycle() {
        if size >= 500_000 {
            break;
        }
        size += text.len();
        sources.push(Source::new("catalog.yaml", format!("{text}{ending}")));
    }
    sources
}

#[divan::bench]
fn tree_of_500_kb_plainly_written(bencher: Bencher<'_, '_>) {
    let sources = half_a_megabyte("");
    bencher.bench(|| {
        sources.iter().filter_map(|source| Tree::parse(black_box(source)).ok().map(|_| ())).count()
    });
}

#[divan::bench]
fn tree_of_500_kb_by_the_full_parser(bencher: Bencher<'_, '_>) {
    // A tab in a comment is enough to make the quick way give up.
    let sources = half_a_megabyte("# a\ttab\n");
    bencher.bench(|| {
        sources.iter().filter_map(|source| Tree::parse(black_box(source)).ok().map(|_| ())).count()
    });
}

/// From text to checked parts, as at the start of the program.
#[divan::bench]
fn the_demo_catalog_as_typed_parts(bencher: Bencher<'_, '_>) {
    let mut sources = half_a_megabyte("");
    let mut names = 0;
    // One pass over the folder only: a part that is listed twice is a fault.
    let first = sources.first().map(|source| source.text.clone());
    let again = sources.iter().skip(1).position(|source| Some(&source.text) == first.as_ref());
    sources.truncate(again.map_or(sources.len(), |at| at + 1));
    for source in &mut sources {
        names += 1;
        source.name = format!("catalog-{names}.yaml");
    }
    assert!(railwright::catalog::read(&sources).is_ok());
    bencher.bench(|| railwright::catalog::read(black_box(&sources)).is_ok());
}

#[divan::bench]
fn a_capacitance() -> Option<Farads> {
    Farads::from_text(black_box("2200 µF")).ok()
}

#[divan::bench]
fn a_letter_code() -> Option<Ohms> {
    Ohms::from_text(black_box("4k7")).ok()
}

//! The demo catalog: complete, consistent, quick to read; and catalogs with faults.

use railwright::{catalog::Catalog, document::Source};

/// The files of the demo catalog.
pub(crate) fn demo_files() -> Vec<Source> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            Source::from_bytes(name, std::fs::read(path).unwrap()).unwrap()
        })
        .collect()
}

/// The demo catalog.
pub(crate) fn demo() -> Catalog {
    railwright::catalog::read(&demo_files()).unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn the_demo_catalog_is_large_enough_to_choose_from() {
    let catalog = demo();
    let counts = [
        (catalog.transformers.len(), 150),
        (catalog.diodes.len() + catalog.bridges.len(), 70),
        (catalog.electrolytics.len(), 180),
        (catalog.regulators.len(), 40),
        (catalog.sinks.len(), 30),
        (catalog.pads.len(), 8),
        (catalog.fuses.len(), 30),
        (catalog.cut_outs.len(), 8),
        (catalog.limiters.len(), 10),
        (catalog.resistors.len(), 10),
        (catalog.small_capacitors.len(), 30),
        (catalog.commons().count(), 600),
    ];
    for (found, least) in counts {
        assert!(found >= least, "{found} is below {least} in {counts:?}");
    }
}

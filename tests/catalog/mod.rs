//! The demo catalog: complete, consistent, quick to read; and catalogs with faults.

mod content;
mod faults;
mod second_winding;
mod seeded;
mod sheets;

use railwright::{catalog::Catalog, document::Source};

/// The files of the demo catalog.
pub(crate) fn demo_files() -> Vec<Source> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path()).collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            Source::from_bytes(name, std::fs::read(path).expect("a file")).expect("UTF-8")
        })
        .collect()
}

/// The demo catalog, read once.
pub(crate) fn demo() -> Catalog {
    static DEMO: std::sync::LazyLock<Catalog> = std::sync::LazyLock::new(|| {
        railwright::catalog::read(&demo_files()).unwrap_or_else(|faults| panic!("{faults}"))
    });
    DEMO.clone()
}

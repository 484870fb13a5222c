//! The demo catalog, a shipped policy and a requirement, as the program reads them.

use std::path::{Path, PathBuf};

use railwright::catalog::{self, Catalog};
use railwright::document::Source;
use railwright::policy::{self, Policy};
use railwright::record::write::sha256;
use railwright::requirement::{self, Requirement};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs")
}

fn source(path: &Path) -> Source {
    let bytes = std::fs::read(path).expect("shipped file");
    Source::from_bytes(path.display().to_string(), bytes).expect("UTF-8")
}

/// The demo catalog with its digests.
pub(crate) fn demo() -> Catalog {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root().join("demo"))
        .expect("shipped folder")
        .map(|entry| entry.expect("entry").path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "yaml"))
        .collect();
    paths.sort();
    let sources: Vec<Source> = paths.iter().map(|path| source(path)).collect();
    let mut catalog = catalog::read(&sources).expect("the demo catalog is sound");
    catalog.digests = paths
        .iter()
        .zip(&sources)
        .map(|(path, source)| {
            let name = path.file_name().expect("file").to_string_lossy();
            (format!("demo/{name}"), sha256(source.text.as_bytes()))
        })
        .collect();
    catalog
}

/// A shipped policy.
pub(crate) fn policy(name: &str) -> Policy {
    let source = source(&root().join("policies").join(format!("{name}.yaml")));
    policy::read(&source, name, &sha256(source.text.as_bytes())).expect("shipped policies are sound")
}

/// A requirement from text.
pub(crate) fn asked(text: &str) -> Requirement {
    requirement::read(&Source::new("requirements.yaml", text)).expect("a sound requirement")
}

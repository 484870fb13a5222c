//! Disk: the only place that reads and writes files.

use std::{
    fs,
    io::{Read as _, Write as _},
    path::{Path, PathBuf},
};

use railwright::{
    catalog::{self, Catalog},
    document::{Faults, Source},
    policy::{self, Policy},
    record::write::sha256,
    requirement::Requirement,
};
use rayon::prelude::*;

/// A file that was read, with its digest.
#[derive(Clone, Debug)]
pub(crate) struct ReadFile {
    /// Text with its name.
    pub(crate) source: Source,
    /// SHA-256 of the bytes.
    pub(crate) digest: String,
}

/// Reads a file, or standard input for `-`.
pub(crate) fn read(path: &Path) -> Result<ReadFile, Faults> {
    let name = path.display().to_string();
    let bytes = if name == "-" {
        let mut bytes = Vec::new();
        std::io::stdin().read_to_end(&mut bytes).map(|_| bytes)
    } else {
        fs::read(path)
    }
    .map_err(|error| {
        Faults::of_file(name.as_str(), &format!("cannot be read: {error}"), "a readable file")
    })?;
    let digest = sha256(&bytes);
    Ok(ReadFile { source: Source::from_bytes(name, bytes)?, digest })
}

/// Reads the catalogs and the policy a requirement names, all faults of all files at once.
pub(crate) fn shelves(root: &Path, requirement: &Requirement) -> Result<(Catalog, Policy), Faults> {
    match (catalogs(root, requirement), policy(root, &requirement.policy)) {
        (Ok(catalog), Ok(policy)) => Ok((catalog, policy)),
        (Err(mut faults), Err(others)) => {
            faults.absorb(others);
            Err(faults)
        }
        (Err(faults), Ok(_)) | (Ok(_), Err(faults)) => Err(faults),
    }
}

/// Reads the catalogs a requirement names, all faults of all files at once.
pub(crate) fn catalogs(root: &Path, requirement: &Requirement) -> Result<Catalog, Faults> {
    let names: Vec<&str> = requirement.catalogs.iter().map(String::as_str).collect();
    catalogs_named(root, &names)
}

/// A name that a file or an argument gives to a catalog or a policy, and that becomes part of a path: it must not lead elsewhere.
fn plain<'n>(what: &str, name: &'n str) -> Result<&'n str, Faults> {
    let leads = name.contains(['/', '\\', ':']) || name.starts_with('.') || name.trim().is_empty();
    let allowed = "a plain name such as `demo` or `house`, without a path";
    if leads {
        Err(Faults::of_file(name, &format!("this is no name of a {what}"), allowed))
    } else {
        Ok(name)
    }
}

/// Reads catalogs by the names of their folders, all faults of all files at once.
pub(crate) fn catalogs_named(root: &Path, names: &[&str]) -> Result<Catalog, Faults> {
    let paths = names.iter().map(|name| catalog_files(&root.join(plain("catalog", name)?)));
    read_catalog(root, Faults::gather(paths)?)
}

/// Reads the catalog that one folder holds.
pub(crate) fn catalog_in(folder: &Path) -> Result<Catalog, Faults> {
    read_catalog(folder, vec![catalog_files(folder)?])
}

fn read_catalog(root: &Path, paths: Vec<Vec<PathBuf>>) -> Result<Catalog, Faults> {
    let paths: Vec<PathBuf> = paths.into_iter().flatten().collect();
    let files: Vec<Result<ReadFile, Faults>> = paths.par_iter().map(|path| read(path)).collect();
    let files = Faults::gather(files)?;
    let sources: Vec<Source> = files.iter().map(|file| file.source.clone()).collect();
    let mut read = catalog::read(&sources)?;
    read.digests = paths
        .iter()
        .zip(&files)
        .map(|(path, file)| {
            let name = path.strip_prefix(root).unwrap_or(path).to_string_lossy().replace('\\', "/");
            (name, file.digest.clone())
        })
        .collect();
    Ok(read)
}

/// The catalog files of a folder as text.
pub(crate) fn catalog_sources(folder: &Path) -> Result<Vec<Source>, Faults> {
    Faults::gather(catalog_files(folder)?.iter().map(|path| Ok(read(path)?.source)))
}

/// The YAML files of a catalog folder, sorted by name.
fn catalog_files(folder: &Path) -> Result<Vec<PathBuf>, Faults> {
    let fault =
        |message: &str| Faults::of_file(folder.display().to_string(), message, "a folder of YAML files");
    let entries = fs::read_dir(folder).map_err(|error| fault(&format!("cannot be read: {error}")))?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|ext| ext == "yaml"))
        .collect();
    files.sort();
    if files.is_empty() {
        return Err(fault("holds no catalog file"));
    }
    Ok(files)
}

/// Reads a policy by name.
pub(crate) fn policy(root: &Path, name: &str) -> Result<Policy, Faults> {
    let file = read(&root.join("policies").join(format!("{}.yaml", plain("policy", name)?)))?;
    policy::read(&file.source, name, &file.digest)
}

/// Writes a file whole or not at all; an existing link is followed, an existing file's mode is kept.
pub(crate) fn write(path: &Path, text: &str) -> anyhow::Result<()> {
    use anyhow::Context as _;
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let folder = target.parent().filter(|one| !one.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let shown = path.display();
    fs::create_dir_all(folder).with_context(|| format!("cannot make the folder for `{shown}`"))?;
    let mode = fs::metadata(&target).ok().map(|known| known.permissions());
    let mut temporary = tempfile::NamedTempFile::new_in(folder)
        .map_err(|error| anyhow::anyhow!("cannot write `{shown}`: {error}"))?;
    temporary
        .write_all(text.as_bytes())
        .map_err(|error| anyhow::anyhow!("cannot write `{shown}`: {error}"))?;
    let permissions = match mode {
        Some(known) => known,
        None => usual_mode(temporary.as_file())?,
    };
    fs::set_permissions(temporary.path(), permissions)
        .map_err(|error| anyhow::anyhow!("cannot set the mode of `{shown}`: {error}"))?;
    temporary.persist(&target).map_err(|error| anyhow::anyhow!("cannot write `{shown}`: {}", error.error))?;
    Ok(())
}

/// The mode a newly made file usually has: readable by all, writable by its owner.
#[cfg(unix)]
fn usual_mode(file: &fs::File) -> anyhow::Result<fs::Permissions> {
    use std::os::unix::fs::PermissionsExt as _;
    let mut permissions = file.metadata()?.permissions();
    permissions.set_mode(0o644);
    Ok(permissions)
}

/// The mode a newly made file has.
#[cfg(not(unix))]
fn usual_mode(file: &fs::File) -> anyhow::Result<fs::Permissions> {
    Ok(file.metadata()?.permissions())
}

//! `catalog`: checks a catalog, lists its parts, reads a sheet into one.

use std::path::{Path, PathBuf};

use anyhow::Context as _;
use clap::{Args, Subcommand};
use railwright::{
    catalog::{self, PartId, check::raw, filter, import},
    document::{Faults, suggestion},
    purchase::lines::{FAMILIES, shelf},
    report::{self, Page, shelf::Found},
};

use super::{args::Places, files, outcome::Outcome, output};

/// What is asked of a catalog.
#[derive(Debug, Subcommand)]
pub(crate) enum CatalogCommand {
    /// Check that the ratings of a catalog can be read and agree with one another
    Check(CheckOptions),
    /// List the parts of a family that fulfil conditions on their ratings
    List(ListOptions),
    /// Read a sheet from a spreadsheet as a catalog file; says every fault, writes only with `--write`
    Import(ImportOptions),
}

/// Options of `catalog check`.
#[derive(Args, Debug)]
pub(crate) struct CheckOptions {
    /// Folder with catalog files; the demo catalog if not given
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
}

/// Options of `catalog list`.
#[derive(Args, Debug)]
pub(crate) struct ListOptions {
    /// Family, as catalog files name it
    #[arg(long)]
    family: String,
    /// Conditions, joined by commas, such as `rated >= 35 V, capacitance >= 2200 uF`
    #[arg(long = "where", value_name = "CONDITIONS", default_value = "")]
    conditions: String,
    /// More ratings to show, by key, joined by commas
    #[arg(long, value_name = "KEYS", value_delimiter = ',')]
    show: Vec<String>,
    /// Folder with catalog files; the demo catalog if not given
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
}

/// Options of `catalog import`.
#[derive(Args, Debug)]
pub(crate) struct ImportOptions {
    /// Sheet, comma-separated values
    #[arg(value_name = "SHEET")]
    sheet: PathBuf,
    /// Which column holds which rating, YAML
    #[arg(long, value_name = "FILE")]
    mapping: PathBuf,
    /// Catalog file to write, if nothing is wrong; without it nothing is written
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Replace the catalog file, if there is one already
    #[arg(long, requires = "write")]
    replace: bool,
}

/// Runs `catalog`.
pub(crate) fn run(command: &CatalogCommand, places: &Places) -> anyhow::Result<Outcome> {
    let (page, outcome) = match command {
        CatalogCommand::Check(options) => check(options, places)?,
        CatalogCommand::List(options) => list(options, places)?,
        CatalogCommand::Import(options) => read_sheet(options)?,
    };
    output::answer(&report::terminal::render(&page, output::look(places.width)))?;
    Ok(outcome)
}

fn folder(stated: Option<&PathBuf>, places: &Places) -> PathBuf {
    stated.cloned().unwrap_or_else(|| places.catalogs.join("demo"))
}

fn outcome(good: bool) -> Outcome {
    if good { Outcome::Clean } else { Outcome::Negative }
}

fn check(options: &CheckOptions, places: &Places) -> anyhow::Result<(Page, Outcome)> {
    let folder = folder(options.folder.as_ref(), places);
    let catalog = files::catalog_in(&folder)?;
    let findings = catalog::consistency(&catalog);
    let name = folder.display().to_string();
    Ok((Page::of_findings(&name, catalog.commons().count(), &findings), outcome(findings.is_empty())))
}

fn list(options: &ListOptions, places: &Places) -> anyhow::Result<(Page, Outcome)> {
    if !FAMILIES.contains(&options.family.as_str()) {
        let near = suggestion(&options.family, FAMILIES);
        let hint = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
        anyhow::bail!("found family `{}`, allowed {}{hint}", options.family, FAMILIES.join(", "));
    }
    let conditions = filter::conditions(&options.conditions)?;
    let folder = folder(options.folder.as_ref(), places);
    let catalog = files::catalog_in(&folder)?;
    let sources = files::catalog_sources(&folder)?;
    let rows = Faults::gather(sources.iter().map(raw::rows))?;
    let rows: Vec<_> = rows.into_iter().flatten().filter(|row| row.family == options.family).collect();
    let mut found = filter::select(&rows, &conditions)?;
    found.sort_by(|a, b| a.id.cmp(&b.id));
    let parts = shelf(&catalog);
    let found: Vec<Found<'_>> = found
        .into_iter()
        .map(|row| (row, parts.get(&PartId(row.id.clone())).map(|(_, common)| *common)))
        .collect();
    let mut keys: Vec<&str> = Vec::new();
    for key in conditions.iter().map(|one| one.key.as_str()).chain(options.show.iter().map(|key| key.trim()))
    {
        if !keys.contains(&key) && !matches!(key, "id" | "maker" | "lifecycle") {
            keys.push(key);
        }
    }
    Ok((Page::of_parts(&options.family, &found, &keys), outcome(!found.is_empty())))
}

fn read_sheet(options: &ImportOptions) -> anyhow::Result<(Page, Outcome)> {
    let mapping = import::mapping(&files::read(&options.mapping)?.source)?;
    let sheet = files::read(&options.sheet)?.source;
    let name = Path::new(&sheet.name)
        .file_name()
        .map_or_else(|| sheet.name.clone(), |name| name.to_string_lossy().into_owned());
    let import = import::import(&mapping, &name, &sheet.text);
    let good = import.faults.is_empty();
    let mut written = None;
    if let Some(path) = options.write.as_ref().filter(|path| !options.replace && path.exists()) {
        anyhow::bail!("`{}` is there already: name another file, or add `--replace`", path.display());
    }
    if let (true, Some(path)) = (good, &options.write) {
        files::write(path, &import.yaml).context("nothing was written")?;
        written = Some(path.display().to_string());
    }
    Ok((Page::of_import(&sheet.name, &import, written.as_deref()), outcome(good)))
}

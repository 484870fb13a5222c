//! A record with all that it is reviewed against: requirements, catalog, waivers, the day.

use std::path::{Path, PathBuf};

use clap::Args;
use railwright::{
    catalog::{self, Catalog},
    document::Faults,
    policy::{Policy, Waiver, waiver},
    record::{self, Record},
    requirement::{self, Requirement},
    review::Inputs,
};

use super::{args::Places, day, files};

/// What a record is reviewed against, where it is not beside it.
#[derive(Args, Debug)]
pub(crate) struct Beside {
    /// Requirements file; `requirements.yaml` beside the record if not given
    #[arg(long, value_name = "FILE")]
    pub(crate) requirements: Option<PathBuf>,
    /// Waivers, YAML; `waivers.yaml` beside the record, if there is one, if not given
    #[arg(long, value_name = "FILE")]
    pub(crate) waivers: Option<PathBuf>,
    /// Day of the review; today if not given
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day::day)]
    pub(crate) on: Option<String>,
}

/// A record and what belongs to it.
#[derive(Debug)]
pub(crate) struct Case {
    /// Name of the record's file.
    pub(crate) name: String,
    /// Record.
    pub(crate) record: Record,
    /// Requirement.
    pub(crate) requirement: Requirement,
    /// SHA-256 of the requirements file.
    pub(crate) digest: String,
    /// Catalog that the requirement names.
    pub(crate) catalog: Catalog,
    /// Waivers.
    pub(crate) waivers: Vec<Waiver>,
    /// Day of the review.
    pub(crate) today: Option<String>,
}

impl Case {
    /// Reads a record and what belongs to it, all faults of record, requirements and waivers at once.
    pub(crate) fn open(path: &Path, beside: &Beside, places: &Places) -> anyhow::Result<Self> {
        let folder = path.parent().unwrap_or(Path::new(""));
        let asked = beside.requirements.clone().unwrap_or_else(|| folder.join("requirements.yaml"));
        let record = files::read(path).and_then(|file| record::read(&file.source));
        let requirement =
            files::read(&asked).and_then(|file| Ok((requirement::read(&file.source)?, file.digest)));
        let stated = folder.join("waivers.yaml");
        let waivers = match &beside.waivers {
            Some(path) => Some(path.clone()),
            None => stated.exists().then_some(stated),
        };
        let waivers = match waivers {
            Some(path) => files::read(&path).and_then(|file| waiver::read(&file.source)),
            None => Ok(Vec::new()),
        };
        let (record, (requirement, digest), waivers) = all(record, requirement, waivers)?;
        let catalog = files::catalogs(&places.catalogs, &requirement)?;
        let today = beside.on.clone().or_else(day::today);
        Ok(Self { name: path.display().to_string(), record, requirement, digest, catalog, waivers, today })
    }

    /// Adds the parts of a file to the catalog; the record's digests do not concern them.
    pub(crate) fn take_quoted(&mut self, path: &Path) -> anyhow::Result<()> {
        let more = catalog::read(&[files::read(path)?.source])?;
        if let Err(twice) = self.catalog.take(more) {
            anyhow::bail!("`{twice}` stands in the catalog already");
        }
        Ok(())
    }

    /// The policy that the requirement names.
    pub(crate) fn policy(&self, places: &Places) -> Result<Policy, Faults> {
        files::policy(&places.catalogs, &self.requirement.policy)
    }

    /// As the review takes it.
    pub(crate) fn inputs<'a>(&'a self, policy: &'a Policy) -> Inputs<'a> {
        Inputs {
            requirement: &self.requirement,
            requirement_digest: &self.digest,
            record: &self.record,
            catalog: &self.catalog,
            policy,
            today: self.today.as_deref(),
        }
    }
}

/// All three values, or all faults of all three.
fn all<A, B, C>(
    one: Result<A, Faults>,
    two: Result<B, Faults>,
    three: Result<C, Faults>,
) -> Result<(A, B, C), Faults> {
    let mut faults: Option<Faults> = None;
    let mut take = |more: Faults| match &mut faults {
        Some(all) => all.absorb(more),
        none => *none = Some(more),
    };
    let one = one.map_err(&mut take).ok();
    let two = two.map_err(&mut take).ok();
    let three = three.map_err(&mut take).ok();
    match (one, two, three, faults) {
        (Some(one), Some(two), Some(three), None) => Ok((one, two, three)),
        (_, _, _, Some(faults)) => Err(faults),
        (_, _, _, None) => Err(Faults::of_file("record", "cannot be read", "a record")),
    }
}

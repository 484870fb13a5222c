//! A record with all that it is reviewed against: requirements, catalog, waivers, the day.

use std::path::{Path, PathBuf};

use clap::Args;
use railwright::{
    catalog::{self, Catalog},
    document::{self, Faults},
    policy::{Policy, Waiver, waiver},
    record::{RECORD_VERSION, Record},
    requirement::{self, Requirement},
    review::Inputs,
};

use super::{args::Places, files};

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
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
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
        let record = files::read(path).and_then(|file| {
            let record: Record = document::from_yaml(&file.source)?;
            if record.record == RECORD_VERSION {
                return Ok(record);
            }
            let found = format!("the record is of layout {}", record.record);
            Err(Faults::of_file(file.source.name, &found, &format!("layout {RECORD_VERSION}")))
        });
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
        let today = beside.on.clone().or_else(today);
        Ok(Self { name: path.display().to_string(), record, requirement, digest, catalog, waivers, today })
    }

    /// Adds the parts of a file to the catalog; the record's digests do not concern them.
    pub(crate) fn take_quoted(&mut self, path: &Path) -> anyhow::Result<()> {
        let more = catalog::read(&[files::read(path)?.source])?;
        let own = &mut self.catalog;
        macro_rules! take {
            ($($list:ident),+) => {$(
                for part in more.$list {
                    if own.$list.iter().any(|known| known.common.id == part.common.id) {
                        anyhow::bail!("`{}` stands in the catalog already", part.common.id);
                    }
                    own.$list.push(part);
                }
                own.$list.sort_by(|a, b| a.common.id.cmp(&b.common.id));
            )+};
        }
        take!(
            transformers,
            diodes,
            bridges,
            electrolytics,
            small_capacitors,
            regulators,
            sinks,
            pads,
            fuses,
            cut_outs,
            limiters,
            resistors
        );
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

fn day(text: &str) -> Result<String, String> {
    if waiver::is_day(text) {
        Ok(text.to_owned())
    } else {
        Err(String::from("a day is written `2027-06-30`"))
    }
}

/// Today in universal time, `YYYY-MM-DD`; `None` where the clock stands before 1970.
fn today() -> Option<String> {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).ok()?;
    Some(civil(since.as_secs() / 86_400))
}

/// The day of the Gregorian calendar that many days after 1970-01-01.
fn civil(days: u64) -> String {
    let leap = |year: u64| year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let (mut year, mut left) = (1970, days);
    loop {
        let length = if leap(year) { 366 } else { 365 };
        if left < length {
            break;
        }
        left -= length;
        year += 1;
    }
    let february = if leap(year) { 29 } else { 28 };
    let mut month = 1;
    for length in [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] {
        if left < length {
            break;
        }
        left -= length;
        month += 1;
    }
    format!("{year:04}-{month:02}-{:02}", left + 1)
}

#[cfg(test)]
mod tests {
    use super::civil;

    /// Source: Unix time 951 782 400 is 2000-02-29, 4 102 444 800 is 2100-01-01 (common knowledge, no source).
    #[test]
    fn days_since_1970_become_days_of_the_calendar() {
        assert_eq!(civil(0), "1970-01-01");
        assert_eq!(civil(951_782_400 / 86_400), "2000-02-29");
        assert_eq!(civil(4_102_444_800 / 86_400), "2100-01-01");
        assert_eq!(civil(364), "1970-12-31");
    }
}

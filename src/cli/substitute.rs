//! `substitute`: is another part good enough in this circuit?

use std::path::{Path, PathBuf};

use clap::Args;
use railwright::{
    document,
    policy::Policy,
    purchase::terms,
    report::{self, Page},
    review::substitute::{Substitution, every, family, place, substitute},
};

use super::{
    args::{Format, Places},
    case::{Beside, Case},
    files,
    outcome::Outcome,
    show,
};

/// Options of `substitute`.
#[derive(Args, Debug)]
pub(crate) struct SubstituteOptions {
    /// Record, YAML
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    /// Position, by designator (`C1`) or by name (`reservoir`, `reservoir:main`)
    #[arg(long, value_name = "POSITION", required_unless_present = "allowed")]
    position: Option<String>,
    /// Part to try, may be given several times; every part of the family if not given
    #[arg(long, value_name = "PART")]
    part: Vec<String>,
    /// Catalog file with parts that the catalog does not hold, such as those of a quotation
    #[arg(long, value_name = "FILE")]
    quoted: Option<PathBuf>,
    /// Write what fits, piece for piece, as a file for `order --substitutes`; of every position if none is given
    #[arg(long, value_name = "FILE", conflicts_with = "part")]
    allowed: Option<PathBuf>,
    /// Parts to show of a whole family
    #[arg(long, value_name = "COUNT", default_value_t = 12)]
    most: usize,
    #[command(flatten)]
    beside: Beside,
    /// Format of the answer on standard output
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
    /// Folder for the answer, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    output: Option<PathBuf>,
}

/// Runs `substitute`; exits 1 where no part tried fits.
pub(crate) fn run(options: &SubstituteOptions, places: &Places) -> anyhow::Result<Outcome> {
    let mut case = Case::open(&options.record, &options.beside, places)?;
    if let Some(file) = &options.quoted {
        case.take_quoted(file)?;
    }
    let policy = case.policy(places)?;
    if let Some(file) = &options.allowed {
        return every_allowed(options, &case, &policy, file, places);
    }
    let Some(name) = &options.position else { anyhow::bail!("no position is given") };
    let place = place(&case.record, name)?;
    let parts = if options.part.is_empty() {
        family(&case.catalog, &case.record, &place)
    } else {
        options.part.clone()
    };
    let mut found = substitute(case.inputs(&policy), &case.waivers, &place, &parts);
    let detailed = if options.part.is_empty() { 0 } else { parts.len() };
    let fits = found.trials.iter().any(|trial| trial.fits);
    let whole = (options.format == Format::Json).then(|| report::json::render_data(&found)).transpose()?;
    let tried = found.trials.len();
    if options.part.is_empty() {
        found.trials.truncate(options.most.max(1));
    }
    let sheets = [Page::of_substitution(&found, tried, detailed).into()];
    let data = |_| Ok(whole.clone().unwrap_or_default());
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(if fits { Outcome::Clean } else { Outcome::Negative })
}

/// Tries every part of the family in every position, or in the one asked for, and writes what fits.
fn every_allowed(
    options: &SubstituteOptions,
    case: &Case,
    policy: &Policy,
    file: &Path,
    places: &Places,
) -> anyhow::Result<Outcome> {
    let tried = match &options.position {
        Some(name) => vec![place(&case.record, name)?],
        None => every(&case.record),
    };
    let found: Vec<Substitution> = tried
        .iter()
        .map(|place| {
            let parts = family(&case.catalog, &case.record, place);
            substitute(case.inputs(policy), &case.waivers, place, &parts)
        })
        .collect();
    let mut rules = Vec::new();
    for (place, one) in tried.iter().zip(&found) {
        let allowed = one.allowed();
        if let Some((rail, position)) = place.names(&case.record)
            && !allowed.is_empty()
        {
            rules.push(terms::Substitute {
                supply: Some(one.supply.clone()),
                rail: Some(rail.to_owned()),
                position: Some(position.to_owned()),
                part: one.recorded.clone(),
                allowed,
            });
        }
    }
    let fits = !rules.is_empty();
    files::write(file, &document::to_yaml(&terms::SubstituteFile { substitutes: rules })?)?;
    let data = |_| Ok(report::json::render_data(&found)?);
    let sheets = [Page::of_substitutions(&found).into()];
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(if fits { Outcome::Clean } else { Outcome::Negative })
}

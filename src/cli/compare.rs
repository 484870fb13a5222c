//! `compare`: two records, what differs and what of it matters.

use std::path::PathBuf;

use clap::Args;
use railwright::{
    report::{self, Page},
    review,
};

use super::{
    args::{Format, Places},
    case::{Beside, Case},
    outcome::Outcome,
    show,
};

/// Options of `compare`.
#[derive(Args, Debug)]
pub(crate) struct CompareOptions {
    /// The first record
    #[arg(value_name = "RECORD_A")]
    before: PathBuf,
    /// The second record
    #[arg(value_name = "RECORD_B")]
    after: PathBuf,
    #[command(flatten)]
    beside: Beside,
    /// Format of the comparison on standard output
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
    /// Folder for the comparison, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    output: Option<PathBuf>,
}

/// Runs `compare`; exits 1 where something is found of the second record that is not of the first.
pub(crate) fn run(options: &CompareOptions, places: &Places) -> anyhow::Result<Outcome> {
    let reviewed = |path| -> anyhow::Result<_> {
        let case = Case::open(path, &options.beside, places)?;
        let policy = case.policy(places)?;
        let mut dossier = review::audit(case.inputs(&policy), None);
        review::waive(&mut dossier, &case.waivers, case.today.as_deref());
        Ok((case, dossier))
    };
    let (first, before) = reviewed(&options.before)?;
    let (second, after) = reviewed(&options.after)?;
    let comparison = review::compare::compare(
        (&first.name, &first.record, &before),
        (&second.name, &second.record, &after),
    );
    let data = |_| Ok(report::json::render_data(&comparison)?);
    let sheets = [Page::of_comparison(&comparison).into()];
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    let worse = comparison.gained.iter().any(|one| one.weight == review::dossier::Weight::Finding);
    Ok(if worse { Outcome::Negative } else { Outcome::Clean })
}

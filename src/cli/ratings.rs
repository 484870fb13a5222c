//! `ratings`: what any part offered for a position must have.

use std::path::PathBuf;

use clap::Args;
use railwright::{
    report::{self, Page, csv},
    review,
};

use super::{
    args::{ListFormat, Places},
    case::{Beside, Case},
    outcome::Outcome,
    show,
};

/// Options of `ratings`.
#[derive(Args, Debug)]
pub(crate) struct RatingsOptions {
    /// Record, YAML
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    #[command(flatten)]
    beside: Beside,
    /// Format of the sheet on standard output
    #[arg(long, value_enum, default_value_t = ListFormat::Terminal)]
    format: ListFormat,
    /// Folder for the sheet, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    output: Option<PathBuf>,
}

/// Runs `ratings`; exits 1 where a rail cannot be solved, so that its sheet is not whole.
pub(crate) fn run(options: &RatingsOptions, places: &Places) -> anyhow::Result<Outcome> {
    let case = Case::open(&options.record, &options.beside, places)?;
    let policy = case.policy(places)?;
    let sheet = review::ratings::ratings(case.inputs(&policy));
    let data = |format| {
        Ok(match format {
            ListFormat::Csv => csv::named(&Page::of_whole_ratings(&sheet), "ratings"),
            _ => report::json::render_data(&sheet)?,
        })
    };
    let sheets = [Page::of_ratings(&sheet).into()];
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(if sheet.unsolved.is_empty() { Outcome::Clean } else { Outcome::Negative })
}

//! `ratings`: what any part offered for a position must have.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use railwright::{
    report::{self, Page, csv},
    review,
};

use super::{
    args::{Format, Places},
    case::{Beside, Case},
    outcome::Outcome,
    output, show,
};

/// How a sheet is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SheetFormat {
    /// For reading in a terminal
    Terminal,
    /// Markdown
    Markdown,
    /// The ratings as comma-separated values, for a spreadsheet
    Csv,
    /// JSON, versioned
    Json,
}

/// Options of `ratings`.
#[derive(Args, Debug)]
pub(crate) struct RatingsOptions {
    /// Record, YAML
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    #[command(flatten)]
    beside: Beside,
    /// Format of the sheet on standard output
    #[arg(long, value_enum, default_value_t = SheetFormat::Terminal)]
    format: SheetFormat,
}

/// Runs `ratings`; exits 1 where a rail cannot be solved, so that its sheet is not whole.
pub(crate) fn run(options: &RatingsOptions, places: &Places) -> anyhow::Result<Outcome> {
    let case = Case::open(&options.record, &options.beside, places)?;
    let policy = case.policy(places)?;
    let sheet = review::ratings::ratings(case.inputs(&policy));
    let page = || [Page::of_ratings(&sheet)];
    let text = match options.format {
        SheetFormat::Terminal => show::pages(&page(), Format::Terminal, places),
        SheetFormat::Markdown => show::pages(&page(), Format::Markdown, places),
        SheetFormat::Csv => csv::named(&Page::of_whole_ratings(&sheet), "ratings"),
        SheetFormat::Json => report::json::render_data(&sheet)?,
    };
    output::answer(&text)?;
    Ok(if sheet.unsolved.is_empty() { Outcome::Clean } else { Outcome::Negative })
}

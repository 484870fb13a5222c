//! What can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::{
    audit::AuditOptions, compare::CompareOptions, ratings::RatingsOptions, substitute::SubstituteOptions,
};

/// From a requirements file to a linear mains power supply that can be built, bought and reviewed.
#[derive(Debug, Parser)]
#[command(name = "railwright", version, max_term_width = 100)]
pub(crate) struct Arguments {
    /// Where catalogs and policies are.
    #[command(flatten)]
    pub(crate) places: Places,
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// Where data files are.
#[derive(Args, Debug)]
pub(crate) struct Places {
    /// Folder that holds the catalog folders and the folder `policies`
    #[arg(long, global = true, value_name = "DIR", default_value = "catalogs")]
    pub(crate) catalogs: PathBuf,
    /// Width of the terminal report in columns; the terminal's own width if not given
    #[arg(long, global = true, value_name = "COLUMNS")]
    pub(crate) width: Option<u16>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Analyse a circuit: exact figures, textbook column, waveforms, sweeps, tolerances
    Analyse(Box<super::analyse::AnalyseOptions>),
    /// Design a supply from a requirements file, and write its record where `--output` says
    Design(DesignOptions),
    /// Recompute and judge records, trusting no number in them; exit code 1 if anything is found
    Audit(AuditOptions),
    /// Compare two records: parts, wiring, cost, stresses that moved, findings gained and lost
    Compare(CompareOptions),
    /// Ratings that any part offered for a position must have, as a quotation sheet
    Ratings(RatingsOptions),
    /// Try other parts in a position: the circuit recomputed exactly, every stress old against new
    Substitute(SubstituteOptions),
    /// Make one purchase list for many designs, with a proven bound beside its total
    Order(super::order::OrderOptions),
    /// Check a catalog, list its parts, or read a sheet into one
    #[command(subcommand)]
    Catalog(super::catalog::CatalogCommand),
}

/// How an answer is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For reading in a terminal
    Terminal,
    /// Markdown; with a folder as `--output` its figures are files beside it
    Markdown,
    /// JSON, versioned
    Json,
    /// One self-contained page, with schematic and plots where there are any
    Html,
}

/// How an answer that holds a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListFormat {
    /// For reading in a terminal
    Terminal,
    /// Markdown; with a folder as `--output` its figures are files beside it
    Markdown,
    /// JSON, versioned
    Json,
    /// Comma-separated values, units and currencies named
    Csv,
    /// One self-contained page, with plots where there are any
    Html,
}

/// Options of `design`.
#[derive(Args, Debug)]
pub(crate) struct DesignOptions {
    /// Requirements file, YAML; `-` reads standard input
    #[arg(value_name = "REQUIREMENTS")]
    pub(crate) requirements: PathBuf,
    /// Format of the report on standard output
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    pub(crate) format: Format,
    /// Folder for record and report, or a file `NAME.html` for the page alone; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    pub(crate) output: Option<PathBuf>,
}

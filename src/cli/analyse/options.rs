//! Options of `analyse`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use railwright::flow::corner::Corner;

use crate::cli::args::ListFormat;

/// A corner of a recorded rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum CornerName {
    /// Everything nominal
    Nominal,
    /// Least reservoir voltage, cold or heated
    WorstHeadroom,
    /// Least reservoir voltage, cold
    HeadroomCold,
    /// Least reservoir voltage, heated
    HeadroomHot,
    /// Greatest reservoir voltage, cold
    MainsHighCold,
    /// Greatest reservoir voltage, heated
    MainsHighHot,
    /// Greatest ripple current of the reservoir
    RippleCurrent,
    /// Hottest winding
    WindingHot,
    /// Hottest rectifier junction
    JunctionHot,
    /// Greatest repetitive peak of a diode
    DiodePeak,
}

impl CornerName {
    pub(crate) const fn corner(self) -> Corner {
        match self {
            Self::Nominal => Corner::Nominal,
            Self::WorstHeadroom => Corner::WorstHeadroom,
            Self::HeadroomCold => Corner::HeadroomCold,
            Self::HeadroomHot => Corner::HeadroomHot,
            Self::MainsHighCold => Corner::MainsHighCold,
            Self::MainsHighHot => Corner::MainsHighHot,
            Self::RippleCurrent => Corner::RippleCurrent,
            Self::WindingHot => Corner::WindingHot,
            Self::JunctionHot => Corner::JunctionHot,
            Self::DiodePeak => Corner::DiodePeak,
        }
    }
}

/// Options of `analyse`.
#[derive(Args, Debug)]
pub(crate) struct AnalyseOptions {
    /// Circuit file, YAML or JSON; `-` reads standard input
    #[arg(value_name = "CIRCUIT", required_unless_present = "record", conflicts_with = "record")]
    pub(crate) circuit: Option<PathBuf>,
    /// Format of the answer on standard output
    #[arg(long, value_enum, default_value_t = ListFormat::Terminal)]
    pub(crate) format: ListFormat,
    /// Folder for the analysis, or a file `NAME.html` for the page; nothing is written without it
    #[arg(long, value_name = "DIR|FILE.html")]
    pub(crate) output: Option<PathBuf>,
    /// Switch-on from discharged, at its worst phase
    #[arg(long)]
    pub(crate) switch_on: bool,
    /// Plot one mains period in plain characters, on standard output
    #[arg(long, conflicts_with = "output")]
    pub(crate) plot: bool,
    /// Write one mains period as CSV, events included exactly
    #[arg(long, value_name = "FILE")]
    pub(crate) waveforms: Option<PathBuf>,
    /// Evenly spaced points of a waveform, beside the events
    #[arg(long, value_name = "N", default_value_t = 401, value_parser = clap::value_parser!(u32).range(2..=1_000_000))]
    pub(crate) points: u32,
    /// Step an input, such as `filter.c1=1000uF..4700uF/8`; twice for two inputs
    #[arg(long, value_name = "KEY=FROM..TO/POINTS")]
    pub(crate) sweep: Vec<String>,
    /// Figures of a sweep or of tolerances, by key, separated by commas
    #[arg(long, value_name = "KEYS", value_delimiter = ',')]
    pub(crate) figures: Vec<String>,
    /// Tolerances and limits in a file of their own, in place of those of the circuit file
    #[arg(long, value_name = "FILE")]
    pub(crate) tolerance: Option<PathBuf>,
    /// Circuits drawn from the tolerances
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=i64::from(railwright::analysis::monte_carlo::SAMPLES_MAX)))]
    pub(crate) samples: Option<u32>,
    /// Seed of the samples
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Design record whose rail is analysed in place of a circuit file
    #[arg(long, value_name = "RECORD", requires = "rail")]
    pub(crate) record: Option<PathBuf>,
    /// Requirements file of the record; `requirements.yaml` beside it if not given
    #[arg(long, value_name = "REQUIREMENTS", requires = "record")]
    pub(crate) requirements: Option<PathBuf>,
    /// Rail of the record
    #[arg(long, value_name = "NAME", requires = "record")]
    pub(crate) rail: Option<String>,
    /// Corner of the rail
    #[arg(long, value_enum, default_value_t = CornerName::Nominal, requires = "record")]
    pub(crate) corner: CornerName,
    /// Write the circuit that was analysed as a circuit file
    #[arg(long, value_name = "FILE")]
    pub(crate) write_circuit: Option<PathBuf>,
}

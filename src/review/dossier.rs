//! Everything that was found of one record, as plain data: what reports print and what the JSON report is.
//!
//! Holds numbers with units, no layout. The names of the fields are the names of the JSON keys; a change of a name or of a
//! meaning raises [`SCHEMA_VERSION`].

use serde::Serialize;

use super::{
    choice::Choice,
    figure::Figure,
    pictures::model::{RailPictures, SupplyHarmonics},
    sensitivity::Margin,
};
use crate::quantity::Money;

/// Version of the layout of the JSON report.
pub const SCHEMA_VERSION: u32 = 1;

/// Whether anything was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Conclusion {
    /// Every stress that was checked stays within its limit, and nothing else was found.
    NothingFound,
    /// At least one finding.
    Findings,
}

/// A warning that fits this design.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Stable name.
    pub id: String,
    /// A few words.
    pub title: String,
    /// The warning, its figures filled in.
    pub text: String,
    /// Standards that usually apply.
    pub standards: Vec<String>,
}

/// What was asked of one rail and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RailSummary {
    /// Name.
    pub rail: String,
    /// Output asked.
    pub voltage: Figure,
    /// Greatest continuous current asked.
    pub current_max: Figure,
    /// Least current asked.
    pub current_min: Figure,
    /// Ripple allowed, peak to peak.
    pub ripple_pp: Figure,
    /// `regulated` or `raw`.
    pub regulation: String,
    /// Topology.
    pub topology: String,
    /// Use of the secondaries.
    pub wiring: String,
    /// Stress nearest to or farthest beyond its limit.
    pub tightest: Option<Tightest>,
}

/// The stress nearest to its limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tightest {
    /// Position in words.
    pub position: String,
    /// Code of the rule.
    pub stress: String,
    /// Utilisation; absent where no ratio is left to state.
    pub utilisation: Option<Figure>,
}

/// The design in a few lines.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Mains, in words and figures.
    pub mains: String,
    /// Air, in words and figures.
    pub ambient: String,
    /// Policy: title and source.
    pub policy: String,
    /// What the reader must know of the policy.
    pub policy_note: String,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// Rails.
    pub rails: Vec<RailSummary>,
    /// Checks made: stresses, and rules that judge without numbers.
    pub checks: u32,
    /// Vertices of the tolerance boxes at which the rails were solved.
    pub vertices: u32,
}

/// One part in one position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartRow {
    /// Rail.
    pub rail: String,
    /// Reference designators.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Part number.
    pub part: String,
    /// Value or headline rating.
    pub value: String,
    /// Maker.
    pub maker: String,
    /// Pieces in one supply.
    pub count: u32,
    /// Price of one piece at the build quantity, if offered in the currency.
    pub unit_cost: Option<Money>,
    /// Cost of the whole build's order of it.
    pub batch_cost: Option<Money>,
    /// Pieces ordered for the whole build.
    pub ordered: Option<u32>,
    /// Supplier.
    pub supplier: Option<String>,
    /// Designators of the row whose order holds these pieces, where the same part stands in several rows.
    pub ordered_with: Option<String>,
}

/// Why a part stands where it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WhyLine {
    /// Rail.
    pub rail: String,
    /// Position in words.
    pub position: String,
    /// The reason.
    pub text: String,
}

/// A rail at one named corner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PointRow {
    /// Rail.
    pub rail: String,
    /// Name of the corner.
    pub corner: String,
    /// Mains voltage rms.
    pub mains_rms: Figure,
    /// Current drawn from the reservoir.
    pub load: Option<Figure>,
    /// Least reservoir voltage.
    pub reservoir_min: Option<Figure>,
    /// Mean reservoir voltage.
    pub reservoir_mean: Option<Figure>,
    /// Greatest reservoir voltage.
    pub reservoir_max: Figure,
    /// Ripple of the reservoir, peak to peak.
    pub ripple_pp: Option<Figure>,
    /// Peak current of one diode.
    pub diode_peak: Option<Figure>,
    /// rms current of the conducting path.
    pub winding_rms: Option<Figure>,
    /// Winding temperature.
    pub winding: Option<Figure>,
}

/// One stress.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StressRow {
    /// Rail.
    pub rail: String,
    /// Position, as records write it.
    pub position: String,
    /// Designators of the position.
    pub designators: Vec<String>,
    /// Code of the rule.
    pub stress: String,
    /// Value applied at the worst vertex.
    pub applied: Figure,
    /// The part's own rating.
    pub rating: Option<Figure>,
    /// What the policy leaves of it.
    pub limit: Figure,
    /// Whether applied must be at least the limit; otherwise at most.
    pub at_least: bool,
    /// Utilisation; above 1 fails; absent where no ratio is left to state.
    pub utilisation: Option<Figure>,
    /// Whether it stays within its limit.
    pub holds: bool,
    /// Worst vertex, in short: `hot M+ L+ f− E− C− R+ D+`.
    pub vertex: Option<String>,
    /// Where the limit comes from.
    pub clause: String,
    /// How that figure is known.
    pub known: String,
    /// Remark.
    pub note: String,
    /// Waiver that lets it pass although it does not hold: up to what, until when, whose, why.
    pub waived: Option<String>,
}

/// A rule that judges without numbers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FactRow {
    /// Rail.
    pub rail: String,
    /// Position, as records write it.
    pub position: String,
    /// Code of the rule.
    pub stress: String,
    /// Whether it holds.
    pub holds: bool,
    /// What was found against what is needed, or why the rule does not apply.
    pub text: String,
}

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// The record does not pass.
    Finding,
    /// The reader should know.
    Note,
}

/// Something found.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Finding {
    /// How much it weighs.
    pub weight: Weight,
    /// Stable code: that of the rule, or one of [`super::findings`].
    pub code: String,
    /// Rail; empty where it concerns the whole record.
    pub rail: String,
    /// Position, as records write it; empty where none.
    pub position: String,
    /// What was found.
    pub text: String,
}

/// One link of the heat chain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeatRow {
    /// Rail; empty for what all share.
    pub rail: String,
    /// Where.
    pub place: String,
    /// Heat that leaves there at its worst corner.
    pub power: Option<Figure>,
    /// Hottest temperature found.
    pub temperature: Figure,
    /// Rise over the air around.
    pub rise: Option<Figure>,
    /// Worst vertex.
    pub vertex: Option<String>,
}

/// A textbook constant beside the exact figure of the design.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TextbookRow {
    /// Rail.
    pub rail: String,
    /// Which figure.
    pub figure: String,
    /// The constant as a formula.
    pub expression: String,
    /// What the rule of thumb makes of this design.
    pub textbook: Figure,
    /// What the exact solution says, at nominal.
    pub exact: Figure,
    /// Exact over textbook; absent where the textbook says zero.
    pub ratio: Option<Figure>,
}

/// A figure at nominal mains and full load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NominalRow {
    /// Rail.
    pub rail: String,
    /// Which figure.
    pub figure: String,
    /// Its value.
    pub value: Figure,
}

/// A formula with what went in and what came out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WorkingRow {
    /// Rail.
    pub rail: String,
    /// Stable name of the formula.
    pub formula: String,
    /// What it is worked for here.
    pub purpose: String,
    /// In symbols.
    pub equation: String,
    /// With the values put in, and the result.
    pub substituted: String,
    /// Result with its unit.
    pub result: String,
    /// Symbols: name and meaning.
    pub symbols: Vec<(String, String)>,
    /// Where it holds.
    pub domain: String,
    /// Whence it comes.
    pub source: String,
}

/// Sums over the whole supply.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Totals {
    /// Cost of the whole build.
    pub batch_cost: Option<Money>,
    /// Cost of one supply.
    pub unit_cost: Option<Money>,
    /// Positions that no supplier offers in the currency.
    pub unpriced: Vec<String>,
    /// Output at nominal, full load.
    pub output: Option<Figure>,
    /// Loss at nominal mains, full load.
    pub loss: Option<Figure>,
    /// Volume of the parts' bounding boxes.
    pub volume: Option<Figure>,
    /// Mass of the parts that state one.
    pub mass: Option<Figure>,
    /// Parts that state no mass.
    pub without_mass: u32,
}

/// A default that was assumed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Assumption {
    /// Key of the requirements file; empty for an assumption of the method.
    pub key: String,
    /// Value assumed.
    pub value: String,
    /// Why.
    pub why: String,
}

/// Everything found of one record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dossier {
    /// Version of this layout.
    pub schema_version: u32,
    /// Tool and version that reviewed.
    pub tool: String,
    /// Name of the supply.
    pub supply: String,
    /// What it is for.
    pub description: String,
    /// Whether anything was found.
    pub conclusion: Conclusion,
    /// Cautions, gravest first.
    pub cautions: Vec<Caution>,
    /// Summary.
    pub summary: Summary,
    /// Findings, then notes.
    pub findings: Vec<Finding>,
    /// Parts.
    pub parts: Vec<PartRow>,
    /// Sums.
    pub totals: Totals,
    /// Why these parts.
    pub why: Vec<WhyLine>,
    /// What the search adds; absent where a record was reviewed alone.
    pub choice: Option<Choice>,
    /// Operating points at named corners.
    pub points: Vec<PointRow>,
    /// Stresses, in the order of the rules, rail by rail.
    pub stresses: Vec<StressRow>,
    /// Rules that judge without numbers.
    pub facts: Vec<FactRow>,
    /// Rules that do not apply.
    pub not_applicable: Vec<FactRow>,
    /// What moves the tightest margins; absent where it was not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margins: Option<Vec<Margin>>,
    /// Heat chain.
    pub heat: Vec<HeatRow>,
    /// Failure rates; absent where they were not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reliability: Option<super::reliability::Reliability>,
    /// Figures at nominal.
    pub nominal: Vec<NominalRow>,
    /// Textbook column.
    pub textbook: Vec<TextbookRow>,
    /// The textbook's derivation, step by step.
    pub lesson: Vec<super::lesson::Step>,
    /// Workings.
    pub workings: Vec<WorkingRow>,
    /// What figures are drawn from, rail by rail.
    pub pictures: Vec<RailPictures>,
    /// Harmonics of the mains current of all rails together.
    pub grid: SupplyHarmonics,
    /// Assumptions and defaults.
    pub assumptions: Vec<Assumption>,
    /// Notes.
    pub notes: Vec<String>,
    /// To whom this report defers.
    pub deferral: String,
}

//! Ratings that any part offered for a position must have, turned round from the derated worst stresses of a record.
//!
//! Says what must be asked for, not which part has it: whether an offered part fits is for a review with it to say.

mod choke;
mod stated;
mod window;

use serde::Serialize;

use super::{
    dossier::{Finding, SCHEMA_VERSION},
    figure::Figure,
    parts::designators,
    recompute::{Inputs, RailReview, Recomputed, recompute},
};
use crate::{candidate::price, review::cautions, stress::position::Position};

/// How a needed figure binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bound {
    /// The part's figure must be at least this.
    AtLeast,
    /// At most this.
    AtMost,
    /// As the text says.
    Text,
}

/// One rating of one position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RatingRow {
    /// Rail.
    pub rail: String,
    /// Designators.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Which rating.
    pub rating: String,
    /// How the figure binds.
    pub bound: Bound,
    /// Figure needed; absent where the text says all.
    pub needed: Option<Figure>,
    /// What is needed in words; empty where the figure says all.
    pub text: String,
    /// What the recorded part states; absent where it states none or no figure is compared.
    pub recorded: Option<Figure>,
    /// Under which condition the figure is meant.
    pub condition: String,
    /// Code of the rule that asks, or `requirement`.
    pub by: String,
}

/// Pieces to be quoted for a position.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Quoted {
    /// Rail.
    pub rail: String,
    /// Designators.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Part of the record, as an example.
    pub example: String,
    /// Pieces in one supply.
    pub count: u32,
    /// Pieces for the whole build, spares included.
    pub pieces: u32,
}

/// A quotation sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// Version of the layout of the JSON report.
    pub schema_version: u32,
    /// Name of the supply.
    pub supply: String,
    /// Policy by which ratings are derated.
    pub policy: String,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// What is to be quoted.
    pub quoted: Vec<Quoted>,
    /// What it must have.
    pub rows: Vec<RatingRow>,
    /// Why a rail has no rows.
    pub unsolved: Vec<String>,
    /// What the reader must know.
    pub notes: Vec<String>,
    /// To whom this sheet defers.
    pub deferral: String,
}

/// The quotation sheet of a record.
pub fn ratings(inputs: Inputs<'_>) -> Sheet {
    let recomputed = recompute(inputs);
    let mut rows = Vec::new();
    let mut quoted = Vec::new();
    for rail in &recomputed.rails {
        rows.extend(second_winding(&recomputed, rail));
        for line in rail.bench.assembly.lines() {
            let mut all = stated::rows(rail, line.position);
            all.extend(window::rows(&recomputed, rail, line.position));
            all.extend(wishes(inputs, rail, line.position));
            rows.extend(all);
            quoted.push(Quoted {
                rail: rail.record.rail.clone(),
                designators: designators(rail, line.position),
                position: line.position.words().to_owned(),
                example: line.common.id.0.clone(),
                count: line.count,
                pieces: price::need(inputs.requirement, line.count),
            });
        }
    }
    Sheet {
        schema_version: SCHEMA_VERSION,
        supply: inputs.requirement.name.clone(),
        policy: format!("{} ({})", inputs.policy.title, inputs.policy.id),
        build_quantity: inputs.requirement.build_quantity,
        quoted,
        rows,
        unsolved: recomputed.findings.iter().map(why).collect(),
        notes: vec![
            String::from(
                "Each figure is what the worst vertex asks, turned round through the policy, with every other part as \
                 recorded and the part's own behaviour (ESR, forward voltage, resistance) alike. An offered part is judged by \
                 `substitute`, which solves the circuit with it.",
            ),
            String::from(
                "A window is found by exact solution: between its ends nothing fails that holds in the record; it is searched \
                 no farther than a quarter to four times the recorded value.",
            ),
        ],
        deferral: cautions::deferral(),
    }
}

/// Why a rail has no rows.
fn why(finding: &Finding) -> String {
    match finding.rail.as_str() {
        "" => finding.text.clone(),
        rail => format!("rail `{rail}` could not be solved: {}", finding.text),
    }
}

/// What a rail asks of its winding where the transformer stands in the list of another rail and its windings are unlike: that
/// rail's rows speak of another winding.
fn second_winding(all: &Recomputed<'_>, rail: &RailReview<'_>) -> Vec<RatingRow> {
    let assembly = &rail.bench.assembly;
    let told = assembly.transformer.has_equal_windings() || assembly.is_second_of_tap();
    if !assembly.is_second() || told {
        return Vec::new();
    }
    let mut rows = stated::rows(rail, Position::Transformer);
    rows.extend(window::rows(all, rail, Position::Transformer));
    rows.retain(|row| matches!(row.by.as_str(), "transformer-secondary-current" | "window"));
    rows
}

/// A row of a rail.
fn row(rail: &RailReview<'_>, position: Position, rating: &str, by: &str) -> RatingRow {
    RatingRow {
        rail: rail.record.rail.clone(),
        designators: designators(rail, position),
        position: position.words().to_owned(),
        rating: rating.to_owned(),
        bound: Bound::AtLeast,
        needed: None,
        text: String::new(),
        recorded: None,
        condition: String::new(),
        by: by.to_owned(),
    }
}

/// What the requirement itself asks of every part.
fn wishes(inputs: Inputs<'_>, rail: &RailReview<'_>, position: Position) -> Vec<RatingRow> {
    let Some(most) = inputs.requirement.preferences.height_max else { return Vec::new() };
    let line = rail.bench.assembly.lines().into_iter().find(|line| line.position == position);
    let text = |metres: f64| format!("{:.1} mm", metres * 1e3);
    vec![RatingRow {
        bound: Bound::Text,
        text: format!("at most {}", text(most.0)),
        condition: line
            .map_or_else(String::new, |line| format!("recorded part {}", text(line.common.envelope[2].0))),
        ..row(rail, position, "height", "requirement")
    }]
}

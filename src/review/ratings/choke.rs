//! Inductance and resistance that an offered choke may have: windows found by exact solution.

use super::{
    RatingRow, row,
    window::{window, window_rows},
};
use crate::{
    catalog::Choke,
    quantity::Quantity as _,
    review::{
        figure::Unit,
        recompute::{RailReview, Recomputed},
    },
    stress::{
        assembly::{Assembly, Section},
        position::Position,
    },
};

/// Rows of the choke.
pub(super) fn rows(all: &Recomputed<'_>, rail: &RailReview<'_>) -> Vec<RatingRow> {
    let assembly = rail.bench.assembly;
    let Some(part) = assembly.choke() else { return Vec::new() };
    let changed = |change: &dyn Fn(&mut Choke, f64)| {
        window(all, rail, |factor, judge| {
            let mut other = part.clone();
            change(&mut other, factor);
            let section = match assembly.section {
                Some(Section::Clc(_, second)) => Section::Clc(&other, second),
                _ => Section::ChokeInput(&other),
            };
            judge(Assembly { section: Some(section), ..assembly })
        })
    };
    let inductance = RatingRow {
        condition: format!("at the rated direct current, ±{}", part.tolerance.to_text(2)),
        ..row(rail, Position::SectionChoke, "inductance", "window")
    };
    let found = changed(&|choke, factor| choke.inductance = choke.inductance * factor);
    let mut rows = window_rows(&inductance, part.inductance.0, Unit::Henries, found);
    let resistance = RatingRow {
        condition: String::from("at 20 °C"),
        ..row(rail, Position::SectionChoke, "winding resistance", "window")
    };
    let found = changed(&|choke, factor| choke.resistance = choke.resistance * factor);
    rows.extend(window_rows(&resistance, part.resistance.0, Unit::Ohms, found));
    rows
}

//! What figures are drawn from, reckoned here so that reports only draw.

pub mod analysed;
pub mod core_switch_on;
mod drawing;
pub(super) mod grid;
pub mod model;
mod switch_on;
mod waves;
mod window;

use rust_decimal::Decimal;

use super::{
    dossier::PartRow,
    recompute::{Inputs, RailReview},
};
use crate::quantity::Money;
use model::{CostRow, RailPictures};

/// Pictures of one rail; `parts` are the rows of the parts list.
pub(super) fn pictures(inputs: Inputs<'_>, rail: &RailReview<'_>, parts: &[PartRow]) -> RailPictures {
    let (harmonics, harmonics_limited) = grid::of_rail(rail);
    RailPictures {
        rail: rail.record.rail.clone(),
        drawing: drawing::drawing(inputs, rail, parts),
        waves: waves::waves(rail),
        window: window::window(rail),
        heat: window::heat(rail),
        switch_on: switch_on::switch_on(rail),
        harmonics,
        harmonics_limited,
        costs: parts.iter().filter(|part| part.rail == rail.record.rail).filter_map(cost).collect(),
    }
}

fn cost(part: &PartRow) -> Option<CostRow> {
    let each = part.unit_cost?;
    let amount = each.amount.checked_mul(Decimal::from(part.count))?;
    Some(CostRow {
        designators: part.designators.clone(),
        position: part.position.clone(),
        cost: Money { amount, ..each },
    })
}

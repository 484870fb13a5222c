//! What figures are drawn from, reckoned here so that reports only draw.

pub mod analysed;
mod drawing;
pub mod model;
mod switch_on;
mod waves;
mod window;

use rust_decimal::Decimal;

use super::{
    dossier::PartRow,
    figure::{Figure, Unit},
    recompute::{Inputs, RailReview},
};
use crate::{
    physics::grid::{HARMONIC_MAX, class_a_applies, class_a_limit},
    quantity::{Money, Watts},
};
use model::{CostRow, HarmonicRow, RailPictures};

/// Least nominal mains for which class A is written, V. Source: IEC 61000-3-2 (from memory).
const CLASS_A_MAINS_MIN_V: f64 = 220.0;

/// Pictures of one rail; `parts` are the rows of the parts list.
pub(super) fn pictures(inputs: Inputs<'_>, rail: &RailReview<'_>, parts: &[PartRow]) -> RailPictures {
    let (harmonics, harmonics_limited) = harmonic_rows(rail);
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

/// Harmonics of the primary current at nominal, and whether class A limits them.
fn harmonic_rows(rail: &RailReview<'_>) -> (Vec<HarmonicRow>, bool) {
    let Some(point) = &rail.nominal else { return (Vec::new(), false) };
    let turns = rail.bench.supply.source.primary_per_path;
    let taken_w = point.mean_v * point.load_a + point.copper_w + point.diode_w + point.bank_w + point.iron_w;
    let limited = rail.bench.supply.mains_v.nominal >= CLASS_A_MAINS_MIN_V && class_a_applies(Watts(taken_w));
    let rows = point
        .state
        .harmonics(HARMONIC_MAX)
        .iter()
        .filter(|harmonic| harmonic.order > 0)
        .filter_map(|harmonic| {
            Some(HarmonicRow {
                order: harmonic.order,
                current_rms: Figure::new(harmonic.rms_a() * turns, Unit::Amps)?,
                limit_rms: class_a_limit(harmonic.order).and_then(|limit| Figure::new(limit.0, Unit::Amps)),
            })
        })
        .collect();
    (rows, limited)
}

//! What parts cost a design: money at the build quantity, and the other terms of the objective.
//!
//! Knows nothing of circuits. Two views of the same price list: the exact one for a part used alone, and the optimistic one
//! that no sharing of price breaks can beat.

use rust_decimal::{Decimal, prelude::ToPrimitive};

use crate::{
    catalog::{Common, part::Lifecycle},
    requirement::{Objective, Requirement},
};

/// Pieces that `count` a supply come to for the whole build, spares included.
pub fn need(requirement: &Requirement, count: u32) -> u32 {
    let pieces = f64::from(count) * f64::from(requirement.build_quantity) * (1.0 + requirement.spares.0);
    // A hair below a whole number is that number: 100 · 1.05 must not become 106 by rounding.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at least one; saturates far beyond any order"
    )]
    let whole = (pieces - 1e-9).ceil().max(1.0) as u32;
    whole
}

/// Cheapest cost of `pieces` of one part over all its offers in the currency, whole build.
pub fn batch_cost(common: &Common, requirement: &Requirement, pieces: u32) -> Option<Decimal> {
    best_offer(common, requirement, pieces).map(|(_, purchase)| purchase.total)
}

/// The offer that makes `pieces` cheapest, with its order; of equal ones the first by supplier.
pub fn best_offer<'a>(
    common: &'a Common,
    requirement: &Requirement,
    pieces: u32,
) -> Option<(&'a crate::catalog::Offer, crate::catalog::offer::Purchase)> {
    common
        .offers
        .iter()
        .filter(|offer| offer.currency == requirement.currency)
        .filter_map(|offer| {
            let purchase = offer.cheapest(pieces)?;
            let late = purchase.ordered > offer.stock
                && requirement.preferences.lead_days_max.is_some_and(|most| offer.lead_days > most);
            (!late).then_some((offer, purchase))
        })
        .min_by(|a, b| a.1.total.cmp(&b.1.total).then_with(|| a.0.supplier.cmp(&b.0.supplier)))
}

/// Whether a part may be used at all.
pub fn admissible(common: &Common, requirement: &Requirement) -> bool {
    let wishes = &requirement.preferences;
    let alive = match common.lifecycle {
        Lifecycle::Active => true,
        Lifecycle::NotForNewDesigns => wishes.allow_not_for_new_designs,
        Lifecycle::LastOrder(_) | Lifecycle::Withdrawn => false,
    };
    alive
        && !wishes.excluded_makers.contains(&common.maker)
        && !wishes.excluded_parts.contains(&common.id.0)
        && wishes.height_max.is_none_or(|most| common.envelope[2].0 <= most.0)
}

/// Score of `count` pieces of a part a supply, in the unit of the objective; loss apart.
///
/// `None` where nobody sells it in the currency on the conditions asked.
pub fn score(common: &Common, requirement: &Requirement, count: u32) -> Option<f64> {
    let batch = batch_cost(common, requirement, need(requirement, count))?;
    Some(money_score(batch, requirement) + bulk_score(common, &requirement.objective, count)?)
}

/// Score that no sharing of price breaks with other rails can beat: `count` times the least cost of one piece over every
/// batch up to `most` pieces a supply.
///
/// Covering a batch of `N` costs at least `N · min F(M)/M` for any way of sharing it, so a rail's proportional share of a
/// shared order is never less.
pub fn optimistic(common: &Common, requirement: &Requirement, count: u32, most: u32) -> Option<f64> {
    let least = (count..=most.max(count))
        .filter_map(|total| {
            let batch = batch_cost(common, requirement, need(requirement, total))?;
            Some(money_score(batch, requirement) / f64::from(total))
        })
        .fold(None, |least: Option<f64>, each| Some(least.map_or(each, |value| value.min(each))))?;
    Some(least * f64::from(count) + bulk_score(common, &requirement.objective, count)?)
}

/// Money of a batch as the objective counts it: per supply.
pub fn money_score(batch: Decimal, requirement: &Requirement) -> f64 {
    batch.to_f64().unwrap_or(f64::INFINITY) / f64::from(requirement.build_quantity)
        * requirement.objective.cost
}

/// Volume and mass as the objective counts them; `None` where mass counts and the part states none.
pub fn bulk_score(common: &Common, objective: &Objective, count: u32) -> Option<f64> {
    let mass = if objective.mass > 0.0 { common.mass?.0 * 1e3 * objective.mass } else { 0.0 };
    Some(f64::from(count) * (mass + common.volume().0 * 1e6 * objective.volume))
}

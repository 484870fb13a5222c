//! What the parts of several rails cost when each kind is ordered once for all of them.
//!
//! Knows prices, not circuits.

use std::collections::BTreeMap;

use crate::{
    candidate::price::{batch_cost, bulk_score, money_score, need},
    catalog::Common,
    requirement::Requirement,
    stress::{
        assembly::{Assembly, Line},
        position::Position,
    },
};

/// One kind of thing that is ordered: a part, or a resistor series in one value (bits of the ohms).
pub(super) type Item<'a> = (&'a str, u64);

/// What a line of a parts list is an order of.
pub(super) fn item<'a>(line: &Line<'a>) -> Item<'a> {
    (line.common.id.0.as_str(), line.value.map_or(0, |ohms| ohms.0.to_bits()))
}

/// Pieces of each item in some assemblies together.
pub(super) fn pieces<'a>(
    assemblies: impl IntoIterator<Item = Assembly<'a>>,
) -> BTreeMap<Item<'a>, (u32, &'a Common)> {
    let mut counts = BTreeMap::new();
    for assembly in assemblies {
        for line in assembly.lines() {
            counts.entry(item(&line)).or_insert((0, line.common)).0 += line.count;
        }
    }
    counts
}

/// Money of `count` pieces a supply of one part, as the objective counts it; infinite where nobody delivers them.
pub(super) fn order(common: &Common, requirement: &Requirement, count: u32) -> f64 {
    batch_cost(common, requirement, need(requirement, count))
        .map_or(f64::INFINITY, |batch| money_score(batch, requirement))
}

/// Volume and mass of a rail as the objective counts them.
pub(super) fn bulk(assembly: &Assembly<'_>, requirement: &Requirement) -> f64 {
    assembly
        .lines()
        .iter()
        .map(|line| bulk_score(line.common, &requirement.objective, line.count).unwrap_or(f64::INFINITY))
        .sum()
}

/// Least that rails add to whatever else is ordered with them, of the parts of no position more than `most` pieces: nothing they are bought with
/// makes them cost less.
///
/// `Σ_r (bulk_r + w_loss · P_r) + Σ_p min_k (F_p(k + n_p) − F_p(k))` over 0 ≤ k ≤ `most`, with `F_p(n)` as in [`score`].
pub fn least_added<'a>(
    requirement: &Requirement,
    rails: impl IntoIterator<Item = (Assembly<'a>, f64)>,
    most: impl Fn(Position) -> u32,
) -> f64 {
    let rails: Vec<_> = rails.into_iter().collect();
    let own: f64 = rails
        .iter()
        .map(|(assembly, loss_w)| bulk(assembly, requirement) + requirement.objective.loss * loss_w)
        .sum();
    let mut counts: BTreeMap<Item<'a>, (u32, &'a Common, u32)> = BTreeMap::new();
    for line in rails.iter().flat_map(|(assembly, _)| assembly.lines()) {
        let (count, _, others) = counts.entry(item(&line)).or_insert((0, line.common, 0));
        *count += line.count;
        *others = (*others).max(most(line.position));
    }
    let added = |(count, common, others): (u32, &Common, u32)| {
        let of = |pieces: u32| if pieces == 0 { 0.0 } else { order(common, requirement, pieces) };
        let least = (0..=others).map(|other| of(other + count) - of(other)).fold(f64::INFINITY, f64::min);
        least.max(0.0)
    };
    own + counts.into_values().map(added).sum::<f64>()
}

/// Score of rails bought together, the loss of each given.
///
/// `Σ_p F_p(Σ_r n_pr) + Σ_r (bulk_r + w_loss · P_r)`, with `F_p(n)` the least cost of an order that covers `n` pieces a supply.
pub fn score<'a>(requirement: &Requirement, rails: impl IntoIterator<Item = (Assembly<'a>, f64)>) -> f64 {
    let rails: Vec<_> = rails.into_iter().collect();
    let own: f64 = rails
        .iter()
        .map(|(assembly, loss_w)| bulk(assembly, requirement) + requirement.objective.loss * loss_w)
        .sum();
    let orders: f64 = pieces(rails.iter().map(|(assembly, _)| *assembly))
        .into_values()
        .map(|(count, common)| order(common, requirement, count))
        .sum();
    own + orders
}

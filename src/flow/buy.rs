//! One purchase list for many designs whose substitutes hold: what an order puts in place of the parts designed in is reviewed
//! as a whole, design by design, and what does not hold together is left out.

use crate::{
    catalog::Catalog,
    policy::Waiver,
    purchase::{self, Barred, Freedom, Order, OrderError, Wanted, Wishes, order::Refused, terms},
    review::{
        self,
        dossier::Finding,
        substitute::{Place, together},
    },
};

/// Most rounds of ordering and reviewing; then the last designs that do not hold get no substitutes at all.
const ROUNDS_MAX: usize = 8;

/// A design to be bought, and what it is reviewed against.
#[derive(Clone, Copy, Debug)]
pub struct Bought<'a> {
    /// Record and quantity.
    pub wanted: Wanted<'a>,
    /// What the record with substitutes is reviewed against; without it none is bought.
    pub review: Option<review::Inputs<'a>>,
    /// Waivers of that review.
    pub waivers: &'a [Waiver],
}

/// Plans one purchase for all designs; every substitute in it was reviewed with all others of its design.
///
/// The bound is that of the freest choice, so it holds whatever is left out.
pub fn buy(
    designs: &[Bought<'_>],
    catalog: &Catalog,
    wishes: &Wishes,
    supplier_terms: &terms::Terms,
    substitutes: &[terms::Substitute],
) -> Result<Order, OrderError> {
    let wanted: Vec<Wanted<'_>> = designs.iter().map(|design| design.wanted).collect();
    let mut barred: Vec<Barred> = Vec::new();
    let mut refused: Vec<Refused> = Vec::new();
    let mut bound = None;
    let mut round = 0;
    loop {
        round += 1;
        let freedom = Freedom { substitutes, barred: &barred };
        let mut order = purchase::order(&wanted, catalog, wishes, supplier_terms, freedom)?;
        let bound = *bound.get_or_insert(order.bound);
        let fresh = unsound(designs, &order, round > ROUNDS_MAX);
        if fresh.is_empty() {
            order.bounded_by(bound);
            order.refused = refused;
            return Ok(order);
        }
        for (bar, why) in fresh {
            let supply = wanted.get(bar.design).map(|one| one.record.supply.clone()).unwrap_or_default();
            let (rail, position, part) = (bar.rail.clone(), bar.position.clone(), bar.part.clone());
            refused.push(Refused { supply, rail, position, part, why });
            barred.push(bar);
        }
        // This ends: each round bars a substitute, and there are only so many.
        barred.sort();
    }
}

/// Substitutes of an order that do not hold, with what was found; `strict` leaves none to a design of which any fails.
fn unsound(designs: &[Bought<'_>], order: &Order, strict: bool) -> Vec<(Barred, String)> {
    let mut all = Vec::new();
    for (index, design) in designs.iter().enumerate() {
        let swaps: Vec<(Barred, Option<Place>)> = order
            .substituted
            .iter()
            .filter(|one| one.design == index)
            .map(|one| {
                let (rail, position, part) = (one.rail.clone(), one.position.clone(), one.bought.clone());
                let place = Place::of(design.wanted.record, &rail, &position);
                (Barred { design: index, rail, position, part }, place)
            })
            .collect();
        if swaps.is_empty() {
            continue;
        }
        let Some(inputs) = design.review else {
            let why = "not reviewed: no requirements file beside the record";
            all.extend(swaps.into_iter().map(|(bar, _)| (bar, why.to_owned())));
            continue;
        };
        all.extend(not_holding(inputs, design.waivers, swaps, strict));
    }
    all
}

/// Of the substitutes of one design those that do not hold with the ones before them.
fn not_holding(
    inputs: review::Inputs<'_>,
    waivers: &[Waiver],
    swaps: Vec<(Barred, Option<Place>)>,
    strict: bool,
) -> Vec<(Barred, String)> {
    let placed: Vec<(Place, String)> =
        swaps.iter().filter_map(|(bar, place)| Some((place.clone()?, bar.part.clone()))).collect();
    let found = together(inputs, waivers, &placed);
    if found.is_empty() && placed.len() == swaps.len() {
        return Vec::new();
    }
    let mut held: Vec<(Place, String)> = Vec::new();
    let mut all = Vec::new();
    for (bar, place) in swaps {
        let Some(place) = place else {
            all.push((bar, "the record has no such position".to_owned()));
            continue;
        };
        if strict {
            all.push((bar, words(&found)));
            continue;
        }
        held.push((place, bar.part.clone()));
        let found = together(inputs, waivers, &held);
        if !found.is_empty() {
            held.pop();
            let others = if held.is_empty() { "" } else { "with the other substitutes: " };
            all.push((bar, format!("{others}{}", words(&found))));
        }
    }
    all
}

/// The first of what was found, and how much more there is.
fn words(found: &[Finding]) -> String {
    let first = found.first().map_or_else(String::new, |one| match one.position.as_str() {
        "" => format!("{}: {}", one.code, one.text),
        position => format!("{} of the {position}: {}", one.code, one.text),
    });
    match found.len() {
        0 | 1 => first,
        more => format!("{first}; and {} more", more - 1),
    }
}

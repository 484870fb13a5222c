//! From the trains of each rail to the columns of the integer programme: completions, what they share, what they cost.
//!
//! Knows a margin of score; what lies beyond it is somebody else's proof.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::{
    candidate::{price::bulk_score, shop::Shop, stage::ways_of},
    catalog::Common,
    requirement::Requirement,
    stress::{assembly::Assembly, position::Position},
};

use super::{
    choose::Inputs,
    joint::{Cut, CutRail, cut_of},
    leaf::{Found, Order, SCORE_TIE, order_of},
    model::{Answer, Column, Programme},
    share::{Item, bulk, order, pieces},
    variants::{Fill, Fitter, lines_of},
};

/// Times that what no other rail takes is settled: each leaves fewer choices, and those share less.
const SETTLINGS: u32 = 3;

/// The part behind each item.
type Commons<'a> = BTreeMap<Item<'a>, &'a Common>;

/// A train of one rail, and what its completion may cost more than the cheapest.
pub(super) struct Train<'a> {
    /// Index of the rail.
    pub(super) rail: usize,
    /// The train with its best completion.
    pub(super) found: Found<'a>,
    /// Room of score.
    pub(super) room: f64,
}

/// More completions than a programme is written for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TooMany;

/// What the programme chose.
pub(super) struct Chosen<'a> {
    /// Choice of each rail.
    pub(super) rails: Vec<Found<'a>>,
    /// The programme's answer.
    pub(super) answer: Answer,
    /// Columns of all rails.
    pub(super) columns: usize,
}

/// The best combination of some trains with every completion within their room.
pub(super) fn choose<'a>(
    inputs: Inputs<'a>,
    shop: &Shop<'a>,
    trains: Vec<Train<'a>>,
    (cuts, columns_max): (&[Cut], usize),
) -> Result<Option<Chosen<'a>>, TooMany> {
    let trunks: Vec<Trunk<'a>> = trains
        .into_par_iter()
        .filter_map(|Train { rail, found, room }| {
            let asked = inputs.asked(rail)?;
            let stage = found.assembly.regulation;
            let coolings = stage.map(|stage| ways_of(asked, shop, &stage)).unwrap_or_default();
            let sets = Fitter::of(asked, shop, &found)?.fills(&found, &coolings, room);
            Some(Trunk { rail, found, room, sets })
        })
        .collect();
    let shared = shared_parts(&trunks);
    // Of choices alike to the programme so many are kept that one of them is not cut.
    let depth = cuts.len() + 1;
    let ways = |trunk: &Trunk<'a>| -> usize {
        let kept = |set: &Vec<Fill<'a>>| {
            cheapest(inputs.requirement, &trunk.found.assembly, set, &shared, depth).len()
        };
        trunk.sets.iter().map(kept).fold(1, usize::saturating_mul)
    };
    if trunks.iter().map(ways).fold(0, usize::saturating_add) > columns_max {
        return Err(TooMany);
    }
    let grown: Vec<Vec<Choice<'a>>> =
        trunks.par_iter().map(|trunk| grow(inputs, shop, trunk, &shared, depth)).collect();
    let mut choices: Vec<Vec<Choice<'a>>> = vec![Vec::new(); inputs.requirement.rails.len()];
    let mut commons = Commons::new();
    for (trunk, grown) in trunks.iter().zip(grown) {
        for choice in &grown {
            let items = pieces([choice.found.assembly]).into_iter();
            commons.extend(items.map(|(item, (_, common))| (item, common)));
        }
        if let Some(list) = choices.get_mut(trunk.rail) {
            list.extend(grown);
        }
    }
    for _ in 0..SETTLINGS {
        settle(inputs.requirement, &mut choices, &commons);
        for list in &mut choices {
            merge(list, depth);
        }
    }
    let Some(answer) = programme(inputs.requirement, &choices, &commons, cuts).solve() else {
        return Ok(None);
    };
    let rails: Option<Vec<Found<'a>>> = choices
        .iter()
        .zip(&answer.columns)
        .map(|(list, index)| list.get(*index).map(|choice| choice.found.clone()))
        .collect();
    let columns = choices.iter().map(Vec::len).sum();
    Ok(rails.map(|rails| Chosen { rails, answer, columns }))
}

/// A train with everything that could complete it within the margin.
struct Trunk<'a> {
    rail: usize,
    found: Found<'a>,
    /// What its completion may cost more than the cheapest.
    room: f64,
    sets: Vec<Vec<Fill<'a>>>,
}

/// A complete rail with what it shares.
#[derive(Clone)]
struct Choice<'a> {
    found: Found<'a>,
    cost: f64,
    uses: BTreeMap<Item<'a>, u32>,
    order: Order<'a>,
}

/// Items that two rails, or two positions of one, could both use.
fn shared_parts<'a>(trunks: &[Trunk<'a>]) -> BTreeSet<&'a str> {
    let mut places: BTreeMap<&'a str, BTreeSet<(usize, Position)>> = BTreeMap::new();
    for trunk in trunks {
        for line in trunk.found.assembly.lines() {
            places.entry(line.common.id.0.as_str()).or_default().insert((trunk.rail, line.position));
        }
        for fill in trunk.sets.iter().flatten() {
            for line in lines_of(&fill.what, &trunk.found.assembly) {
                places.entry(line.common.id.0.as_str()).or_default().insert((trunk.rail, line.position));
            }
        }
    }
    places.into_iter().filter(|(_, places)| places.len() > 1).map(|(part, _)| part).collect()
}

/// Every completion of a train that could matter: of those that share the same, the `depth` cheapest.
fn grow<'a>(
    inputs: Inputs<'a>,
    shop: &Shop<'a>,
    trunk: &Trunk<'a>,
    shared: &BTreeSet<&'a str>,
    depth: usize,
) -> Vec<Choice<'a>> {
    let requirement = inputs.requirement;
    let mut grown: Vec<(Assembly<'a>, f64)> = vec![(trunk.found.assembly, 0.0)];
    for set in &trunk.sets {
        let least = set.iter().map(|fill| fill.score).fold(f64::INFINITY, f64::min);
        let kept = cheapest(requirement, &trunk.found.assembly, set, shared, depth);
        grown = grown
            .iter()
            .flat_map(|(assembly, more)| {
                kept.iter().map(move |fill| (fill.what.put(*assembly), more + fill.score - least))
            })
            .filter(|(_, more)| *more <= trunk.room + SCORE_TIE)
            .collect();
    }
    let asked = inputs.asked(trunk.rail);
    let Some(mut fitter) = asked.and_then(|asked| Fitter::of(asked, shop, &trunk.found)) else {
        return Vec::new();
    };
    let own = order_of(&trunk.found.assembly);
    let without_w = trunk.found.loss_w - fitter.limiter_loss_w(&trunk.found.assembly);
    grown
        .into_iter()
        .filter_map(|(assembly, _)| {
            let place = order_of(&assembly);
            if place != own && !fitter.passes(&assembly) {
                return None;
            }
            let loss_w = without_w + fitter.limiter_loss_w(&assembly);
            let cost = bulk(&assembly, requirement) + requirement.objective.loss * loss_w;
            let uses = pieces([assembly]).into_iter().map(|(item, (count, _))| (item, count)).collect();
            Some(Choice {
                found: Found { assembly, loss_w, ..trunk.found.clone() },
                cost,
                uses,
                order: place,
            })
        })
        .collect()
}

/// Fillings that share the same, each with what is not shared.
type Class<'f, 'a> = Vec<(f64, &'f Fill<'a>)>;

/// Of the fillings that use the same shared parts the `depth` cheapest by what is not shared; of equal ones by part ids.
fn cheapest<'f, 'a>(
    requirement: &Requirement,
    base: &Assembly<'a>,
    set: &'f [Fill<'a>],
    shared: &BTreeSet<&'a str>,
    depth: usize,
) -> Vec<&'f Fill<'a>> {
    let mut classes: BTreeMap<Vec<(Position, &'a str)>, Class<'f, 'a>> = BTreeMap::new();
    for fill in set {
        let lines = lines_of(&fill.what, base);
        let shares = lines
            .iter()
            .map(|line| (line.position, line.common.id.0.as_str()))
            .filter(|(_, part)| shared.contains(part))
            .collect();
        let private = lines
            .iter()
            .filter(|line| !shared.contains(line.common.id.0.as_str()))
            .map(|line| {
                order(line.common, requirement, line.count)
                    + bulk_score(line.common, &requirement.objective, line.count).unwrap_or(f64::INFINITY)
            })
            .sum();
        classes.entry(shares).or_default().push((private, fill));
    }
    let mut kept = Vec::new();
    for class in classes.values_mut() {
        class.sort_by(|a, b| {
            if (a.0 - b.0).abs() <= SCORE_TIE {
                order_of(&a.1.what.put(*base)).cmp(&order_of(&b.1.what.put(*base)))
            } else {
                a.0.total_cmp(&b.0)
            }
        });
        kept.extend(class.iter().take(depth).map(|(_, fill)| *fill));
    }
    kept
}

/// Moves into the cost of each choice the orders of items that no other rail takes.
fn settle<'a>(requirement: &Requirement, choices: &mut [Vec<Choice<'a>>], commons: &Commons<'a>) {
    let mut users: BTreeMap<Item<'a>, BTreeSet<usize>> = BTreeMap::new();
    for (rail, list) in choices.iter().enumerate() {
        for item in list.iter().flat_map(|choice| choice.uses.keys()) {
            users.entry(*item).or_default().insert(rail);
        }
    }
    for choice in choices.iter_mut().flatten() {
        let (cost, uses) = (&mut choice.cost, &mut choice.uses);
        uses.retain(|item, count| {
            let shared = users.get(item).is_some_and(|rails| rails.len() > 1);
            if !shared {
                *cost += commons.get(item).map_or(f64::INFINITY, |common| order(common, requirement, *count));
            }
            shared
        });
    }
}

/// Of the choices that share the same the `depth` cheapest; in the order of part ids.
fn merge(list: &mut Vec<Choice<'_>>, depth: usize) {
    list.sort_by(|a, b| {
        a.uses.cmp(&b.uses).then_with(|| {
            if (a.cost - b.cost).abs() <= SCORE_TIE {
                a.order.cmp(&b.order)
            } else {
                a.cost.total_cmp(&b.cost)
            }
        })
    });
    let mut kept: Vec<Choice<'_>> = Vec::with_capacity(list.len());
    let mut same = 0;
    for choice in list.drain(..) {
        same = if kept.last().is_some_and(|known| known.uses == choice.uses) { same + 1 } else { 0 };
        if same < depth && choice.cost.is_finite() {
            kept.push(choice);
        }
    }
    kept.sort_by(|a, b| a.order.cmp(&b.order));
    *list = kept;
}

/// The integer programme of what is left to choose.
fn programme(
    requirement: &Requirement,
    choices: &[Vec<Choice<'_>>],
    commons: &Commons<'_>,
    cuts: &[Cut],
) -> Programme {
    let mut most: BTreeMap<Item<'_>, u32> = BTreeMap::new();
    for list in choices {
        let mut here: BTreeMap<Item<'_>, u32> = BTreeMap::new();
        for (item, count) in list.iter().flat_map(|choice| &choice.uses) {
            let known = here.entry(*item).or_default();
            *known = (*known).max(*count);
        }
        for (item, count) in here {
            *most.entry(item).or_default() += count;
        }
    }
    let places: BTreeMap<Item<'_>, usize> =
        most.keys().enumerate().map(|(place, item)| (*item, place)).collect();
    let orders = most
        .iter()
        .map(|(item, most)| {
            let cost = |count| match (count, commons.get(item)) {
                (0, _) => 0.0,
                (_, Some(common)) => order(common, requirement, count),
                (_, None) => f64::INFINITY,
            };
            (0..=*most).map(cost).collect()
        })
        .collect();
    let rails = choices
        .iter()
        .map(|list| {
            list.iter()
                .map(|choice| Column {
                    cost: choice.cost,
                    uses: choice
                        .uses
                        .iter()
                        .filter_map(|(item, count)| Some((*places.get(item)?, *count)))
                        .collect(),
                })
                .collect()
        })
        .collect();
    let cuts = cuts
        .iter()
        .filter_map(|cut| {
            let find = |(list, ids): (&Vec<Choice<'_>>, &CutRail)| {
                list.iter().position(|choice| cut_of(&choice.found) == *ids)
            };
            choices.iter().zip(cut).map(find).collect()
        })
        .collect();
    Programme { rails, orders, cuts }
}

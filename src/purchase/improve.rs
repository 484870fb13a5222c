//! Better plans: each demand answers best to the others, then whole groups move, with the exact marginal cost of an order.
//!
//! A heuristic; what it finds is priced exactly, and the bound stands beside it.

use super::{
    breaks::{Cover, bit},
    problem::{Memo, Plan, Problem},
};

/// Most passes over the demands.
const MOST_PASSES: usize = 40;
/// Most demands for which exchanges of pairs are tried.
const MOST_FOR_PAIRS: usize = 150;

/// An assignment in which every demand can be had, or the demands for which none was found.
pub(super) fn first(problem: &Problem, memo: &mut Memo<'_>, allowed: u32) -> Result<Vec<usize>, Vec<usize>> {
    let mut order: Vec<usize> = (0..problem.demands.len()).collect();
    order.sort_by_key(|at| {
        problem.demands.get(*at).map(|demand| (demand.choices.len(), u64::MAX - demand.pieces))
    });
    let mut loads = problem.loads(&[]);
    let mut assigned = vec![0; problem.demands.len()];
    let mut stuck = Vec::new();
    for at in order {
        let Some(demand) = problem.demands.get(at) else { continue };
        let mut best: Option<(i64, usize)> = None;
        for choice in &demand.choices {
            let load = loads.get(*choice).copied().unwrap_or(0);
            let with = memo.goods(*choice, load + demand.pieces, allowed);
            let without = memo.goods(*choice, load, allowed);
            if let (Some(with), Some(without)) = (with, without)
                && best.is_none_or(|(least, _)| with - without < least)
            {
                best = Some((with - without, *choice));
            }
        }
        match best {
            Some((_, choice)) => {
                if let (Some(slot), Some(load)) = (assigned.get_mut(at), loads.get_mut(choice)) {
                    *slot = choice;
                    *load += demand.pieces;
                }
            }
            None => stuck.push(at),
        }
    }
    if stuck.is_empty() { Ok(assigned) } else { Err(stuck) }
}

/// What moving pieces from one article to another changes.
fn change(
    memo: &mut Memo<'_>,
    loads: &[u64],
    from: usize,
    to: usize,
    pieces: u64,
    allowed: u32,
) -> Option<i64> {
    let (source, target) = (*loads.get(from)?, *loads.get(to)?);
    let before = memo.goods(from, source, allowed)? + memo.goods(to, target, allowed)?;
    let after =
        memo.goods(from, source.checked_sub(pieces)?, allowed)? + memo.goods(to, target + pieces, allowed)?;
    Some(after - before)
}

fn shift(loads: &mut [u64], from: usize, to: usize, pieces: u64) {
    if let Some(load) = loads.get_mut(from) {
        *load -= pieces;
    }
    if let Some(load) = loads.get_mut(to) {
        *load += pieces;
    }
}

/// Improves an assignment until no move helps; the goods alone count.
pub(super) fn descend(problem: &Problem, memo: &mut Memo<'_>, assigned: &mut [usize], allowed: u32) {
    let mut loads = problem.loads(assigned);
    for _ in 0..MOST_PASSES {
        let mut better = singles(problem, memo, assigned, &mut loads, allowed);
        better |= groups(problem, memo, assigned, &mut loads, allowed);
        if !better && assigned.len() <= MOST_FOR_PAIRS {
            better |= pairs(problem, memo, assigned, &mut loads, allowed);
        }
        if !better {
            return;
        }
    }
}

/// Each demand in turn takes what is cheapest given the others.
fn singles(
    problem: &Problem,
    memo: &mut Memo<'_>,
    assigned: &mut [usize],
    loads: &mut [u64],
    allowed: u32,
) -> bool {
    let mut better = false;
    for (demand, slot) in problem.demands.iter().zip(assigned.iter_mut()) {
        let best = demand
            .choices
            .iter()
            .filter(|to| **to != *slot)
            .filter_map(|to| Some((change(memo, loads, *slot, *to, demand.pieces, allowed)?, *to)))
            .min();
        if let Some((gain, to)) = best
            && gain < 0
        {
            shift(loads, *slot, to, demand.pieces);
            *slot = to;
            better = true;
        }
    }
    better
}

/// All demands on one article that could be another move together.
fn groups(
    problem: &Problem,
    memo: &mut Memo<'_>,
    assigned: &mut [usize],
    loads: &mut [u64],
    allowed: u32,
) -> bool {
    let mut ways: Vec<(usize, usize)> = Vec::new();
    for (demand, from) in problem.demands.iter().zip(assigned.iter()) {
        ways.extend(demand.choices.iter().filter(|to| *to != from).map(|to| (*from, *to)));
    }
    ways.sort_unstable();
    ways.dedup();
    let mut better = false;
    for (from, to) in ways {
        let moves =
            |(demand, at): (&super::problem::Demand, &usize)| *at == from && demand.choices.contains(&to);
        let pieces: u64 = problem
            .demands
            .iter()
            .zip(assigned.iter())
            .filter(|pair| moves(*pair))
            .map(|pair| pair.0.pieces)
            .sum();
        if pieces > 0 && change(memo, loads, from, to, pieces, allowed).is_some_and(|gain| gain < 0) {
            for (demand, slot) in problem.demands.iter().zip(assigned.iter_mut()) {
                if moves((demand, slot)) {
                    *slot = to;
                }
            }
            shift(loads, from, to, pieces);
            better = true;
        }
    }
    better
}

/// Two demands move at once: to each other's article, or both to a third.
fn pairs(
    problem: &Problem,
    memo: &mut Memo<'_>,
    assigned: &mut [usize],
    loads: &mut [u64],
    allowed: u32,
) -> bool {
    let mut better = false;
    for one in 0..assigned.len() {
        for two in one + 1..assigned.len() {
            let (Some(a), Some(b)) = (problem.demands.get(one), problem.demands.get(two)) else { continue };
            if !a.choices.iter().any(|choice| b.choices.contains(choice)) {
                continue;
            }
            for x in &a.choices {
                for y in &b.choices {
                    let (Some(from_a), Some(from_b)) =
                        (assigned.get(one).copied(), assigned.get(two).copied())
                    else {
                        continue;
                    };
                    if *x == from_a || *y == from_b || (*x != from_b && *y != from_a && x != y) {
                        continue;
                    }
                    let Some(first) = goods_of(memo, loads, &[from_a, from_b, *x, *y], allowed) else {
                        continue;
                    };
                    shift(loads, from_a, *x, a.pieces);
                    shift(loads, from_b, *y, b.pieces);
                    let second = goods_of(memo, loads, &[from_a, from_b, *x, *y], allowed);
                    if second.is_some_and(|second| second < first) {
                        if let Some(slot) = assigned.get_mut(one) {
                            *slot = *x;
                        }
                        if let Some(slot) = assigned.get_mut(two) {
                            *slot = *y;
                        }
                        better = true;
                    } else {
                        shift(loads, *y, from_b, b.pieces);
                        shift(loads, *x, from_a, a.pieces);
                    }
                }
            }
        }
    }
    better
}

fn goods_of(memo: &mut Memo<'_>, loads: &[u64], articles: &[usize], allowed: u32) -> Option<i64> {
    let mut unique = articles.to_vec();
    unique.sort_unstable();
    unique.dedup();
    unique.iter().map(|one| memo.goods(*one, *loads.get(*one)?, allowed)).sum()
}

/// The cheapest covers for an assignment as far as best response finds them, charges of suppliers included: from those of the
/// suppliers `allowed` on, within `reach`.
pub(super) fn finish(
    problem: &Problem,
    memo: &mut Memo<'_>,
    assigned: &[usize],
    allowed: u32,
    reach: u32,
) -> Option<Plan> {
    let loads = problem.loads(assigned);
    let mut covers: Vec<Option<Cover>> = Vec::with_capacity(loads.len());
    for (article, load) in loads.iter().enumerate() {
        covers.push(if *load == 0 { None } else { Some(memo.cover(article, *load, allowed)?) });
    }
    let mut goods = problem.goods(covers.iter().flatten());
    let mut total = problem.billed(&goods);
    for _ in 0..MOST_PASSES {
        let mut better = false;
        for (article, load) in loads.iter().enumerate() {
            let Some(slot) = covers.get_mut(article) else { continue };
            let Some(held) = *slot else { continue };
            for cover in memo.covers(article, *load).iter().filter(|one| one.suppliers() & !reach == 0) {
                let mut trial = goods.clone();
                add(&mut trial, slot.as_ref().unwrap_or(&held), -1);
                add(&mut trial, cover, 1);
                let billed = problem.billed(&trial);
                if billed < total {
                    (*slot, goods, total, better) = (Some(*cover), trial, billed, true);
                }
            }
        }
        if !better {
            break;
        }
    }
    Some(Plan { assigned: assigned.to_vec(), covers, total })
}

pub(super) fn add(goods: &mut [i64], cover: &Cover, sign: i64) {
    for part in cover.parts() {
        if let Some(sum) = goods.get_mut(part.supplier) {
            *sum += sign * part.cost;
        }
    }
}

/// Sets of suppliers worth trying: each subset of those that charge where they are few, else all, all but one.
pub(super) fn supplier_sets(problem: &Problem, most: usize) -> Vec<u32> {
    let charging = problem.charging();
    let all = problem.everyone();
    if charging.len() <= most {
        let subset = |number: u32| {
            charging.iter().enumerate().fold(all, |mask, (at, supplier)| {
                if number & bit(at) == 0 { mask } else { mask & !bit(*supplier) }
            })
        };
        return (0..(1u32 << charging.len())).map(subset).collect();
    }
    std::iter::once(all).chain(charging.iter().map(|one| all & !bit(*one))).collect()
}

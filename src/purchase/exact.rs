//! Every choice in turn, cut short by what is already spent: the proof for small purchases.
//!
//! Work is counted; out of work, nothing is claimed.

use super::{
    breaks::Cover,
    improve::add,
    problem::{Memo, Plan, Problem},
};

/// A search in progress.
struct Search<'s, 'p> {
    problem: &'p Problem,
    memo: &'s mut Memo<'p>,
    best: Plan,
    left: u64,
    charge_least: i64,
}

/// Most assignments that are worth a try.
const MOST_ASSIGNMENTS: u64 = 10_000_000;

/// Tries every choice; `true` with the best plan of all if the work sufficed. Work is counted in articles looked at.
pub(super) fn close<'p>(problem: &'p Problem, memo: &mut Memo<'p>, best: Plan, work: u64) -> (Plan, bool) {
    let assignments = problem.demands.iter().try_fold(1u64, |product, demand| {
        product.checked_mul(demand.choices.len() as u64).filter(|product| *product <= MOST_ASSIGNMENTS)
    });
    if assignments.is_none() {
        return (best, false);
    }
    let charge_least = problem.suppliers.iter().map(|one| one.order).min().unwrap_or(0);
    let mut search = Search { problem, memo, best, left: work, charge_least };
    let mut assigned = Vec::new();
    let mut loads = problem.loads(&[]);
    let done = search.assign(&mut assigned, &mut loads);
    (search.best, done)
}

impl Search<'_, '_> {
    fn assign(&mut self, assigned: &mut Vec<usize>, loads: &mut [u64]) -> bool {
        let Some(left) = self.left.checked_sub(loads.len() as u64) else { return false };
        self.left = left;
        let everyone = self.problem.everyone();
        // Goods of an article never fall when it serves more.
        let mut goods = 0;
        for (article, load) in loads.iter().enumerate() {
            let Some(cost) = self.memo.goods(article, *load, everyone) else { return true };
            goods += cost;
        }
        if goods > 0 && goods + self.charge_least >= self.best.total {
            return true;
        }
        let Some(demand) = self.problem.demands.get(assigned.len()) else {
            return self.buy(assigned, loads);
        };
        for choice in &demand.choices {
            if let Some(load) = loads.get_mut(*choice) {
                *load += demand.pieces;
            }
            assigned.push(*choice);
            let done = self.assign(assigned, loads);
            assigned.pop();
            if let Some(load) = loads.get_mut(*choice) {
                *load -= demand.pieces;
            }
            if !done {
                return false;
            }
        }
        true
    }

    /// Chooses suppliers for the loads of an assignment.
    fn buy(&mut self, assigned: &[usize], loads: &[u64]) -> bool {
        let suppliers = self.problem.suppliers.len();
        let mut lines: Vec<Line> = Vec::new();
        for (article, load) in loads.iter().enumerate().filter(|(_, load)| **load > 0) {
            let mut ways = self.memo.covers(article, *load).to_vec();
            ways.sort_by_key(Cover::cost);
            lines.push(Line { article, ways, rest: 0, room: vec![0; suppliers] });
        }
        // Few ways first: they tell early which suppliers are used.
        lines.sort_by_key(|line| (line.ways.len(), -line.least(), line.article));
        let (mut rest, mut room) = (0, vec![0; suppliers]);
        for line in lines.iter_mut().rev() {
            rest += line.least();
            for (supplier, sum) in room.iter_mut().enumerate() {
                let parts = line.ways.iter().flat_map(Cover::parts).filter(|part| part.supplier == supplier);
                *sum += parts.map(|part| part.cost).max().unwrap_or(0);
            }
            line.rest = rest;
            line.room.clone_from(&room);
        }
        let mut covers = vec![None; loads.len()];
        let mut sums = vec![0; suppliers];
        self.cover(assigned, &lines, &mut covers, &mut sums)
    }

    /// Chooses suppliers line by line.
    fn cover(
        &mut self,
        assigned: &[usize],
        lines: &[Line],
        covers: &mut Vec<Option<Cover>>,
        sums: &mut [i64],
    ) -> bool {
        let Some(left) = self.left.checked_sub(1) else { return false };
        self.left = left;
        let Some((line, others)) = lines.split_first() else {
            let total = self.problem.billed(sums);
            if total < self.best.total {
                self.best = Plan { assigned: assigned.to_vec(), covers: covers.clone(), total };
            }
            return true;
        };
        if self.least(line, sums) >= self.best.total {
            return true;
        }
        for cover in &line.ways {
            add(sums, cover, 1);
            if let Some(slot) = covers.get_mut(line.article) {
                *slot = Some(*cover);
            }
            let done = self.cover(assigned, others, covers, sums);
            if let Some(slot) = covers.get_mut(line.article) {
                *slot = None;
            }
            add(sums, cover, -1);
            if !done {
                return false;
            }
        }
        true
    }

    /// What every choice for a line and those behind it comes to at least: what is missing to the minima of suppliers in use is
    /// filled by goods that are still to come, as far as they can, or billed.
    fn least(&self, line: &Line, sums: &[i64]) -> i64 {
        let (mut goods, mut charges, mut missing, mut unfilled) = (0, 0, 0, 0);
        for ((sum, charge), room) in sums.iter().zip(&self.problem.suppliers).zip(&line.room) {
            if *sum > 0 {
                goods += sum;
                charges += charge.order;
                missing += (charge.minimum - sum).max(0);
                unfilled += (charge.minimum - sum - room).max(0);
            }
        }
        goods + charges.max(self.charge_least) + missing.max(line.rest + unfilled)
    }
}

/// An article to be bought, with what those behind it come to.
struct Line {
    article: usize,
    /// Ways to buy it, the cheapest first.
    ways: Vec<Cover>,
    /// Least goods of this line and those behind it.
    rest: i64,
    /// Most goods of these lines by supplier.
    room: Vec<i64>,
}

impl Line {
    fn least(&self) -> i64 {
        self.ways.first().map_or(0, Cover::cost)
    }
}

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
            let mut covers = Vec::new();
            let mut sums = vec![0; self.problem.suppliers.len()];
            return self.cover(assigned, loads, &mut covers, &mut sums, goods);
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

    /// Chooses suppliers article by article; `rest` is the least that the articles left come to.
    fn cover(
        &mut self,
        assigned: &[usize],
        loads: &[u64],
        covers: &mut Vec<Option<Cover>>,
        sums: &mut [i64],
        rest: i64,
    ) -> bool {
        let Some(left) = self.left.checked_sub(1) else { return false };
        self.left = left;
        let billed = self.problem.billed(sums);
        let charges: i64 =
            sums.iter().zip(&self.problem.suppliers).filter(|one| *one.0 > 0).map(|one| one.1.order).sum();
        let least = billed.max(sums.iter().sum::<i64>() + rest + charges.max(self.charge_least));
        if least >= self.best.total {
            return true;
        }
        let Some(load) = loads.get(covers.len()) else {
            self.best = Plan { assigned: assigned.to_vec(), covers: covers.clone(), total: billed };
            return true;
        };
        let article = covers.len();
        if *load == 0 {
            covers.push(None);
            let done = self.cover(assigned, loads, covers, sums, rest);
            covers.pop();
            return done;
        }
        let mut ways = self.memo.covers(article, *load).to_vec();
        ways.sort_by_key(Cover::cost);
        let least = ways.first().map_or(0, Cover::cost);
        for cover in ways {
            add(sums, &cover, 1);
            covers.push(Some(cover));
            let done = self.cover(assigned, loads, covers, sums, rest - least);
            covers.pop();
            add(sums, &cover, -1);
            if !done {
                return false;
            }
        }
        true
    }
}

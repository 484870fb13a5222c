//! The cheapest plan that was found, and the bound below which none can lie.

use super::{
    bound::{self, Component},
    charges::Charged,
    exact, fill, improve,
    problem::{Memo, Plan, Problem},
};

/// How much work is spent; counted, so that the same question has the same answer on any machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Work of the search through every choice, in articles looked at.
    pub exact_steps: u64,
    /// Whether a bound is proven at all.
    pub bound: bool,
}

impl Default for Effort {
    fn default() -> Self {
        Self { exact_steps: 4_000_000, bound: true }
    }
}

impl Effort {
    /// A plan only; for comparisons.
    pub const QUICK: Self = Self { exact_steps: 0, bound: false };
}

/// A plan with its bound, in units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// The best plan found.
    pub plan: Plan,
    /// No plan costs less; `None` where none was sought.
    pub bound: Option<i64>,
}

/// Most suppliers with charges whose subsets are all tried.
const MOST_SUBSETS: usize = 5;
/// Proposals of prices for the bound with every supplier.
pub(super) const ROUNDS: usize = 60;

/// Plans a purchase, or names demands for which no assignment was found.
pub fn solve(problem: &Problem, effort: Effort) -> Result<Answer, Vec<usize>> {
    let mut memo = Memo::new(problem);
    let everyone = problem.everyone();
    let mut start = improve::first(problem, &mut memo, everyone)?;
    improve::descend(problem, &mut memo, &mut start, everyone);
    let mut best = Best { problem, planned: None, filled: None };
    best.keep(improve::finish(problem, &mut memo, &start, everyone, everyone));
    let designed: Vec<usize> =
        problem.demands.iter().map(|demand| demand.choices.first().copied().unwrap_or_default()).collect();
    attempt(problem, &mut memo, designed, everyone, &mut best);
    for allowed in improve::supplier_sets(problem, MOST_SUBSETS) {
        if let Ok(found) = improve::first(problem, &mut memo, allowed) {
            attempt(problem, &mut memo, found, allowed, &mut best);
        }
    }
    if !effort.bound {
        return best.filled.map(|plan| Answer { plan, bound: None }).ok_or_else(Vec::new);
    }
    let parts = bound::components(problem);
    let mut start = best.planned.as_ref().map_or(start, |plan| plan.assigned.clone());
    let root = bound_all(problem, &mut memo, &parts, Some(&mut start));
    attempt(problem, &mut memo, start, everyone, &mut best);
    let Some(planned) = best.planned.clone() else { return Err(Vec::new()) };
    let charged = root.map(|root| Charged::bound(problem, &mut memo, &parts, &root, planned.total));
    let mut least = charged.as_ref().map_or(0, |charged| charged.least);
    if let Some(Charged { weights: Some(weights), allowed, .. }) = charged {
        // Where the proof counts a supplier's goods for less, a list may do so too: its minimum is billed anyway.
        memo.weigh(Some(weights));
        attempt(problem, &mut memo, planned.assigned.clone(), allowed, &mut best);
        memo.weigh(None);
    }
    let planned = best.planned.clone().unwrap_or(planned);
    if least < planned.total && effort.exact_steps > 0 {
        let (closed, done) = exact::close(problem, &mut memo, planned, effort.exact_steps);
        if done {
            least = closed.total;
        }
        best.keep(Some(closed));
    }
    let Some(plan) = best.filled else { return Err(Vec::new()) };
    Ok(Answer { bound: Some(least.min(plan.total)), plan })
}

/// The best plan so far: as if every minimum were billed, and filled up where it is not.
struct Best<'p> {
    problem: &'p Problem,
    planned: Option<Plan>,
    filled: Option<Plan>,
}

impl Best<'_> {
    fn keep(&mut self, found: Option<Plan>) {
        let Some(found) = found else { return };
        let less = |known: &Option<Plan>, total| known.as_ref().is_none_or(|known| total < known.total);
        if let Some(filled) = fill::filled(self.problem, found.clone())
            && less(&self.filled, filled.total)
        {
            self.filled = Some(filled);
        }
        if less(&self.planned, found.total) {
            self.planned = Some(found);
        }
    }
}

/// Improves an assignment and keeps the plan if it is the best so far.
fn attempt(
    problem: &Problem,
    memo: &mut Memo<'_>,
    mut assigned: Vec<usize>,
    allowed: u32,
    best: &mut Best<'_>,
) {
    improve::descend(problem, memo, &mut assigned, allowed);
    let everyone = problem.everyone();
    best.keep(improve::finish(problem, memo, &assigned, allowed, everyone));
    // Where a supplier has a minimum, a plan that keeps to few suppliers may beat one that reaches out article by article.
    if allowed != everyone && problem.suppliers.iter().any(|one| one.minimum > 0) {
        best.keep(improve::finish(problem, memo, &assigned, allowed, allowed));
    }
}

/// Goods of some demands' articles under an assignment.
fn goods(
    problem: &Problem,
    memo: &mut Memo<'_>,
    part: &Component,
    assigned: &[usize],
    allowed: u32,
) -> Option<i64> {
    let loads = problem.loads(assigned);
    part.articles.iter().map(|one| memo.goods(*one, *loads.get(*one)?, allowed)).sum()
}

/// The bound with every supplier.
#[derive(Debug, Default)]
pub(super) struct Root {
    /// No goods cost less.
    pub(super) goods: i64,
    /// The prices that prove it, component by component.
    pub(super) prices: Vec<Vec<i64>>,
}

/// Least goods of everything with every supplier; improves the assignment on the way. `None` where they cannot.
fn bound_all(
    problem: &Problem,
    memo: &mut Memo<'_>,
    parts: &[Component],
    mut assigned: Option<&mut Vec<usize>>,
) -> Option<Root> {
    let allowed = problem.everyone();
    let mut root = Root { goods: unchosen(problem, memo, parts, allowed)?, prices: Vec::new() };
    for part in parts {
        let held = assigned.as_deref().and_then(|assigned| goods(problem, memo, part, assigned, allowed));
        let upper = held.unwrap_or(i64::MAX / 1_000_000);
        let search = bound::Search { allowed, upper, start: None, rounds: ROUNDS };
        let found = bound::bound(problem, memo, part, search)?;
        root.goods += found.bound;
        root.prices.push(found.prices);
        let Some(assigned) = assigned.as_deref_mut() else { continue };
        let mut least = held;
        for hint in found.hints.iter().rev().take(12) {
            let mut trial = assigned.clone();
            for (demand, article) in part.demands.iter().zip(hint) {
                if let Some(slot) = trial.get_mut(*demand) {
                    *slot = *article;
                }
            }
            improve::descend(problem, memo, &mut trial, allowed);
            if let Some(cost) = goods(problem, memo, part, &trial, allowed)
                && least.is_none_or(|least| cost < least)
            {
                least = Some(cost);
                *assigned = trial;
            }
        }
    }
    Some(root)
}

/// Goods of the articles that no choice concerns.
pub(super) fn unchosen(
    problem: &Problem,
    memo: &mut Memo<'_>,
    parts: &[Component],
    allowed: u32,
) -> Option<i64> {
    let mut chosen = vec![false; problem.articles.len()];
    for one in parts.iter().flat_map(|part| &part.articles) {
        if let Some(mark) = chosen.get_mut(*one) {
            *mark = true;
        }
    }
    let alone = problem.articles.iter().enumerate().zip(chosen).filter(|(_, chosen)| !chosen);
    alone.map(|((at, one), _)| memo.goods(at, one.base, allowed)).sum()
}

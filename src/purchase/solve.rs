//! The cheapest plan that was found, and the bound below which none can lie.

use super::{
    bound::{self, Component},
    breaks::bit,
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
/// Most suppliers whose charges are counted in the bound.
const MOST_CHARGING: usize = 12;
/// Most subsets of suppliers that are bounded one by one.
const MOST_BOUNDED: usize = 24;
/// Proposals of prices for the bound with every supplier.
const ROUNDS: usize = 60;
/// Demands from which a bound takes long.
const MANY_DEMANDS: usize = 60;
/// Proposals of prices for a subset of the suppliers then.
const FEW_ROUNDS: usize = 5;

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
    let mut least = root.map_or(0, |root| with_charges(problem, &mut memo, &parts, &root, planned.total));
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
    // A plan that would be refused leads nowhere: then one that keeps to its suppliers is wanted too.
    if allowed != everyone && problem.suppliers.iter().any(|one| one.refuses) {
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
struct Root {
    /// No goods cost less.
    goods: i64,
    /// The prices that prove it, component by component.
    prices: Vec<Vec<i64>>,
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

/// Least goods of everything with some suppliers, from the prices of all of them on. `None` where they cannot.
fn bound_some(
    problem: &Problem,
    memo: &mut Memo<'_>,
    parts: &[Component],
    allowed: u32,
    root: &Root,
) -> Option<i64> {
    let rounds = if problem.demands.len() < MANY_DEMANDS { ROUNDS } else { FEW_ROUNDS };
    let mut sum = unchosen(problem, memo, parts, allowed)?;
    for (part, prices) in parts.iter().zip(&root.prices) {
        let start = (prices.len() == part.demands.len()).then_some(prices.as_slice());
        let search = bound::Search { allowed, upper: i64::MAX / 1_000_000, start, rounds };
        sum += bound::bound(problem, memo, part, search)?.bound;
    }
    Some(sum)
}

/// Goods of the articles that no choice concerns.
fn unchosen(problem: &Problem, memo: &mut Memo<'_>, parts: &[Component], allowed: u32) -> Option<i64> {
    let mut chosen = vec![false; problem.articles.len()];
    for one in parts.iter().flat_map(|part| &part.articles) {
        if let Some(mark) = chosen.get_mut(*one) {
            *mark = true;
        }
    }
    let alone = problem.articles.iter().enumerate().zip(chosen).filter(|(_, chosen)| !chosen);
    alone.map(|((at, one), _)| memo.goods(at, one.base, allowed)).sum()
}

/// Suppliers of which each that charges is used, and what that costs at least.
#[derive(Clone, Copy, Debug)]
struct Set {
    /// Those that charge, by their place among them.
    used: u32,
    /// Everyone that may be used.
    allowed: u32,
    /// Their order charges.
    order: i64,
    /// Their minimum order values.
    minimum: i64,
    /// No goods cost less.
    goods: i64,
    /// Whether that was reckoned for this very set.
    reckoned: bool,
}

impl Set {
    fn least(&self) -> i64 {
        self.order.saturating_add(self.goods.max(self.minimum))
    }
}

/// The bound with the charges of suppliers: the least over every set of suppliers that might be used.
///
/// The set that might be cheapest is reckoned next, until that has been or work runs out; what is known of a set holds for each
/// of its subsets, since fewer suppliers never make goods cheaper.
fn with_charges(problem: &Problem, memo: &mut Memo<'_>, parts: &[Component], root: &Root, total: i64) -> i64 {
    let charging = problem.charging();
    if charging.is_empty() || charging.len() > MOST_CHARGING {
        return root.goods;
    }
    let free = problem.everyone() & !charging.iter().fold(0, |mask, one| mask | bit(*one));
    let mut sets: Vec<Set> = Vec::new();
    for used in 0..(1u32 << charging.len()) {
        let own = || charging.iter().enumerate().filter(|(at, _)| used & bit(*at) != 0).map(|one| *one.1);
        sets.push(Set {
            used,
            allowed: own().fold(free, |mask, one| mask | bit(one)),
            order: own().map(|one| problem.charge(one).order).sum(),
            minimum: own().map(|one| problem.charge(one).minimum).sum(),
            goods: root.goods,
            reckoned: used + 1 == 1u32 << charging.len(),
        });
    }
    for _ in 0..MOST_BOUNDED {
        let Some(next) = sets.iter().min_by_key(|set| (set.least(), set.used)).copied() else { break };
        if next.reckoned || next.least() >= total {
            break;
        }
        let goods = bound_some(problem, memo, parts, next.allowed, root).unwrap_or(i64::MAX / 1_000_000);
        for set in sets.iter_mut().filter(|set| set.used & !next.used == 0) {
            set.goods = set.goods.max(goods);
            set.reckoned |= set.used == next.used;
        }
    }
    sets.iter().map(Set::least).min().unwrap_or(root.goods).min(total)
}

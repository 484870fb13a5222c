//! The cheapest plan that was found, and the bound below which none can lie.

use super::{
    bound::{self, Component},
    breaks::bit,
    exact, improve,
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
/// Most subsets of suppliers that are bounded one by one; few, where a bound takes long.
const MOST_BOUNDED: usize = 24;
/// Demands from which a bound takes long.
const MANY_DEMANDS: usize = 60;
/// Most subsets that are bounded then.
const FEW_BOUNDED: usize = 1;

/// Plans a purchase, or names demands for which no assignment was found.
pub fn solve(problem: &Problem, effort: Effort) -> Result<Answer, Vec<usize>> {
    let mut memo = Memo::new(problem);
    let everyone = problem.everyone();
    let mut start = improve::first(problem, &mut memo, everyone)?;
    improve::descend(problem, &mut memo, &mut start, everyone);
    let mut best: Option<Plan> = None;
    keep(&mut best, improve::finish(problem, &mut memo, &start, everyone));
    let designed: Vec<usize> =
        problem.demands.iter().map(|demand| demand.choices.first().copied().unwrap_or_default()).collect();
    attempt(problem, &mut memo, designed, everyone, &mut best);
    for allowed in improve::supplier_sets(problem, MOST_SUBSETS) {
        if let Ok(found) = improve::first(problem, &mut memo, allowed) {
            attempt(problem, &mut memo, found, allowed, &mut best);
        }
    }
    if !effort.bound {
        return best.map(|plan| Answer { plan, bound: None }).ok_or_else(Vec::new);
    }
    let parts = bound::components(problem);
    let mut start = best.as_ref().map_or(start, |plan| plan.assigned.clone());
    let root = bound_goods(problem, &mut memo, &parts, everyone, Some(&mut start)).unwrap_or(0);
    attempt(problem, &mut memo, start, everyone, &mut best);
    let Some(mut plan) = best else { return Err(Vec::new()) };
    let mut least = with_charges(problem, &mut memo, &parts, root, plan.total);
    if least < plan.total && effort.exact_steps > 0 {
        let (closed, done) = exact::close(problem, &mut memo, plan, effort.exact_steps);
        plan = closed;
        if done {
            least = plan.total;
        }
    }
    Ok(Answer { bound: Some(least.min(plan.total)), plan })
}

fn keep(best: &mut Option<Plan>, found: Option<Plan>) {
    if let Some(found) = found
        && best.as_ref().is_none_or(|known| found.total < known.total)
    {
        *best = Some(found);
    }
}

/// Improves an assignment and keeps the plan if it is the best so far.
fn attempt(
    problem: &Problem,
    memo: &mut Memo<'_>,
    mut assigned: Vec<usize>,
    allowed: u32,
    best: &mut Option<Plan>,
) {
    improve::descend(problem, memo, &mut assigned, allowed);
    keep(best, improve::finish(problem, memo, &assigned, allowed));
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

/// Least goods of everything with the given suppliers; improves the assignment on the way. `None` where they cannot.
fn bound_goods(
    problem: &Problem,
    memo: &mut Memo<'_>,
    parts: &[Component],
    allowed: u32,
    mut assigned: Option<&mut Vec<usize>>,
) -> Option<i64> {
    let mut chosen = vec![false; problem.articles.len()];
    let mut sum = 0;
    for part in parts {
        for one in &part.articles {
            if let Some(mark) = chosen.get_mut(*one) {
                *mark = true;
            }
        }
        let held = assigned.as_deref().and_then(|assigned| goods(problem, memo, part, assigned, allowed));
        let upper = held.unwrap_or(i64::MAX / 1_000_000);
        let found = bound::bound(problem, memo, part, allowed, upper)?;
        sum += found.bound;
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
    for (article, one) in problem.articles.iter().enumerate() {
        if !chosen.get(article).copied().unwrap_or(false) {
            sum += memo.goods(article, one.base, allowed)?;
        }
    }
    Some(sum)
}

/// The bound with the charges of suppliers: the least over every set of suppliers that might be used.
fn with_charges(problem: &Problem, memo: &mut Memo<'_>, parts: &[Component], root: i64, total: i64) -> i64 {
    let charging = problem.charging();
    if charging.is_empty() || charging.len() > MOST_CHARGING {
        return root;
    }
    let free = problem.everyone() & !charging.iter().fold(0, |mask, one| mask | bit(*one));
    let mut sets: Vec<(i64, i64, i64, u32)> = Vec::new();
    for number in 0..(1u32 << charging.len()) {
        let used: Vec<usize> =
            charging.iter().enumerate().filter(|(at, _)| number & bit(*at) != 0).map(|one| *one.1).collect();
        let order: i64 = used.iter().map(|one| problem.charge(*one).order).sum();
        let minimum: i64 = used.iter().map(|one| problem.charge(*one).minimum).sum();
        let allowed = used.iter().fold(free, |mask, one| mask | bit(*one));
        sets.push((order + root.max(minimum), order, minimum, allowed));
    }
    sets.sort_unstable();
    let mut least = total;
    let mut worked = 0;
    let most = if problem.demands.len() < MANY_DEMANDS { MOST_BOUNDED } else { FEW_BOUNDED };
    for (known, order, minimum, allowed) in sets {
        if known >= least {
            break;
        }
        let mut value = known;
        if worked < most {
            worked += 1;
            value = bound_goods(problem, memo, parts, allowed, None)
                .map_or(total, |goods| order + goods.max(root).max(minimum));
        }
        least = least.min(value);
    }
    least
}

//! The bound with what suppliers charge: order charges, and goods billed at a minimum value.
//!
//! For a set of suppliers that are used, any share `w` of a supplier's goods may be counted beside the rest of its minimum:
//! `max(minimum, goods) ≥ w · goods + (1 − w) · minimum` for `w` from 0 to 1. Derivation: `DEVELOPERS.md`, "Orders".

use super::{
    bound::{self, Component},
    breaks::bit,
    problem::{Memo, Problem, WHOLE},
    solve::{ROUNDS, Root, unchosen},
};

/// Most suppliers whose charges are counted.
const MOST_CHARGING: usize = 12;
/// Most subsets of suppliers that are bounded one by one.
const MOST_BOUNDED: usize = 24;
/// Demands from which a bound takes long.
const MANY_DEMANDS: usize = 60;
/// Proposals of prices for a subset of the suppliers then.
const FEW_ROUNDS: usize = 5;
/// Minima below one part in so many of the goods are not worth a bound of their own.
const SMALL_MINIMUM: i64 = 100;
/// Shares of a supplier's goods that are tried, in parts of the whole.
const SHARES: [i64; 3] = [0, 4, 6];
/// No list costs that much.
const NEVER: i64 = i64::MAX / 1_000_000;

/// What was proven.
#[derive(Clone, Debug)]
pub(super) struct Charged {
    /// No list costs less.
    pub(super) least: i64,
    /// Shares of goods that prove it, where a minimum counts.
    pub(super) weights: Option<Vec<i64>>,
    /// The suppliers of the set that might be cheapest.
    pub(super) allowed: u32,
}

/// Suppliers of which each that charges is used, and what that costs at least.
#[derive(Clone, Debug)]
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
    /// No list of this very set costs less, charges included.
    floor: i64,
    /// Shares that prove the floor.
    weights: Option<Vec<i64>>,
    /// Whether all that was reckoned for this very set.
    reckoned: bool,
}

impl Set {
    fn least(&self) -> i64 {
        self.order.saturating_add(self.goods.max(self.minimum)).max(self.floor)
    }
}

impl Charged {
    /// The least over every set of suppliers that might be used.
    ///
    /// The set that might be cheapest is reckoned next, until that has been or work runs out; what is known of the goods of a
    /// set holds for each of its subsets, since fewer suppliers never make goods cheaper.
    pub(super) fn bound(
        problem: &Problem,
        memo: &mut Memo<'_>,
        parts: &[Component],
        root: &Root,
        total: i64,
    ) -> Self {
        let charging = problem.charging();
        if charging.is_empty() || charging.len() > MOST_CHARGING {
            return Self { least: root.goods.min(total), weights: None, allowed: problem.everyone() };
        }
        let mut sets = sets(problem, &charging, root.goods);
        for _ in 0..MOST_BOUNDED {
            let Some(next) = sets.iter().min_by_key(|set| (set.least(), set.used)).cloned() else { break };
            if next.reckoned || next.least() >= total {
                break;
            }
            let everyone = next.used + 1 == 1u32 << charging.len();
            let goods = if everyone {
                root.goods
            } else {
                some(problem, memo, parts, next.allowed, root).unwrap_or(NEVER)
            };
            for set in sets.iter_mut().filter(|set| set.used & !next.used == 0) {
                set.goods = set.goods.max(goods);
            }
            let Some(set) = sets.iter_mut().find(|set| set.used == next.used) else { break };
            set.reckoned = true;
            if set.least() < total && set.minimum > set.goods / SMALL_MINIMUM {
                shared(problem, memo, parts, root, set);
            }
        }
        let least = sets.iter().min_by_key(|set| (set.least(), set.used));
        least.map_or(Self { least: 0, weights: None, allowed: problem.everyone() }, |set| Self {
            least: set.least().min(total),
            weights: set.weights.clone(),
            allowed: set.allowed,
        })
    }
}

/// Every set of suppliers that charge, each with everyone that does not.
fn sets(problem: &Problem, charging: &[usize], goods: i64) -> Vec<Set> {
    let free = problem.everyone() & !charging.iter().fold(0, |mask, one| mask | bit(*one));
    let set = |used: u32| {
        let own = || charging.iter().enumerate().filter(|(at, _)| used & bit(*at) != 0).map(|one| *one.1);
        Set {
            used,
            allowed: own().fold(free, |mask, one| mask | bit(one)),
            order: own().map(|one| problem.charge(one).order).sum(),
            minimum: own().map(|one| problem.charge(one).minimum).sum(),
            goods,
            floor: 0,
            weights: None,
            reckoned: false,
        }
    };
    (0..(1u32 << charging.len())).map(set).collect()
}

/// Raises the floor of a set by counting goods of suppliers with a minimum for less, one supplier after the other.
fn shared(problem: &Problem, memo: &mut Memo<'_>, parts: &[Component], root: &Root, set: &mut Set) {
    let own = |at: &usize| set.allowed & bit(*at) != 0 && problem.charge(*at).minimum > 0;
    let mut suppliers: Vec<usize> = (0..problem.suppliers.len()).filter(own).collect();
    suppliers.sort_by_key(|at| (-problem.charge(*at).minimum, *at));
    let mut weights = vec![WHOLE; problem.suppliers.len()];
    let mut best = set.least();
    for supplier in suppliers {
        for share in SHARES {
            let mut tried = weights.clone();
            if let Some(weight) = tried.get_mut(supplier) {
                *weight = share;
            }
            let rest: i64 = tried
                .iter()
                .enumerate()
                .map(|(at, weight)| problem.charge(at).minimum * (WHOLE - weight) / WHOLE)
                .sum();
            memo.weigh(Some(tried.clone()));
            let goods = some(problem, memo, parts, set.allowed, root);
            memo.weigh(None);
            let value = goods.map_or(NEVER, |goods| set.order + rest + goods);
            if value > best {
                best = value;
                weights = tried;
                set.weights = Some(weights.clone());
            }
        }
    }
    set.floor = best;
}

/// Least goods of everything with some suppliers, from the prices of all of them on. `None` where they cannot.
fn some(
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
        let search = bound::Search { allowed, upper: NEVER, start, rounds };
        sum += bound::bound(problem, memo, part, search)?.bound;
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use crate::purchase::{
        breaks::{Source, Step},
        problem::{Article, Charge, Problem},
        solve::{Effort, solve},
    };

    fn article(prices: &[(usize, i64)]) -> Article {
        let source = |(supplier, each): &(usize, i64)| Source {
            supplier: *supplier,
            pack: 1,
            steps: vec![Step { low: 1, high: 10, each: *each }],
        };
        Article { sources: prices.iter().map(source).collect(), spare_ppm: 0, base: 1 }
    }

    /// By hand: one article comes from supplier 0 alone at 20, one from supplier 1 alone at 200, one from 0 at 60 or 1 at 50.
    /// Supplier 0 bills at least 100: its goods are 80 with the third article, so 100 and 200 it is. Goods alone tell 270.
    #[test]
    fn a_minimum_that_goods_do_not_reach_is_counted_in_full() {
        let problem = Problem {
            articles: vec![article(&[(0, 20)]), article(&[(1, 200)]), article(&[(0, 60), (1, 50)])],
            demands: Vec::new(),
            suppliers: vec![Charge { order: 0, minimum: 100, refuses: false }, Charge::default()],
        };
        let answer = solve(&problem, Effort { exact_steps: 0, bound: true }).unwrap();
        assert_eq!((answer.plan.total, answer.bound), (300, Some(300)));
    }
}

//! A lower bound on the goods: no list of parts is cheaper, whatever the articles chosen.
//!
//! Each demand is given a price `π`; an article then serves whatever set of demands makes it cheapest, found by dynamic
//! programming over its pieces, and the bound is `Σ π + Σ min (goods of the set − its prices)`. It holds for any prices: the
//! linear programme only proposes them, and whole-number arithmetic proves the bound. Derivation: `DEVELOPERS.md`, "Orders".

use good_lp::{Expression, Solution, SolverModel, constraint, microlp, variable, variables};

use super::problem::{Memo, Problem};

/// Most cells of one dynamic programme; an article that asks more is bounded without choice of prices.
const MOST_CELLS: usize = 6_000_000;
/// How far prices move from the best known towards those proposed, in percent: small steps keep them from swinging.
const STEP_PERCENT: i64 = 20;
/// Demands up to which the bound is followed to its very end.
const FEW_DEMANDS: usize = 30;
/// Part of the bound, one in so many, that is not worth another round where there are more.
const SMALL_PART: i64 = 4000;
/// No subset has this sum.
const NEVER: i64 = i64::MIN / 4;

/// Demands and articles that hang together through choices.
#[derive(Clone, Debug, Default)]
pub(super) struct Component {
    /// Demands.
    pub(super) demands: Vec<usize>,
    /// Articles.
    pub(super) articles: Vec<usize>,
}

/// What was found about a component.
#[derive(Clone, Debug, Default)]
pub(super) struct Bounded {
    /// Nothing is cheaper, in units.
    pub(super) bound: i64,
    /// Assignments that the prices suggest: article of each demand of the component, newest last.
    pub(super) hints: Vec<Vec<usize>>,
    /// The prices that prove it.
    pub(super) prices: Vec<i64>,
}

/// Splits the choices into components, in order of their first demand.
pub(super) fn components(problem: &Problem) -> Vec<Component> {
    let mut of_article: Vec<Option<usize>> = vec![None; problem.articles.len()];
    let mut all: Vec<Component> = Vec::new();
    for (at, demand) in problem.demands.iter().enumerate() {
        let mut met: Vec<usize> =
            demand.choices.iter().filter_map(|one| of_article.get(*one).copied().flatten()).collect();
        met.sort_unstable();
        met.dedup();
        let mut joined = Component { demands: vec![at], articles: demand.choices.clone() };
        for old in met {
            if let Some(old) = all.get_mut(old) {
                joined.demands.append(&mut old.demands);
                joined.articles.append(&mut old.articles);
            }
        }
        joined.demands.sort_unstable();
        joined.articles.sort_unstable();
        joined.articles.dedup();
        for one in &joined.articles {
            if let Some(slot) = of_article.get_mut(*one) {
                *slot = Some(all.len());
            }
        }
        all.push(joined);
    }
    all.retain(|one| !one.demands.is_empty());
    all.sort_by_key(|one| one.demands.first().copied());
    all
}

/// Goods of one article by the pieces of choice it serves.
#[derive(Debug)]
struct Table {
    article: usize,
    /// Demands by their place in the component, with their pieces in steps.
    items: Vec<(usize, usize)>,
    /// Goods of base and so many steps; `None` where they cannot be had.
    costs: Vec<Option<i64>>,
}

/// A set of demands served by an article.
#[derive(Clone, Debug, PartialEq)]
struct Cut {
    table: usize,
    cost: i64,
    set: Vec<usize>,
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Table {
    fn new(
        problem: &Problem,
        memo: &mut Memo<'_>,
        component: &Component,
        article: usize,
        allowed: u32,
    ) -> Option<Self> {
        let mut items = Vec::new();
        for (place, demand) in component.demands.iter().enumerate() {
            if let Some(demand) = problem.demands.get(*demand)
                && demand.choices.contains(&article)
            {
                items.push((place, demand.pieces));
            }
        }
        let unit = items.iter().fold(0, |unit, (_, pieces)| gcd(unit, *pieces)).max(1);
        let steps = items.iter().map(|(_, pieces)| pieces / unit).sum::<u64>();
        let steps = usize::try_from(steps).ok()?;
        if steps.checked_add(1)?.checked_mul(items.len().max(1))? > MOST_CELLS {
            return None;
        }
        let items = items
            .into_iter()
            .map(|(place, pieces)| Some((place, usize::try_from(pieces / unit).ok()?)))
            .collect::<Option<Vec<_>>>()?;
        let base = problem.articles.get(article)?.base;
        let sums = reachable(&items, steps);
        let costs = sums
            .iter()
            .enumerate()
            .map(|(step, can)| can.then(|| memo.goods(article, base + step as u64 * unit, allowed)).flatten())
            .collect();
        Some(Self { article, items, costs })
    }

    /// The set of demands that makes `goods − prices` least.
    fn cheapest(&self, prices: &[i64]) -> Option<(i64, i64, Vec<usize>)> {
        let width = self.costs.len();
        let mut best = vec![NEVER; width];
        *best.first_mut()? = 0;
        let mut taken = vec![false; width * self.items.len()];
        for ((place, steps), row) in self.items.iter().zip(taken.chunks_mut(width)) {
            let price = prices.get(*place).copied().unwrap_or(0);
            for to in (*steps..width).rev() {
                let with = best.get(to - steps).copied().unwrap_or(NEVER) + price;
                if let (Some(known), Some(mark)) = (best.get_mut(to), row.get_mut(to))
                    && with > *known
                    && with > NEVER / 2
                {
                    *known = with;
                    *mark = true;
                }
            }
        }
        let (least, mut at, cost) = best
            .iter()
            .zip(&self.costs)
            .enumerate()
            .filter_map(|(at, (gain, cost))| {
                (*gain > NEVER / 2).then_some((cost.as_ref()? - gain, at, (*cost)?))
            })
            .min()?;
        let mut set = Vec::new();
        for ((place, steps), row) in self.items.iter().zip(taken.chunks(width)).rev() {
            if row.get(at).copied().unwrap_or(false) {
                set.push(*place);
                at -= steps;
            }
        }
        set.reverse();
        Some((least, cost, set))
    }
}

fn reachable(items: &[(usize, usize)], steps: usize) -> Vec<bool> {
    let mut can = vec![false; steps + 1];
    if let Some(first) = can.first_mut() {
        *first = true;
    }
    for (_, step) in items {
        for to in (*step..=steps).rev() {
            if can.get(to - step).copied().unwrap_or(false)
                && let Some(slot) = can.get_mut(to)
            {
                *slot = true;
            }
        }
    }
    can
}

/// How a bound is sought.
#[derive(Clone, Copy, Debug)]
pub(super) struct Search<'s> {
    /// Suppliers that may be used.
    pub(super) allowed: u32,
    /// Cost that is known to be reached: no bound above it is worth any work.
    pub(super) upper: i64,
    /// Prices to begin with beside those by the least cost of a piece.
    pub(super) start: Option<&'s [i64]>,
    /// Most proposals of prices.
    pub(super) rounds: usize,
}

/// Bounds the goods of a component from below; `None` where the suppliers cannot serve it.
pub(super) fn bound(
    problem: &Problem,
    memo: &mut Memo<'_>,
    component: &Component,
    search: Search<'_>,
) -> Option<Bounded> {
    let mut tables = Vec::new();
    for article in &component.articles {
        match Table::new(problem, memo, component, *article, search.allowed) {
            Some(table) => tables.push(table),
            // Too large to reckon: what must be bought of the article anyway is all that counts.
            None => {
                return fixed_goods(problem, memo, component, search.allowed)
                    .map(|bound| Bounded { bound, ..Bounded::default() });
            }
        }
    }
    // A demand that no article can serve alone cannot be served at all.
    let most: Vec<i64> = (0..component.demands.len())
        .map(|place| dearest(problem, memo, component, place, search.allowed))
        .collect::<Option<_>>()?;
    let mut cuts = first_cuts(&tables)?;
    let mut found = Bounded { bound: i64::MIN, ..Bounded::default() };
    let mut waiting: Vec<Vec<i64>> = search.start.map(<[i64]>::to_vec).into_iter().collect();
    let mut prices = by_ratio(component, &tables);
    for round in 0..search.rounds.max(1) {
        let mut value: i64 = prices.iter().sum();
        let mut fresh = false;
        let mut served = vec![None; prices.len()];
        for (at, table) in tables.iter().enumerate() {
            let (least, cost, set) = table.cheapest(&prices)?;
            value += least;
            for place in &set {
                if let Some(slot) = served.get_mut(*place) {
                    *slot = slot.or(Some(table.article));
                }
            }
            let cut = Cut { table: at, cost, set };
            if !cuts.contains(&cut) {
                cuts.push(cut);
                fresh = true;
            }
        }
        if value > found.bound || round < 4 {
            found.hints.push(hint(problem, component, &served));
        }
        if value > found.bound {
            found.bound = value;
            found.prices.clone_from(&prices);
        }
        if found.bound >= search.upper || round + 1 >= search.rounds {
            break;
        }
        if let Some(next) = waiting.pop() {
            prices = next;
            continue;
        }
        let Some((next, reachable)) = propose(&most, tables.len(), &cuts) else { break };
        let small = if component.demands.len() > FEW_DEMANDS { found.bound / SMALL_PART } else { 0 };
        if reachable - found.bound <= small {
            break;
        }
        // Where the sets found so far hold nothing new near the best prices, those proposed are tried themselves.
        prices = if fresh { towards(&found.prices, &next) } else { next };
    }
    Some(found)
}

/// Prices a step from the best towards others.
fn towards(best: &[i64], next: &[i64]) -> Vec<i64> {
    best.iter().zip(next).map(|(from, to)| from + (to - from) * STEP_PERCENT / 100).collect()
}

/// The most that one demand can cost by itself, with the dearest article that serves it.
fn dearest(
    problem: &Problem,
    memo: &mut Memo<'_>,
    component: &Component,
    place: usize,
    allowed: u32,
) -> Option<i64> {
    let demand = problem.demands.get(component.demands.get(place).copied()?)?;
    let mut most = None;
    for article in &demand.choices {
        let base = problem.articles.get(*article)?.base;
        most = most.max(memo.goods(*article, base + demand.pieces, allowed));
    }
    most
}

/// The sets to begin with: nothing, each demand alone, all that an article can serve.
fn first_cuts(tables: &[Table]) -> Option<Vec<Cut>> {
    let mut cuts = Vec::new();
    for (at, table) in tables.iter().enumerate() {
        cuts.push(Cut { table: at, cost: table.costs.first().copied().flatten()?, set: Vec::new() });
        for (place, steps) in &table.items {
            if let Some(cost) = table.costs.get(*steps).copied().flatten() {
                cuts.push(Cut { table: at, cost, set: vec![*place] });
            }
        }
        if let Some(cost) = table.costs.last().copied().flatten() {
            cuts.push(Cut { table: at, cost, set: table.items.iter().map(|item| item.0).collect() });
        }
    }
    Some(cuts)
}

/// Goods of what must be bought whatever is chosen.
pub(super) fn fixed_goods(
    problem: &Problem,
    memo: &mut Memo<'_>,
    component: &Component,
    allowed: u32,
) -> Option<i64> {
    let cost = |one: &usize| memo.goods(*one, problem.articles.get(*one)?.base, allowed);
    component.articles.iter().map(cost).sum()
}

/// Prices by the least cost of a piece: an article never earns anything by them.
fn by_ratio(component: &Component, tables: &[Table]) -> Vec<i64> {
    let mut prices = vec![i64::MAX; component.demands.len()];
    for table in tables {
        let base = table.costs.first().copied().flatten().unwrap_or(0);
        let least = table
            .costs
            .iter()
            .enumerate()
            .skip(1)
            .filter_map(|(steps, cost)| Some(((*cost)? - base, i64::try_from(steps).ok()?)))
            .min_by(|a, b| (i128::from(a.0) * i128::from(b.1)).cmp(&(i128::from(b.0) * i128::from(a.1))));
        let Some((cost, steps)) = least else { continue };
        for (place, own) in &table.items {
            let share = i128::from(cost) * (*own as i128) / i128::from(steps);
            if let (Some(price), Ok(share)) = (prices.get_mut(*place), i64::try_from(share)) {
                *price = (*price).min(share);
            }
        }
    }
    prices.iter().map(|price| if *price == i64::MAX { 0 } else { *price }).collect()
}

/// What the sets suggest: who serves a demand, else its first choice.
fn hint(problem: &Problem, component: &Component, served: &[Option<usize>]) -> Vec<usize> {
    let choose = |(demand, served): (&usize, &Option<usize>)| {
        served.or_else(|| problem.demands.get(*demand)?.choices.first().copied()).unwrap_or_default()
    };
    component.demands.iter().zip(served).map(choose).collect()
}

/// The prices that make the bound greatest as far as the known sets tell, and the most that it can reach.
fn propose(most: &[i64], tables: usize, cuts: &[Cut]) -> Option<(Vec<i64>, i64)> {
    let scale = (most.iter().map(|one| *one as f64).sum::<f64>() / 1e3).max(1.0);
    let widest: f64 = most.iter().map(|one| *one as f64 / scale).sum::<f64>() + 1.0;
    variables! { unknowns: }
    let prices: Vec<_> =
        most.iter().map(|one| unknowns.add(variable().min(0.0).max(*one as f64 / scale))).collect();
    let gains: Vec<_> = (0..tables).map(|_| unknowns.add(variable().min(-widest).max(1e6))).collect();
    let objective: Expression = prices.iter().chain(&gains).map(|one| Expression::from(*one)).sum();
    let mut model = unknowns.maximise(objective).using(microlp);
    for cut in cuts {
        let mut left = Expression::from(*gains.get(cut.table)?);
        for place in &cut.set {
            left += *prices.get(*place)?;
        }
        model = model.with(constraint!(left <= cut.cost as f64 / scale));
    }
    let solved = model.solve().ok()?;
    let whole = |value: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "any whole number is a valid price")]
        let whole = if value.is_finite() { (value * scale).round() as i64 } else { 0 };
        whole.clamp(0, i64::MAX / 1_000_000)
    };
    let reachable = prices.iter().chain(&gains).map(|one| solved.value(*one)).sum();
    Some((prices.iter().map(|one| whole(solved.value(*one))).collect(), whole(reachable)))
}

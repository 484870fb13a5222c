//! The integer programme: one column for each rail, and for each shared part one order that covers what the columns take.
//!
//! Plain numbers: knows neither parts nor circuits. Solved by the solver behind `good_lp`, and once more by trying every
//! combination that a bound does not rule out, which settles ties.

use good_lp::{
    Expression, Solution, SolverModel, Variable, constraint, microlp, variable, variables as variables_of,
};

/// One way to build one rail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Column {
    /// What it costs whatever the other rails take.
    pub cost: f64,
    /// Items that other rails may share, and how many pieces of each; every item once.
    pub uses: Vec<(usize, u32)>,
}

/// What is to be chosen: one column a rail, cheapest in all.
#[derive(Clone, Debug, Default)]
pub struct Programme {
    /// Columns of each rail; of equal total cost the earlier columns win, the first rail first.
    pub rails: Vec<Vec<Column>>,
    /// Of each item the cost of `0, 1, 2, …` pieces a supply; infinite where nobody delivers them. Never falls.
    pub orders: Vec<Vec<f64>>,
    /// Combinations that are not to be chosen.
    pub cuts: Vec<Vec<usize>>,
}

/// An answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Column of each rail.
    pub columns: Vec<usize>,
    /// What they cost together.
    pub cost: f64,
    /// Whether nothing costs less.
    pub proven: bool,
}

/// Two costs nearer than this are equal.
pub const TIE: f64 = 1e-9;
/// What the solver may be off, relative to the cost.
const SOLVER_TOLERANCE: f64 = 1e-6;
/// Most binary variables that are handed to the solver: beyond, it has been seen to find nothing for long.
const BINARIES_MAX: usize = 1500;
/// Combinations that the second method tries at most.
const TRIES_MAX: u64 = 5_000_000;

impl Programme {
    /// Cost of a combination; infinite where a shared order cannot be delivered.
    pub fn cost(&self, columns: &[usize]) -> f64 {
        let mut pieces = vec![0usize; self.orders.len()];
        let mut cost = 0.0;
        for (rail, index) in self.rails.iter().zip(columns) {
            let Some(column) = rail.get(*index) else { return f64::INFINITY };
            cost += column.cost;
            for &(item, count) in &column.uses {
                if let Some(total) = pieces.get_mut(item) {
                    *total += count as usize;
                }
            }
        }
        cost + pieces.iter().enumerate().map(|(item, total)| self.order(item, *total)).sum::<f64>()
    }

    fn order(&self, item: usize, pieces: usize) -> f64 {
        if pieces == 0 {
            return 0.0;
        }
        self.orders.get(item).and_then(|costs| costs.get(pieces)).copied().unwrap_or(f64::INFINITY)
    }

    /// Least that a column can come to: each of its pieces at the least price of any order.
    fn least(&self, column: &Column) -> f64 {
        let shared: f64 = column
            .uses
            .iter()
            .map(|&(item, count)| {
                let each = (count as usize..self.orders.get(item).map_or(0, Vec::len))
                    .map(|pieces| self.order(item, pieces) / pieces as f64)
                    .fold(f64::INFINITY, f64::min);
                f64::from(count) * each
            })
            .sum();
        column.cost + shared
    }

    /// The cheapest combination; `None` where there is none.
    ///
    /// The solver's answer bounds the trials, and the trials choose among what costs the same. Where the programme is too
    /// large for either, what was found is not said to be proven.
    pub fn solve(&self) -> Option<Answer> {
        let solved = self.by_solver();
        self.by_trial(solved.as_ref())
    }

    /// By the integer programme; `None` where it is too large, or has no solution.
    pub fn by_solver(&self) -> Option<Answer> {
        let columns: usize = self.rails.iter().map(Vec::len).sum();
        let totals = self.totals();
        let binaries = columns + totals.iter().map(Vec::len).sum::<usize>();
        if binaries > BINARIES_MAX || self.rails.iter().any(Vec::is_empty) {
            return None;
        }
        let mut vars = variables_of!();
        let binary = || variable().binary();
        let chosen: Vec<Vec<Variable>> =
            self.rails.iter().map(|rail| rail.iter().map(|_| vars.add(binary())).collect()).collect();
        // Ordered: so many pieces a supply of an item, whole build, spares, packs and minimum order within its price.
        let ordered: Vec<Vec<(usize, Variable)>> = totals
            .iter()
            .map(|totals| totals.iter().map(|&pieces| (pieces, vars.add(binary()))).collect())
            .collect();
        let goal = self.goal(&chosen, &ordered);
        let mut model = vars.minimise(goal.clone()).using(microlp);
        for variables in &chosen {
            let sum: Expression = variables.iter().copied().map(Expression::from).sum();
            model = model.with(constraint!(sum == 1.0));
        }
        for (item, levels) in ordered.iter().enumerate() {
            let one: Expression = levels.iter().map(|(_, variable)| Expression::from(*variable)).sum();
            let mut covered: Expression =
                levels.iter().map(|&(pieces, variable)| pieces as f64 * variable).sum();
            for (rail, variables) in self.rails.iter().zip(&chosen) {
                for (column, variable) in rail.iter().zip(variables) {
                    if let Some((_, count)) = column.uses.iter().find(|(used, _)| *used == item) {
                        covered -= f64::from(*count) * *variable;
                    }
                }
            }
            model = model.with(constraint!(one <= 1.0)).with(constraint!(covered >= 0.0));
        }
        for cut in &self.cuts {
            let of_cut = chosen.iter().zip(cut).filter_map(|(rail, index)| rail.get(*index));
            let sum: Expression = of_cut.copied().map(Expression::from).sum();
            let most = self.rails.len().saturating_sub(1) as f64;
            model = model.with(constraint!(sum <= most));
        }
        let solution = model.solve().ok()?;
        let columns: Option<Vec<usize>> = chosen
            .iter()
            .map(|rail| rail.iter().position(|variable| solution.value(*variable) > 0.5))
            .collect();
        let columns = columns?;
        let cost = self.cost(&columns);
        let proven = (solution.eval(goal) - cost).abs() <= SOLVER_TOLERANCE * cost.abs();
        cost.is_finite().then_some(Answer { columns, cost, proven })
    }

    fn goal(&self, chosen: &[Vec<Variable>], ordered: &[Vec<(usize, Variable)>]) -> Expression {
        let mut goal = Expression::from(0.0);
        for (rail, variables) in self.rails.iter().zip(chosen) {
            for (column, variable) in rail.iter().zip(variables) {
                goal += column.cost * *variable;
            }
        }
        for (item, levels) in ordered.iter().enumerate() {
            for &(pieces, variable) in levels {
                goal += self.order(item, pieces) * variable;
            }
        }
        goal
    }

    /// Of each item every number of pieces that some combination takes and somebody delivers.
    fn totals(&self) -> Vec<Vec<usize>> {
        let mut reach: Vec<Vec<usize>> = vec![vec![0]; self.orders.len()];
        for rail in &self.rails {
            for (item, known) in reach.iter_mut().enumerate() {
                let mut counts: Vec<usize> = rail
                    .iter()
                    .flat_map(|column| column.uses.iter().filter(|(used, _)| *used == item))
                    .map(|(_, count)| *count as usize)
                    .collect();
                counts.sort_unstable();
                counts.dedup();
                let more: Vec<usize> =
                    known.iter().flat_map(|have| counts.iter().map(move |count| have + count)).collect();
                known.extend(more);
                known.sort_unstable();
                known.dedup();
            }
        }
        for (item, known) in reach.iter_mut().enumerate() {
            known.retain(|&pieces| pieces > 0 && self.order(item, pieces).is_finite());
        }
        reach
    }

    /// By trying every combination that a bound does not rule out; starts from what is known already.
    pub fn by_trial(&self, known: Option<&Answer>) -> Option<Answer> {
        let least: Vec<Vec<f64>> =
            self.rails.iter().map(|rail| rail.iter().map(|column| self.least(column)).collect()).collect();
        let mut rest = vec![0.0; self.rails.len() + 1];
        for (place, costs) in least.iter().enumerate().rev() {
            let cheapest = costs.iter().copied().fold(f64::INFINITY, f64::min);
            rest[place] = rest.get(place + 1).copied().unwrap_or(0.0) + cheapest;
        }
        let orders: Vec<Vec<usize>> = least
            .iter()
            .map(|costs| {
                let mut order: Vec<usize> = (0..costs.len()).collect();
                order.sort_by(|&a, &b| costs[a].total_cmp(&costs[b]).then(a.cmp(&b)));
                order
            })
            .collect();
        let mut trial = Trial {
            programme: self,
            least,
            rest,
            orders,
            best: known.map(|answer| (answer.cost, answer.columns.clone())),
            left: TRIES_MAX,
        };
        let done = trial.rail(&mut Vec::new(), 0.0);
        let proven = done || known.is_some_and(|answer| answer.proven);
        trial.best.map(|(cost, columns)| Answer { columns, cost, proven })
    }
}

/// Trials in progress.
struct Trial<'p> {
    programme: &'p Programme,
    least: Vec<Vec<f64>>,
    rest: Vec<f64>,
    orders: Vec<Vec<usize>>,
    best: Option<(f64, Vec<usize>)>,
    left: u64,
}

impl Trial<'_> {
    /// Chooses for the rails left; `false` when out of work.
    fn rail(&mut self, chosen: &mut Vec<usize>, so_far: f64) -> bool {
        let Some(left) = self.left.checked_sub(1) else { return false };
        self.left = left;
        let place = chosen.len();
        if place == self.programme.rails.len() {
            self.keep(chosen);
            return true;
        }
        let rest = self.rest.get(place + 1).copied().unwrap_or(0.0);
        for index in self.orders.get(place).cloned().unwrap_or_default() {
            let least = so_far + self.least[place][index];
            if self.best.as_ref().is_some_and(|(cost, _)| least + rest > cost + TIE) {
                break;
            }
            chosen.push(index);
            let done = self.rail(chosen, least);
            chosen.pop();
            if !done {
                return false;
            }
        }
        true
    }

    fn keep(&mut self, chosen: &[usize]) {
        let cost = self.programme.cost(chosen);
        if !cost.is_finite() || self.programme.cuts.iter().any(|cut| cut == chosen) {
            return;
        }
        let better = self.best.as_ref().is_none_or(|(known, columns)| {
            cost < known - TIE || (cost <= known + TIE && chosen < columns.as_slice())
        });
        if better {
            self.best = Some((cost, chosen.to_vec()));
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    /// Every combination, one by one: cost and columns of the cheapest, of equal ones the first.
    fn exhaustive(programme: &Programme) -> Option<(f64, Vec<usize>)> {
        let mut combinations: Vec<Vec<usize>> = vec![Vec::new()];
        for rail in &programme.rails {
            combinations = combinations
                .iter()
                .flat_map(|known| (0..rail.len()).map(move |next| [known.as_slice(), &[next]].concat()))
                .collect();
        }
        let mut best: Option<(f64, Vec<usize>)> = None;
        for columns in combinations {
            let cost = programme.cost(&columns);
            let better = best.as_ref().is_none_or(|(known, _)| cost < known - TIE);
            if cost.is_finite() && !programme.cuts.contains(&columns) && better {
                best = Some((cost, columns));
            }
        }
        best
    }

    /// Orders with steep breaks, packs and a minimum: what `pieces` cost, each total rounded up to what is cheaper.
    fn orders(each: f64, pack: usize, minimum: usize, from: usize) -> Vec<f64> {
        let price = |pieces: usize| if pieces >= from { 0.6 * each } else { each };
        let total = |pieces: usize| {
            let whole = |least: usize| least.max(minimum).div_ceil(pack) * pack;
            let (plain, more) = (whole(pieces), whole(pieces.max(from)));
            (plain as f64 * price(plain)).min(more as f64 * price(more))
        };
        (0..20).map(|pieces| if pieces == 0 { 0.0 } else { total(pieces) }).collect()
    }

    fn column() -> impl Strategy<Value = Column> {
        (0.0..5.0f64, prop::collection::btree_map(0usize..4, 1u32..5, 0..3)).prop_map(|(cost, uses)| Column {
            cost: (cost * 100.0).round() / 100.0,
            uses: uses.into_iter().collect(),
        })
    }

    fn any_programme() -> impl Strategy<Value = Programme> {
        let rails = prop::collection::vec(prop::collection::vec(column(), 1..6), 1..4);
        let items = prop::collection::vec((0.1..3.0f64, 1usize..4, 1usize..4, 2usize..8), 4);
        (rails, items, prop::bool::ANY).prop_map(|(rails, items, cut)| {
            let orders = items
                .into_iter()
                .map(|(each, pack, minimum, from)| {
                    orders((each * 100.0).round() / 100.0, pack, minimum, from)
                })
                .collect();
            let cuts = if cut { vec![vec![0; rails.len()]] } else { Vec::new() };
            Programme { rails, orders, cuts }
        })
    }

    #[test]
    fn two_rails_take_a_dearer_part_where_an_order_for_both_reaches_a_break() {
        // Alone each takes the part at 1.00; together the one at 1.10 costs 2 · 0.66.
        let rail = || vec![Column { cost: 1.0, uses: Vec::new() }, Column { cost: 0.0, uses: vec![(0, 1)] }];
        let programme =
            Programme { rails: vec![rail(), rail()], orders: vec![vec![0.0, 1.1, 1.32]], cuts: Vec::new() };
        let answer = programme.solve().unwrap();
        assert_eq!(answer.columns, [1, 1]);
        assert_relative_eq!(answer.cost, 1.32);
        assert!(answer.proven);
    }

    #[test]
    fn what_is_cut_is_not_chosen() {
        let rail = vec![Column { cost: 1.0, uses: Vec::new() }, Column { cost: 2.0, uses: Vec::new() }];
        let programme = Programme { rails: vec![rail], orders: Vec::new(), cuts: vec![vec![0]] };
        assert_eq!(programme.solve().unwrap().columns, [1]);
    }

    #[test]
    fn nothing_is_chosen_where_a_rail_has_nothing_or_nobody_delivers() {
        assert_eq!(Programme { rails: vec![Vec::new()], ..Programme::default() }.solve(), None);
        let rails = vec![vec![Column { cost: 0.0, uses: vec![(0, 2)] }]];
        let orders = vec![vec![0.0, 1.0, f64::INFINITY]];
        assert_eq!(Programme { rails, orders, cuts: Vec::new() }.solve(), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn solver_trial_and_every_combination_agree(programme in any_programme()) {
            let expected = exhaustive(&programme);
            let trial = programme.by_trial(None);
            let solver = programme.by_solver();
            let both = programme.solve();
            prop_assert_eq!(expected.as_ref().map(|(_, columns)| columns), trial.as_ref().map(|one| &one.columns));
            prop_assert_eq!(trial.as_ref().map(|one| &one.columns), both.as_ref().map(|one| &one.columns));
            if let Some((cost, _)) = expected {
                let solver = solver.expect("a solution exists");
                prop_assert!((solver.cost - cost).abs() <= 1e-6, "{} against {}", solver.cost, cost);
                prop_assert!(both.is_some_and(|one| one.proven));
            } else {
                prop_assert!(solver.is_none());
            }
        }
    }
}

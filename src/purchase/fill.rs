//! Orders filled up where a supplier takes none below a minimum value.
//!
//! The search plans as if the minimum were billed, which no filled order undercuts: its bound holds for both.

use super::{
    breaks::Part,
    problem::{Plan, Problem},
};

/// The plan with more pieces where a supplier would refuse it, one line a supplier; `None` where no line can be filled up.
pub(super) fn filled(problem: &Problem, mut plan: Plan) -> Option<Plan> {
    for supplier in 0..problem.suppliers.len() {
        let charge = problem.charge(supplier);
        let goods = problem.goods(plan.covers.iter().flatten()).get(supplier).copied().unwrap_or(0);
        if !charge.refuses || goods == 0 || goods >= charge.minimum {
            continue;
        }
        let missing = charge.minimum - goods;
        let (_, article, part) = plan
            .covers
            .iter()
            .enumerate()
            .filter_map(|(article, cover)| {
                let held = cover.as_ref()?.parts().find(|part| part.supplier == supplier)?;
                let sources = &problem.articles.get(article)?.sources;
                let source = sources.iter().find(|source| source.supplier == supplier)?;
                let more = source.filled(held.pieces, held.cost + missing)?;
                Some((more.cost - held.cost, article, Part { filling: more.pieces - held.pieces, ..more }))
            })
            .min_by_key(|(more, article, _)| (*more, *article))?;
        let cover = plan.covers.get_mut(article)?.as_mut()?;
        for held in std::iter::once(&mut cover.first).chain(cover.second.as_mut()) {
            if held.supplier == supplier {
                *held = part;
            }
        }
    }
    plan.total = problem.billed(&problem.goods(plan.covers.iter().flatten()));
    Some(plan)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::purchase::{
        breaks::{Source, Step},
        problem::{Article, Charge},
        solve::{Effort, solve},
    };

    fn step(low: u64, high: u64, each: i64) -> Step {
        Step { low, high, each }
    }

    /// 7 pieces at 10 come to 70; a minimum of 100 asks for 10 at 10. From 20 on a piece costs 4: 25 come to 100 as well, and
    /// 10 are fewer. The other supplier sells at 15: 105.
    fn problem(refuses: bool) -> Problem {
        let one = Source { supplier: 0, pack: 1, steps: vec![step(1, 19, 10), step(20, 1000, 4)] };
        let other = Source { supplier: 1, pack: 1, steps: vec![step(1, 1000, 15)] };
        Problem {
            articles: vec![Article { sources: vec![one, other], spare_ppm: 0, base: 7 }],
            demands: Vec::new(),
            suppliers: vec![Charge { order: 0, minimum: 100, refuses }, Charge::default()],
        }
    }

    #[test]
    fn an_order_is_filled_up_to_the_minimum_where_less_is_refused() {
        let answer = solve(&problem(true), Effort::default()).unwrap();
        let part = answer.plan.covers[0].unwrap().first;
        assert_eq!((answer.plan.total, answer.bound), (100, Some(100)));
        assert_eq!((part.supplier, part.pieces, part.filling), (0, 10, 3));
        let billed = solve(&problem(false), Effort::default()).unwrap().plan;
        assert_eq!((billed.total, billed.covers[0].unwrap().first.pieces), (100, 7));
    }

    #[test]
    fn what_cannot_be_filled_up_is_bought_elsewhere() {
        let mut problem = problem(true);
        problem.articles[0].sources[0].steps = vec![step(1, 8, 10)];
        let answer = solve(&problem, Effort::default()).unwrap();
        assert_eq!(answer.plan.covers[0].unwrap().first.supplier, 1);
        assert_eq!(answer.plan.total, 105);
        assert!(answer.bound.is_some_and(|bound| bound <= 105));
    }
}

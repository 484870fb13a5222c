//! From lines to an order: builds the problem, has it solved, puts names and money back.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::{catalog::Catalog, quantity::Currency};

use super::{
    lines::{Line, Wanted, lines, shelf},
    names::Context,
    order::Order,
    problem::{Demand, Problem},
    solve::{Answer, Effort, solve},
    stock::{Market, Shelf},
    terms::{Freedom, Terms},
    whole,
};

/// What the purchaser asks.
#[derive(Clone, Debug)]
pub struct Wishes {
    /// Offers in other currencies are left out.
    pub currency: Currency,
    /// Days within which everything must arrive.
    pub deadline_days: Option<u32>,
    /// Most that may be spent.
    pub budget: Option<Decimal>,
    /// Spare pieces by family, in parts per million.
    pub spares: BTreeMap<String, u64>,
}

impl Wishes {
    /// Spare pieces of a family; those under `all` hold for every family that is not named.
    pub(super) fn spare_ppm(&self, family: &str) -> u64 {
        self.spares.get(family).or_else(|| self.spares.get("all")).copied().unwrap_or(0)
    }
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum OrderError {
    /// Too many suppliers.
    #[error("found {found} suppliers of these parts, allowed at most {most}")]
    Suppliers {
        /// Found.
        found: usize,
        /// Allowed.
        most: usize,
    },
    /// Prices too fine.
    #[error("found a price with {found} decimals, allowed at most {most}")]
    Decimals {
        /// Found.
        found: u32,
        /// Allowed.
        most: u32,
    },
    /// Sums too large.
    #[error("the amounts are too large to be added")]
    TooLarge,
    /// Two currencies.
    #[error("the terms are in {terms}, the order in {order}: no rate of exchange is known")]
    Currencies {
        /// Of the terms.
        terms: Currency,
        /// Of the order.
        order: Currency,
    },
}

/// A problem with the lines behind its demands.
pub(super) struct Posed {
    /// The problem.
    pub(super) problem: Problem,
    /// Line of each demand.
    pub(super) lines: Vec<usize>,
}

/// Plans one purchase for all designs.
pub fn order(
    wanted: &[Wanted<'_>],
    catalog: &Catalog,
    wishes: &Wishes,
    terms: &Terms,
    freedom: Freedom<'_>,
) -> Result<Order, OrderError> {
    if let Some(currency) = terms.currency.filter(|currency| *currency != wishes.currency) {
        return Err(OrderError::Currencies { terms: currency, order: wishes.currency });
    }
    let lines = lines(wanted, freedom);
    let shelf = shelf(catalog);
    let mut keys: Vec<_> = lines.iter().flat_map(|line| line.allowed.iter().cloned()).collect();
    keys.sort();
    keys.dedup();
    let market = Market::open(keys, &shelf, wishes, &terms.suppliers)?;
    let mut dropped: BTreeMap<usize, String> = BTreeMap::new();
    let every: Vec<usize> = (0..lines.len()).collect();
    let (posed, answer) =
        answered(&lines, &every, &market, Effort::default(), &mut dropped, (&shelf, wishes));
    let alone = (wanted.len() > 1).then(|| {
        (0..wanted.len())
            .map(|design| {
                let own: Vec<usize> = every
                    .iter()
                    .copied()
                    .filter(|at| lines.get(*at).is_some_and(|line| line.design == design))
                    .filter(|at| !dropped.contains_key(at))
                    .collect();
                answered(&lines, &own, &market, Effort::QUICK, &mut BTreeMap::new(), (&shelf, wishes))
                    .1
                    .plan
                    .total
            })
            .sum::<i64>()
    });
    let context = Context {
        lines: &lines,
        wanted,
        catalog,
        market: &market,
        shelf: &shelf,
        wishes,
        terms: &terms.suppliers,
    };
    let mut order = context.order(&posed, &answer, alone, dropped);
    order.notes.extend(whole::idle(wanted, &lines, catalog, freedom.substitutes, &terms.suppliers));
    Ok(order)
}

/// Poses and solves for some lines; lines that cannot be served are dropped with the reason, and the rest is solved.
fn answered(
    lines: &[Line],
    chosen: &[usize],
    market: &Market<'_>,
    effort: Effort,
    dropped: &mut BTreeMap<usize, String>,
    (shelf, wishes): (&Shelf<'_>, &Wishes),
) -> (Posed, Answer) {
    loop {
        let posed = pose(lines, chosen, market, dropped, (shelf, wishes));
        match solve(&posed.problem, effort) {
            Ok(answer) => return (posed, answer),
            Err(stuck) => {
                let before = dropped.len();
                for at in stuck.iter().filter_map(|demand| posed.lines.get(*demand)) {
                    let why = "what is left of it and of its substitutes goes into other designs";
                    dropped.insert(*at, why.to_owned());
                }
                if dropped.len() == before {
                    // Nothing can be named: an empty plan, everything dropped.
                    let refuses = posed.problem.suppliers.iter().any(|one| one.refuses);
                    let why = if refuses {
                        "no list was found of which no supplier refuses its part for being below the minimum"
                    } else {
                        "no list was found"
                    };
                    for at in chosen {
                        dropped.entry(*at).or_insert_with(|| why.to_owned());
                    }
                }
            }
        }
    }
}

fn pose(
    lines: &[Line],
    chosen: &[usize],
    market: &Market<'_>,
    dropped: &mut BTreeMap<usize, String>,
    (shelf, wishes): (&Shelf<'_>, &Wishes),
) -> Posed {
    let mut problem =
        Problem { articles: market.articles.clone(), demands: Vec::new(), suppliers: market.charges.clone() };
    let mut fixed: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut free = Vec::new();
    for at in chosen.iter().copied().filter(|at| !dropped.contains_key(at)).collect::<Vec<_>>() {
        let Some(line) = lines.get(at) else { continue };
        let known: Vec<usize> =
            line.allowed.iter().filter_map(|key| market.keys.binary_search(key).ok()).collect();
        let serves = |one: &usize| {
            problem.articles.get(*one).is_some_and(|article| !article.covers(line.pieces).is_empty())
        };
        let choices: Vec<usize> = known.iter().copied().filter(serves).collect();
        match choices.as_slice() {
            _ if line.pieces == 0 => {}
            [] => {
                let why = known
                    .first()
                    .map_or_else(String::new, |one| market.why(*one, line.pieces, shelf, wishes));
                dropped.insert(at, why);
            }
            [one] => fixed.entry(*one).or_default().push(at),
            _ => free.push((at, choices)),
        }
    }
    for (article, ats) in fixed {
        let pieces: u64 = ats.iter().filter_map(|at| lines.get(*at)).map(|line| line.pieces).sum();
        let Some(one) = problem.articles.get_mut(article) else { continue };
        if one.covers(pieces).is_empty() {
            for at in ats {
                dropped.insert(at, market.why(article, pieces, shelf, wishes));
            }
        } else {
            one.base = pieces;
        }
    }
    let mut posed = Posed { problem, lines: Vec::new() };
    for (at, choices) in free {
        let Some(line) = lines.get(at) else { continue };
        posed.problem.demands.push(Demand { pieces: line.pieces, choices });
        posed.lines.push(at);
    }
    posed
}

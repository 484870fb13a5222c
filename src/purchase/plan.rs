//! From lines to an order: builds the problem, has it solved, puts names and money back.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use crate::{catalog::Catalog, quantity::Currency};

use super::{
    lines::{Line, Wanted, lines, shelf},
    order::{Budget, Design, Missing, Order, OrderLine, SCHEMA_VERSION, Substituted, SupplierOrder},
    problem::{Demand, Plan, Problem},
    solve::{Answer, Effort, solve},
    stock::{Market, Shelf, money, units},
    terms::{Substitute, SupplierTerms, Terms},
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
struct Posed {
    problem: Problem,
    /// Line of each demand.
    lines: Vec<usize>,
}

/// Plans one purchase for all designs.
pub fn order(
    wanted: &[Wanted<'_>],
    catalog: &Catalog,
    wishes: &Wishes,
    terms: &Terms,
    substitutes: &[Substitute],
) -> Result<Order, OrderError> {
    if let Some(currency) = terms.currency.filter(|currency| *currency != wishes.currency) {
        return Err(OrderError::Currencies { terms: currency, order: wishes.currency });
    }
    let lines = lines(wanted, substitutes);
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
    let context =
        Context { lines: &lines, wanted, market: &market, shelf: &shelf, wishes, terms: &terms.suppliers };
    Ok(context.order(&posed, &answer, alone, dropped))
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
                    for at in chosen {
                        dropped.entry(*at).or_insert_with(|| "no plan was found".to_owned());
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

/// Everything needed to put names back.
struct Context<'a> {
    lines: &'a [Line],
    wanted: &'a [Wanted<'a>],
    market: &'a Market<'a>,
    shelf: &'a Shelf<'a>,
    wishes: &'a Wishes,
    terms: &'a BTreeMap<String, SupplierTerms>,
}

impl Context<'_> {
    fn money(&self, amount: i64) -> crate::quantity::Money {
        money(amount, self.market.decimals, self.wishes.currency)
    }

    fn supply(&self, line: &Line) -> String {
        self.wanted.get(line.design).map_or_else(String::new, |one| one.record.supply.clone())
    }

    fn order(
        &self,
        posed: &Posed,
        answer: &Answer,
        alone: Option<i64>,
        dropped: BTreeMap<usize, String>,
    ) -> Order {
        let plan = &answer.plan;
        let served = self.served(posed, plan, &dropped);
        let bound = answer.bound.unwrap_or(0).min(plan.total);
        let budget = self.wishes.budget;
        let limit = budget
            .and_then(|amount| units(amount.trunc_with_scale(self.market.decimals), self.market.decimals));
        let within_budget = limit.map(|limit| {
            if plan.total <= limit {
                Budget::Kept
            } else if bound > limit {
                Budget::Impossible
            } else {
                Budget::NotFound
            }
        });
        let substituted = served
            .iter()
            .filter_map(|(at, article)| {
                let (line, key) = (self.lines.get(*at)?, self.market.keys.get(*article)?);
                (line.designed != *key).then(|| Substituted {
                    supply: self.supply(line),
                    rail: line.rail.clone(),
                    position: line.position.clone(),
                    designed: line.designed.part.0.clone(),
                    bought: key.part.0.clone(),
                    pieces: line.pieces,
                })
            })
            .collect();
        let missing = dropped
            .into_iter()
            .filter_map(|(at, why)| {
                let line = self.lines.get(at)?;
                Some(Missing {
                    supply: self.supply(line),
                    rail: line.rail.clone(),
                    position: line.position.clone(),
                    part: line.designed.part.0.clone(),
                    value: line.designed.value.clone(),
                    pieces: line.pieces,
                    why,
                })
            })
            .collect();
        let of_design =
            |one: &Wanted<'_>| Design { supply: one.record.supply.clone(), quantity: one.quantity };
        Order {
            schema_version: SCHEMA_VERSION,
            designs: self.wanted.iter().map(of_design).collect(),
            suppliers: self.suppliers(plan, &served),
            missing,
            substituted,
            total: self.money(plan.total),
            bound: self.money(bound),
            gap_percent: percent(plan.total - bound, plan.total),
            proven_cheapest: bound == plan.total,
            bought_alone: alone.map(|alone| self.money(alone)),
            saved: alone.map(|alone| self.money(alone - plan.total)),
            budget: budget.map(|amount| crate::quantity::Money { amount, currency: self.wishes.currency }),
            within_budget,
            deadline_days: self.wishes.deadline_days,
            notes: self.notes(&served),
        }
    }

    /// Article that serves each line.
    fn served(
        &self,
        posed: &Posed,
        plan: &Plan,
        dropped: &BTreeMap<usize, String>,
    ) -> BTreeMap<usize, usize> {
        let mut served: BTreeMap<usize, usize> =
            posed.lines.iter().copied().zip(plan.assigned.iter().copied()).collect();
        for (at, line) in self.lines.iter().enumerate() {
            if served.contains_key(&at) || dropped.contains_key(&at) || line.pieces == 0 {
                continue;
            }
            let can = |one: &usize| {
                self.market.articles.get(*one).is_some_and(|article| !article.covers(line.pieces).is_empty())
            };
            let known = line.allowed.iter().filter_map(|key| self.market.keys.binary_search(key).ok());
            if let Some(article) = known.into_iter().find(can) {
                served.insert(at, article);
            }
        }
        served
    }

    fn suppliers(&self, plan: &Plan, served: &BTreeMap<usize, usize>) -> Vec<SupplierOrder> {
        let mut orders = Vec::new();
        for (supplier, name) in self.market.suppliers.iter().enumerate() {
            let mut lines = Vec::new();
            let mut goods = 0;
            for (article, cover) in plan.covers.iter().enumerate() {
                for part in
                    cover.iter().flat_map(|cover| cover.parts()).filter(|part| part.supplier == supplier)
                {
                    goods += part.cost;
                    lines.extend(self.line(article, name, part, served));
                }
            }
            if lines.is_empty() {
                continue;
            }
            let terms = self.terms.get(*name).copied().unwrap_or_default();
            let charge = units(terms.order_charge, self.market.decimals).unwrap_or(0);
            let minimum = units(terms.minimum_order_value, self.market.decimals).unwrap_or(0);
            let below = (minimum - goods).max(0);
            orders.push(SupplierOrder {
                supplier: (*name).to_owned(),
                lead_days: lines.iter().map(|line| line.lead_days).max().unwrap_or(0),
                lines,
                goods: self.money(goods),
                order_charge: self.money(charge),
                below_minimum: self.money(below),
                total: self.money(goods + charge + below),
            });
        }
        orders
    }

    fn line(
        &self,
        article: usize,
        supplier: &str,
        part: &super::breaks::Part,
        served: &BTreeMap<usize, usize>,
    ) -> Option<OrderLine> {
        let key = self.market.keys.get(article)?;
        let (family, common) = self.shelf.get(&key.part)?;
        let offer = common
            .offers
            .iter()
            .find(|offer| offer.supplier == supplier && offer.currency == self.wishes.currency.code())?;
        let own =
            || served.iter().filter(|(_, one)| **one == article).filter_map(|(at, _)| self.lines.get(*at));
        let needed: u64 = own().map(|line| line.pieces).sum();
        let mut designs: Vec<String> = own().map(|line| self.supply(line)).collect();
        designs.dedup();
        Some(OrderLine {
            part: key.part.0.clone(),
            value: key.value.clone(),
            maker: common.maker.clone(),
            family,
            needed,
            spares: self.market.articles.get(article)?.with_spares(needed) - needed,
            ordered: part.pieces,
            each: self.money(part.each),
            price: self.money(part.cost),
            stock: offer.stock,
            lead_days: if part.pieces <= u64::from(offer.stock) { 0 } else { offer.lead_days },
            designs,
        })
    }

    fn notes(&self, served: &BTreeMap<usize, usize>) -> Vec<String> {
        let mut bought: Vec<usize> = served.values().copied().collect();
        bought.sort_unstable();
        bought.dedup();
        let mut notes = Vec::new();
        for key in bought.iter().filter_map(|article| self.market.keys.get(*article)) {
            use crate::catalog::part::Lifecycle;
            let Some((_, common)) = self.shelf.get(&key.part) else { continue };
            match &common.lifecycle {
                Lifecycle::Active => {}
                Lifecycle::NotForNewDesigns => {
                    notes.push(format!("{}: not recommended for new designs", key.part));
                }
                Lifecycle::LastOrder(date) => {
                    notes.push(format!("{}: the maker takes orders until {date}", key.part));
                }
                Lifecycle::Withdrawn => notes.push(format!("{}: withdrawn; bought from stock", key.part)),
            }
        }
        notes
    }
}

/// `part / whole` in percent with two decimals, rounded up.
fn percent(part: i64, whole: i64) -> String {
    if whole == 0 {
        return String::from("0.00");
    }
    let ratio =
        (Decimal::from(part) * Decimal::ONE_HUNDRED).checked_div(Decimal::from(whole)).unwrap_or_default();
    let mut rounded = ratio.round_dp_with_strategy(2, RoundingStrategy::AwayFromZero);
    rounded.rescale(2);
    rounded.to_string()
}

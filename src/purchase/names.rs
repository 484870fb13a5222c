//! Puts names and money back into a plan of plain numbers.

use std::collections::BTreeMap;

use crate::catalog::{Catalog, part::Lifecycle};

use super::{
    lines::{Line, Wanted},
    order::{Budget, Design, Missing, Order, OrderLine, SCHEMA_VERSION, Substituted, SupplierOrder},
    plan::{Posed, Wishes},
    problem::Plan,
    solve::Answer,
    stock::{Market, Shelf, money, units},
    terms::SupplierTerms,
    whole,
};

/// Everything needed to put names back.
pub(super) struct Context<'a> {
    /// See its type.
    pub(super) lines: &'a [Line],
    /// See its type.
    pub(super) wanted: &'a [Wanted<'a>],
    /// What can be bought.
    pub(super) catalog: &'a Catalog,
    /// See its type.
    pub(super) market: &'a Market<'a>,
    /// See its type.
    pub(super) shelf: &'a Shelf<'a>,
    /// See its type.
    pub(super) wishes: &'a Wishes,
    /// See its type.
    pub(super) terms: &'a BTreeMap<String, SupplierTerms>,
}

impl Context<'_> {
    fn money(&self, amount: i64) -> crate::quantity::Money {
        money(amount, self.market.decimals, self.wishes.currency)
    }

    fn supply(&self, line: &Line) -> String {
        self.wanted.get(line.design).map_or_else(String::new, |one| one.record.supply.clone())
    }

    /// The order with its names.
    pub(super) fn order(
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
                    design: line.design,
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
        let mut order = Order {
            schema_version: SCHEMA_VERSION,
            designs: self.wanted.iter().map(of_design).collect(),
            suppliers: self.suppliers(plan, &served),
            missing,
            unresolved: whole::unresolved(self.wanted, self.catalog),
            substituted,
            total: self.money(plan.total),
            bound: self.money(bound),
            gap_percent: String::new(),
            proven_cheapest: false,
            bought_alone: alone.map(|alone| self.money(alone)),
            saved: alone.map(|alone| self.money(alone - plan.total)),
            budget: budget.map(|amount| crate::quantity::Money { amount, currency: self.wishes.currency }),
            within_budget,
            deadline_days: self.wishes.deadline_days,
            refused: Vec::new(),
            notes: self.notes(&served),
        };
        order.bounded_by(order.bound);
        order
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
                for part in cover
                    .iter()
                    .flat_map(super::breaks::Cover::parts)
                    .filter(|part| part.supplier == supplier)
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
            filling: part.filling,
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

//! What can be had of the catalog, as the plain numbers of a problem: currency, stock, deadline, lifecycle.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::{
    catalog::{Common, PartId, part::Lifecycle},
    quantity::Currency,
};

use super::{
    breaks::Source,
    lines::Key,
    plan::{OrderError, Wishes},
    problem::{Article, Charge},
    terms::SupplierTerms,
};

/// Most decimals of a price.
const MOST_DECIMALS: u32 = 6;
/// Most suppliers.
const MOST_SUPPLIERS: usize = 32;

/// Parts of the catalog by number.
pub(super) type Shelf<'a> = BTreeMap<&'a PartId, (&'static str, &'a Common)>;

/// Articles and suppliers as numbers.
#[derive(Debug)]
pub(super) struct Market<'a> {
    /// What each article is.
    pub(super) keys: Vec<Key>,
    /// The same as plain numbers.
    pub(super) articles: Vec<Article>,
    /// Suppliers, by name.
    pub(super) suppliers: Vec<&'a str>,
    /// Their charges.
    pub(super) charges: Vec<Charge>,
    /// Decimals of a unit of money.
    pub(super) decimals: u32,
}

impl<'a> Market<'a> {
    /// Looks up every key; a key without a catalog row has no source.
    pub(super) fn open(
        keys: Vec<Key>,
        shelf: &Shelf<'a>,
        wishes: &Wishes,
        terms: &BTreeMap<String, SupplierTerms>,
    ) -> Result<Self, OrderError> {
        let rows: Vec<_> = keys.iter().map(|key| shelf.get(&key.part).copied()).collect();
        let offers = || {
            rows.iter()
                .flatten()
                .flat_map(|(_, common)| &common.offers)
                .filter(|offer| offer.currency == wishes.currency.code())
        };
        let mut suppliers: Vec<&str> = offers().map(|offer| offer.supplier.as_str()).collect();
        suppliers.sort_unstable();
        suppliers.dedup();
        if suppliers.len() > MOST_SUPPLIERS {
            return Err(OrderError::Suppliers { found: suppliers.len(), most: MOST_SUPPLIERS });
        }
        let stated = |name: &str| terms.get(name).copied().unwrap_or_default();
        let prices = offers().flat_map(|offer| offer.breaks.iter().map(|step| step.each));
        let charged = suppliers.iter().flat_map(|name| {
            let terms = stated(name);
            [terms.order_charge, terms.minimum_order_value]
        });
        let decimals =
            prices.chain(charged).map(|amount| amount.normalize().scale()).max().unwrap_or(2).max(2);
        if decimals > MOST_DECIMALS {
            return Err(OrderError::Decimals { found: decimals, most: MOST_DECIMALS });
        }
        let unit = |amount: Decimal| units(amount, decimals);
        let mut charges = Vec::new();
        for name in &suppliers {
            let terms = stated(name);
            charges.push(Charge {
                order: unit(terms.order_charge).ok_or(OrderError::TooLarge)?,
                minimum: unit(terms.minimum_order_value).ok_or(OrderError::TooLarge)?,
                refuses: terms.refuses_below,
            });
        }
        let articles = rows
            .iter()
            .map(|row| {
                let Some((family, common)) = row else { return Article::default() };
                let sources = common
                    .offers
                    .iter()
                    .filter(|offer| offer.currency == wishes.currency.code())
                    .filter_map(|offer| {
                        let supplier = suppliers.binary_search(&offer.supplier.as_str()).ok()?;
                        let late = wishes.deadline_days.is_some_and(|most| offer.lead_days > most);
                        let limited = late || common.lifecycle == Lifecycle::Withdrawn;
                        Some(Source::new(offer, supplier, limited.then_some(u64::from(offer.stock)), unit))
                    })
                    .collect();
                Article { sources, spare_ppm: wishes.spare_ppm(family), base: 0 }
            })
            .collect();
        Ok(Self { keys, articles, suppliers, charges, decimals })
    }

    /// Why so many pieces of an article cannot be had.
    pub(super) fn why(&self, article: usize, pieces: u64, shelf: &Shelf<'_>, wishes: &Wishes) -> String {
        let (Some(key), Some(numbers)) = (self.keys.get(article), self.articles.get(article)) else {
            return String::from("unknown");
        };
        let Some((_, common)) = shelf.get(&key.part) else {
            return String::from("not in the catalog");
        };
        if common.offers.is_empty() {
            return String::from("no supplier offers it");
        }
        if numbers.sources.is_empty() {
            return format!("no supplier offers it in {}", wishes.currency);
        }
        let mut most: Vec<u64> = numbers.sources.iter().map(Source::most).collect();
        most.sort_unstable();
        let two: u64 = most.iter().rev().take(2).sum();
        let asked = numbers.with_spares(pieces);
        let limit = match (&common.lifecycle, wishes.deadline_days) {
            (Lifecycle::Withdrawn, _) => String::from("it is withdrawn, and only stock is left"),
            (_, Some(days)) => format!("the rest arrives later than {days} days"),
            (_, None) => String::from("no supplier or pair of suppliers delivers as many"),
        };
        format!("{asked} pieces needed with spares, at most {two} can be had: {limit}")
    }
}

/// An amount in units of so many decimals; `None` where it does not fit.
pub(super) fn units(amount: Decimal, decimals: u32) -> Option<i64> {
    let scaled = amount.normalize().checked_mul(Decimal::from(10_i64.checked_pow(decimals)?))?.normalize();
    (scaled.scale() == 0).then(|| i64::try_from(scaled.mantissa()).ok()).flatten()
}

/// Units as money.
pub(super) fn money(units: i64, decimals: u32, currency: Currency) -> crate::quantity::Money {
    crate::quantity::Money { amount: Decimal::new(units, decimals).normalize(), currency }
}

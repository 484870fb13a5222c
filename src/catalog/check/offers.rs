//! Offers of suppliers: the terms of a file, and what a row adds.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::{
    catalog::offer::{Offer, PriceBreak},
    document::Value,
    quantity::{Currency, Hours},
};

/// Most pieces of an order, a pack or a stock.
const MOST: u32 = 100_000_000;
/// Longest lead time.
const LONGEST_LEAD: Hours = Hours(24.0 * 2000.0);
/// Most breaks of one offer.
const MOST_BREAKS: usize = 24;

/// Terms that hold for every offer of a supplier in a file.
#[derive(Clone, Debug)]
struct Term {
    pack: Option<u32>,
    minimum_order: Option<u32>,
    lead_days: Option<u32>,
}

/// Terms by supplier, and the currency of the file.
#[derive(Debug)]
pub(super) struct Terms {
    by_supplier: BTreeMap<String, Term>,
    currency: Option<Currency>,
}

impl Terms {
    /// Reads the table of suppliers.
    pub(super) fn read(value: Value<'_>, currency: Option<Currency>) -> Option<Self> {
        let mut by_supplier = BTreeMap::new();
        for (name, value) in value.entries()? {
            let Some(name) = name.text() else { continue };
            let Some(mut map) = value.fields() else { continue };
            let pack = map.optional("pack", |v| v.count(1..=MOST));
            let minimum_order = map.optional("minimum_order", |v| v.count(1..=MOST));
            let lead_days = map.optional("lead", days);
            map.finish();
            by_supplier.insert(name, Term { pack, minimum_order, lead_days });
        }
        Some(Self { by_supplier, currency })
    }
}

/// Reads the offers of a row: a map from supplier to price breaks and stock.
pub(super) fn read(value: Value<'_>, terms: &Terms) -> Option<Vec<Offer>> {
    let mut offers = Vec::new();
    for (name, value) in value.entries()? {
        if let Some(supplier) = name.str() {
            offers.extend(offer(supplier, name, value, terms));
        }
    }
    offers.sort_by(|a, b| a.supplier.cmp(&b.supplier));
    Some(offers)
}

fn offer(supplier: &str, name: Value<'_>, value: Value<'_>, terms: &Terms) -> Option<Offer> {
    let term = terms.by_supplier.get(supplier);
    if term.is_none() {
        let known: Vec<_> = terms.by_supplier.keys().map(|known| format!("`{known}`")).collect();
        let near = crate::document::suggestion(supplier, terms.by_supplier.keys().map(String::as_str));
        let hint = near.map(|near| format!("did you mean `{near}`?"));
        name.refuse("this supplier has no terms", known.join(", "), hint.as_deref());
    }
    let mut map = value.fields()?;
    let breaks = map.required("price", breaks);
    let stock = map.required("stock", |v| v.count(0..=MOST));
    let pack = map.optional("pack", |v| v.count(1..=MOST)).or(term.and_then(|term| term.pack));
    let minimum = map.optional("minimum_order", |v| v.count(1..=MOST));
    let minimum_order = minimum.or(term.and_then(|term| term.minimum_order));
    let lead_days = map.optional("lead", days).or(term.and_then(|term| term.lead_days));
    let currency = map.optional("currency", Value::currency).or(terms.currency);
    if term.is_some() {
        let stated = [("pack", pack), ("minimum_order", minimum_order), ("lead", lead_days)];
        for (key, _) in stated.iter().filter(|(_, value)| value.is_none()) {
            map.missing(key);
        }
    }
    map.finish();
    Some(Offer {
        supplier: supplier.to_owned(),
        currency: currency?.code().to_owned(),
        breaks: breaks?,
        pack: pack?,
        minimum_order: minimum_order?,
        stock: stock?,
        lead_days: lead_days?,
    })
}

/// Whole days: `3 days`.
fn days(value: Value<'_>) -> Option<u32> {
    let hours = value.quantity(Hours(0.0)..=LONGEST_LEAD)?;
    let days = hours.0 / 24.0;
    if days.fract() == 0.0 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and 0 to 2000")]
        return Some(days as u32);
    }
    value.refuse(format!("{} is no whole number of days", value.name()), "whole days such as `3 days`", None);
    None
}

/// Price breaks in one text: `1: 4.10, 25: 3.60`; quantity rising, price falling or equal.
fn breaks(value: Value<'_>) -> Option<Vec<PriceBreak>> {
    let text = value.str()?;
    let allowed =
        "breaks such as `1: 4.10, 25: 3.60`, quantity rising, price above zero and falling or equal";
    let breaks = split(text);
    if breaks.is_none() {
        value.refuse("`price` does not list price breaks", allowed, None);
    }
    breaks
}

fn split(text: &str) -> Option<Vec<PriceBreak>> {
    let mut breaks: Vec<PriceBreak> = Vec::with_capacity(4);
    for part in text.split(',') {
        let (from, each) = part.split_once(':')?;
        let (from, each) = (from.trim(), each.trim());
        let plain =
            from.bytes().all(|b| b.is_ascii_digit()) && each.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let step = PriceBreak { from: from.parse().ok()?, each: Decimal::from_str_exact(each).ok()? };
        let follows = breaks.last().is_none_or(|last| last.from < step.from && last.each >= step.each);
        let fits = plain && (1..=MOST).contains(&step.from) && step.each > Decimal::ZERO;
        if !(fits && follows && breaks.len() < MOST_BREAKS) {
            return None;
        }
        breaks.push(step);
    }
    Some(breaks)
}

#[cfg(test)]
mod tests {
    use super::split;

    #[test]
    fn price_breaks_rise_in_quantity_and_never_in_price() {
        assert_eq!(split("1: 4.10, 25: 3.60, 100: 3.60").map(|breaks| breaks.len()), Some(3));
        for bad in [
            "",
            "1",
            "1: 4.10, 1: 4.00",
            "25: 4, 1: 3",
            "1: 4.10, 25: 4.11",
            "0: 1",
            "1: 0",
            "1: -1",
            "1: 1e2",
        ] {
            assert!(split(bad).is_none(), "{bad}");
        }
    }
}

//! What a purchaser adds to records and catalog: charges of suppliers, and parts already judged good enough.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::Serialize;

use crate::{
    document::{self, Faults, Source, Value},
    quantity::Currency,
};

/// Greatest charge or minimum.
const MOST: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);

/// What one supplier charges beside the goods.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SupplierTerms {
    /// For every order.
    pub order_charge: Decimal,
    /// Least value of goods that is billed.
    pub minimum_order_value: Decimal,
    /// Whether an order below that is refused instead of billed at it.
    pub refuses_below: bool,
}

/// Terms of suppliers; a supplier that is not listed charges nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// Currency of the amounts.
    pub currency: Option<Currency>,
    /// By supplier.
    pub suppliers: BTreeMap<String, SupplierTerms>,
}

/// Parts that may stand in for one that was designed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Substitute {
    /// Supply it holds for; all, if not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply: Option<String>,
    /// Rail it holds for; all, if not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rail: Option<String>,
    /// Position it holds for; all, if not stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    /// The part designed in.
    pub part: String,
    /// Parts judged good enough there.
    pub allowed: Vec<String>,
}

/// A file of substitutes, as [`substitutes`] reads it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SubstituteFile {
    /// Its rules.
    pub substitutes: Vec<Substitute>,
}

/// A part that may not be bought in one place, whatever the substitutes allow.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Barred {
    /// Index of the design.
    pub design: usize,
    /// Rail.
    pub rail: String,
    /// Position.
    pub position: String,
    /// Part.
    pub part: String,
}

/// What may be bought instead of what was designed in.
#[derive(Clone, Copy, Debug, Default)]
pub struct Freedom<'a> {
    /// What may stand in.
    pub substitutes: &'a [Substitute],
    /// What may not, all the same; sorted.
    pub barred: &'a [Barred],
}

/// Reads terms:
///
/// ```yaml
/// currency: EUR
/// suppliers:
///   Corvane: {order_charge: 9.50, minimum_order_value: 25.00}
///   Nordhal: {minimum_order_value: 100, below_minimum: refused}
/// ```
///
/// Below its minimum a supplier bills the minimum (`billed`, the usual case and the default) or takes no order (`refused`).
pub fn terms(source: &Source) -> Result<Terms, Faults> {
    document::read(source, |root| {
        let mut map = root.fields()?;
        let currency = map.required("currency", Value::currency);
        let suppliers = map.required("suppliers", |value| {
            let mut suppliers = BTreeMap::new();
            for (name, value) in value.entries()? {
                let (Some(name), Some(mut map)) = (name.text(), value.fields()) else { continue };
                let amount = |value: Value<'_>| value.decimal(Decimal::ZERO..=MOST);
                let order_charge = map.optional("order_charge", amount).unwrap_or_default();
                let minimum_order_value = map.optional("minimum_order_value", amount).unwrap_or_default();
                let refuses_below = map
                    .optional("below_minimum", |value| value.word(&[("billed", false), ("refused", true)]))
                    .unwrap_or_default();
                map.finish();
                suppliers.insert(name, SupplierTerms { order_charge, minimum_order_value, refuses_below });
            }
            Some(suppliers)
        });
        map.finish();
        Some(Terms { currency: Some(currency?), suppliers: suppliers? })
    })
}

/// Reads substitutes:
///
/// ```yaml
/// substitutes:
///   - {position: reservoir, part: QS63-3300, allowed: [QS63-4700]}
///   - {supply: bench outlet, rail: main, part: DL4-100, allowed: [DL4-200, DL4-400]}
/// ```
pub fn substitutes(source: &Source) -> Result<Vec<Substitute>, Faults> {
    document::read(source, |root| {
        let mut map = root.fields()?;
        let list = map.required("substitutes", |value| {
            value.list(|item| {
                let mut map = item.fields()?;
                let supply = map.optional("supply", Value::text);
                let rail = map.optional("rail", Value::text);
                let position = map.optional("position", Value::text);
                let part = map.required("part", Value::text);
                let allowed = map.required("allowed", |value| value.list_of_some(Value::text));
                map.finish();
                Some(Substitute { supply, rail, position, part: part?, allowed: allowed? })
            })
        });
        map.finish();
        list
    })
}

//! Which column of a purchaser's sheet holds which rating.
//!
//! Reads no sheet.

use super::import::quoted;
use crate::document::{self, Faults, Source, Value};

/// Where a rating stands in the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Our key; parts of a nested one are joined by a dot.
    pub key: String,
    /// Head of the column.
    pub header: String,
    /// Unit of cells that hold a plain number.
    pub unit: Option<String>,
}

/// Whose offers the sheet lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfferColumns {
    /// Supplier.
    pub supplier: String,
    /// Pieces in a pack, least quantity of an order, lead time: the same for all rows, as our files write them.
    pub terms: Vec<(&'static str, String)>,
    /// Quantity from which a price holds, and the head of its column.
    pub prices: Vec<(u32, String)>,
    /// Head of the column that holds the stock.
    pub stock: Option<String>,
}

/// What is what in a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mapping {
    /// Family of all rows.
    pub family: String,
    /// Currency of all prices.
    pub currency: String,
    /// What separates cells.
    pub separator: char,
    /// Whether numbers are written with a decimal comma.
    pub decimal_comma: bool,
    /// Columns.
    pub columns: Vec<Column>,
    /// What holds for all rows: key and value as our files write it.
    pub each: Vec<(String, String)>,
    /// Offers.
    pub offer: Option<OfferColumns>,
}

/// Reads a mapping:
///
/// ```yaml
/// family: fuse
/// currency: EUR
/// separator: ";"                 # a comma if not stated
/// decimal_comma: true            # a point if not stated
/// columns:
///   id: Part
///   rated: {header: I rated, unit: A}
/// each: {lifecycle: active, voltage: 250 V}
/// offer: {supplier: Corvane, pack: 1, minimum_order: 1, lead: 3 days, stock: Stock, price: {1: 1+, 100: 100+}}
/// ```
pub fn mapping(source: &Source) -> Result<Mapping, Faults> {
    document::read(source, |root| {
        let mut map = root.fields()?;
        let family = map.required("family", Value::text);
        let currency = map.required("currency", Value::currency);
        let separators = [(",", ','), (";", ';'), ("tab", '\t')];
        let separator = map.optional("separator", |value| value.word(&separators)).unwrap_or(',');
        let decimal_comma = map.optional("decimal_comma", Value::flag).unwrap_or(false);
        let columns = map.required("columns", |value| {
            let columns = value.entries()?.filter_map(|(name, value)| {
                let key = name.text()?;
                if !value.is_map() {
                    return Some(Column { key, header: value.text()?, unit: None });
                }
                let mut map = value.fields()?;
                let header = map.required("header", Value::text);
                let unit = map.optional("unit", Value::text);
                map.finish();
                Some(Column { key, header: header?, unit })
            });
            Some(columns.collect::<Vec<_>>())
        });
        let each = map.optional("each", |value| {
            Some(value.entries()?.filter_map(|(name, value)| Some((name.text()?, flow(value)?))).collect())
        });
        let offer = map.optional("offer", offer);
        map.finish();
        Some(Mapping {
            family: family?,
            currency: currency?.code().to_owned(),
            separator,
            decimal_comma,
            columns: columns?,
            each: each.unwrap_or_default(),
            offer,
        })
    })
}

fn offer(value: Value<'_>) -> Option<OfferColumns> {
    let mut map = value.fields()?;
    let supplier = map.required("supplier", Value::text);
    let mut terms = Vec::new();
    for key in ["pack", "minimum_order", "lead"] {
        terms.extend(map.required(key, flow).map(|text| (key, text)));
    }
    let stock = map.optional("stock", Value::text);
    let prices = map.required("price", |value| {
        let prices =
            value.entries()?.filter_map(|(name, value)| Some((name.count(1..=100_000_000)?, value.text()?)));
        Some(prices.collect())
    });
    map.finish();
    Some(OfferColumns { supplier: supplier?, terms, prices: prices?, stock })
}

/// A value on one line, every scalar in quotes.
fn flow(value: Value<'_>) -> Option<String> {
    if value.is_map() {
        let pairs: Option<Vec<String>> = value
            .entries()?
            .map(|(name, value)| Some(format!("{}: {}", quoted(name.str()?), flow(value)?)))
            .collect();
        return Some(format!("{{{}}}", pairs?.join(", ")));
    }
    if value.is_list() {
        let items: Option<Vec<String>> = value.items()?.map(flow).collect();
        return Some(format!("[{}]", items?.join(", ")));
    }
    value.str().map(quoted)
}

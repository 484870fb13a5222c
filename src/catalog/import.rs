//! A sheet from a purchaser's spreadsheet as a catalog file: a mapping names which column holds which rating.
//!
//! Writes the rows in our layout and reads them back with the catalog's own reader, so that a sheet is held to the same rules
//! as any file. Every fault is told by row and column of the sheet.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{
    check, consistency,
    sheet::{self, SheetRow},
};
use crate::document::{self, Faults, Source, Value, suggestion};

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

/// A fault of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SheetFault {
    /// Line of the sheet, from 1; 0 where the mapping is at fault.
    pub line: usize,
    /// Head of the column; empty where the row as a whole is at fault.
    pub column: String,
    /// What is wrong.
    pub message: String,
}

/// What came of a sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Import {
    /// The catalog file.
    pub yaml: String,
    /// Rows of the sheet.
    pub parts: usize,
    /// What is wrong, by line and column.
    pub faults: Vec<SheetFault>,
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

/// Text in double quotes, as YAML and JSON read it alike.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// The file being written, and which bytes of it came from which cell.
#[derive(Default)]
struct Draft {
    yaml: String,
    cells: Vec<(usize, usize, usize, String)>,
}

impl Draft {
    fn cell(&mut self, line: usize, column: &str, text: &str) {
        let start = self.yaml.len();
        self.yaml.push_str(text);
        self.cells.push((start, self.yaml.len(), line, column.to_owned()));
    }

    /// Line and column of the narrowest cell around a byte.
    fn place(&self, at: usize) -> (usize, String) {
        let around = self.cells.iter().filter(|(start, end, ..)| (*start..*end).contains(&at));
        let narrowest = around.min_by_key(|(start, end, ..)| end - start);
        narrowest.map_or((0, String::new()), |(_, _, line, column)| (*line, column.clone()))
    }
}

/// Turns a sheet into a catalog file, and lists all that is wrong with it.
pub fn import(mapping: &Mapping, name: &str, text: &str) -> Import {
    let mut found = Import::default();
    let rows = match sheet::rows(text, mapping.separator) {
        Ok(rows) => rows,
        Err(open) => {
            found.faults.push(SheetFault {
                line: open.line,
                column: String::new(),
                message: open.to_string(),
            });
            return found;
        }
    };
    let Some((head, rows)) = rows.split_first() else {
        found.faults.push(SheetFault {
            line: 1,
            column: String::new(),
            message: "the sheet is empty".to_owned(),
        });
        return found;
    };
    let heads = heads(mapping, head, &mut found.faults);
    found.parts = rows.len();
    let draft = draft(mapping, name, rows, (head.cells.len(), &heads), &mut found.faults);
    judge(name, &draft, &mut found.faults);
    found.faults.sort();
    found.faults.dedup();
    found.yaml = draft.yaml;
    found
}

/// Place of each column that the mapping names.
fn heads(mapping: &Mapping, head: &SheetRow, faults: &mut Vec<SheetFault>) -> BTreeMap<String, usize> {
    let offer = mapping
        .offer
        .iter()
        .flat_map(|offer| offer.prices.iter().map(|(_, header)| header).chain(offer.stock.as_ref()));
    let mut places = BTreeMap::new();
    for wanted in mapping.columns.iter().map(|column| &column.header).chain(offer) {
        if let Some(at) = head.cells.iter().position(|cell| cell == wanted) {
            places.insert(wanted.clone(), at);
            continue;
        }
        let near = suggestion(wanted, head.cells.iter().map(String::as_str));
        let hint = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
        let message = format!("the sheet has no such column{hint}");
        faults.push(SheetFault { line: head.line, column: wanted.clone(), message });
    }
    places
}

fn draft(
    mapping: &Mapping,
    name: &str,
    rows: &[SheetRow],
    (width, heads): (usize, &BTreeMap<String, usize>),
    faults: &mut Vec<SheetFault>,
) -> Draft {
    let mut draft = Draft::default();
    let title: String = name.chars().filter(|letter| !letter.is_control()).collect();
    draft.yaml.push_str(&format!("# Read from the sheet {title}.\n"));
    draft.yaml.push_str(&format!("family: {}\ncurrency: {}\n", quoted(&mapping.family), mapping.currency));
    let terms = mapping.offer.as_ref().map_or_else(String::new, |offer| {
        let terms: Vec<String> = offer.terms.iter().map(|(key, text)| format!("{key}: {text}")).collect();
        format!("{}: {{{}}}", quoted(&offer.supplier), terms.join(", "))
    });
    draft.yaml.push_str(&format!("suppliers: {{{terms}}}\nseries:\n  - each:\n"));
    for (key, text) in &mapping.each {
        draft.yaml.push_str(&format!("      {}: {text}\n", quoted(key)));
    }
    if mapping.each.is_empty() {
        draft.yaml.push_str("      {}\n");
    }
    draft.yaml.push_str("    rows:\n");
    for row in rows {
        if row.cells.len() > width {
            let message = format!("found {} cells, allowed {width}", row.cells.len());
            faults.push(SheetFault { line: row.line, column: String::new(), message });
        }
        let start = draft.yaml.len();
        draft.yaml.push_str("      - {");
        ratings(mapping, row, heads, &mut draft);
        if let Some(offer) = &mapping.offer {
            offers(mapping, offer, row, heads, &mut draft, faults);
        }
        draft.yaml.push_str("}\n");
        draft.cells.push((start, draft.yaml.len(), row.line, String::new()));
    }
    draft
}

/// A cell that is there and not empty.
fn text<'r>(row: &'r SheetRow, heads: &BTreeMap<String, usize>, header: &str) -> Option<&'r str> {
    let cell = row.cells.get(*heads.get(header)?)?;
    (!cell.is_empty()).then_some(cell.as_str())
}

/// A number with a decimal comma, if that is how the sheet writes them, with a point.
fn pointed(mapping: &Mapping, cell: &str) -> String {
    let number = cell.split(' ').next().unwrap_or(cell);
    let plain = number.bytes().all(|byte| byte.is_ascii_digit() || byte == b',' || byte == b'-');
    if mapping.decimal_comma && plain && number.matches(',').count() == 1 {
        cell.replacen(',', ".", 1)
    } else {
        cell.to_owned()
    }
}

fn ratings(mapping: &Mapping, row: &SheetRow, heads: &BTreeMap<String, usize>, draft: &mut Draft) {
    let mut open: Option<&str> = None;
    let mut sorted: Vec<&Column> = mapping.columns.iter().collect();
    // Parts of a nested key stand together; plain keys first, in the order of the mapping.
    sorted.sort_by_key(|column| column.key.split_once('.').map(|(outer, _)| outer));
    let mut first = true;
    for column in sorted {
        let Some(cell) = text(row, heads, &column.header) else { continue };
        let mut cell = pointed(mapping, cell);
        if let Some(unit) = &column.unit
            && cell.parse::<f64>().is_ok()
        {
            cell = format!("{cell} {unit}");
        }
        let (outer, key) =
            column.key.split_once('.').map_or((None, column.key.as_str()), |(a, b)| (Some(a), b));
        if open != outer {
            if open.is_some() {
                draft.yaml.push('}');
            }
            if let Some(outer) = outer {
                draft.yaml.push_str(if first { "" } else { ", " });
                draft.yaml.push_str(&format!("{}: {{", quoted(outer)));
                first = true;
            }
            open = outer;
        }
        draft.yaml.push_str(if first { "" } else { ", " });
        first = false;
        draft.cell(row.line, &column.header, &format!("{}: {}", quoted(key), quoted(&cell)));
    }
    if open.is_some() {
        draft.yaml.push('}');
    }
}

fn offers(
    mapping: &Mapping,
    offer: &OfferColumns,
    row: &SheetRow,
    heads: &BTreeMap<String, usize>,
    draft: &mut Draft,
    faults: &mut Vec<SheetFault>,
) {
    let mut breaks = Vec::new();
    for (from, header) in &offer.prices {
        let Some(cell) = text(row, heads, header) else { continue };
        let price = pointed(mapping, cell);
        if Decimal::from_str_exact(&price).is_ok_and(|price| price > Decimal::ZERO) {
            breaks.push(format!("{from}: {price}"));
        } else {
            let message = format!("found `{cell}`, allowed a price such as `0.12`");
            faults.push(SheetFault { line: row.line, column: header.clone(), message });
        }
    }
    if breaks.is_empty() {
        return;
    }
    let heads_of_prices: Vec<&str> = offer.prices.iter().map(|(_, header)| header.as_str()).collect();
    draft.yaml.push_str(&format!(", offers: {{{}: {{", quoted(&offer.supplier)));
    draft.cell(row.line, &heads_of_prices.join(", "), &format!("price: {}", quoted(&breaks.join(", "))));
    draft.yaml.push_str(", ");
    let stock = offer.stock.as_ref().and_then(|header| text(row, heads, header)).unwrap_or("0");
    draft.cell(row.line, offer.stock.as_deref().unwrap_or_default(), &format!("stock: {}", quoted(stock)));
    draft.yaml.push_str("}}");
}

/// Reads the draft as a catalog and puts every fault at its cell.
fn judge(name: &str, draft: &Draft, faults: &mut Vec<SheetFault>) {
    let source = Source::new(name, draft.yaml.clone());
    match check::read(std::slice::from_ref(&source)) {
        Ok(catalog) => {
            for finding in consistency(&catalog) {
                let quoted = format!("{}: {}", quoted("id"), quoted(&finding.part.0));
                let line = draft.yaml.find(&quoted).map_or(0, |at| draft.place(at).0);
                let message = format!("`{}` {}: {}", finding.part, finding.check, finding.message);
                faults.push(SheetFault { line, column: String::new(), message });
            }
        }
        Err(found) => {
            for (_, fault) in found.iter() {
                let (line, column) = draft.place(fault.span.start as usize);
                let mut message = fault.message.clone();
                if let Some(found) = &fault.found {
                    message = format!("{message}: found {found}");
                }
                if let Some(allowed) = &fault.allowed {
                    message = format!("{message}, allowed {allowed}");
                }
                let row_fault = fault.message.starts_with("missing key");
                let column = if row_fault { String::new() } else { column };
                faults.push(SheetFault { line, column, message });
            }
        }
    }
}

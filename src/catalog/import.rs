//! A sheet from a purchaser's spreadsheet as a catalog file: a mapping names which column holds which rating.
//!
//! Writes the rows in our layout and reads them back with the catalog's own reader, so that a sheet is held to the same rules
//! as any file. Every fault is told by row and column of the sheet.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

pub use super::mapping::{Column, Mapping, OfferColumns, mapping};
use super::{
    check, consistency,
    sheet::{self, SheetRow},
};
use crate::document::{Source, suggestion};

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

/// Text in double quotes, as YAML and JSON read it alike.
pub(super) fn quoted(text: &str) -> String {
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
    if let Some(fault) = other_separator(mapping, head) {
        found.faults.push(fault);
        return found;
    }
    let heads = heads(mapping, head, &mut found.faults);
    found.parts = rows.len();
    if !found.faults.is_empty() || rows.is_empty() {
        // Without its columns every row would be at fault once more.
        let message = "the sheet has no rows below its heads".to_owned();
        let none = SheetFault { line: head.line, column: String::new(), message };
        found.faults.extend(rows.is_empty().then_some(none));
        return found;
    }
    listed_twice(mapping, rows, &heads, &mut found.faults);
    let draft = draft(mapping, name, rows, (head.cells.len(), &heads), &mut found.faults);
    judge(name, &draft, &mut found.faults);
    found.faults.sort();
    found.faults.dedup();
    found.yaml = draft.yaml;
    found
}

/// A sheet of one column whose head holds another separator.
fn other_separator(mapping: &Mapping, head: &SheetRow) -> Option<SheetFault> {
    let [only] = head.cells.as_slice() else { return None };
    let other = [',', ';', '\t'].into_iter().find(|one| *one != mapping.separator && only.contains(*one))?;
    let name = |one: char| if one == '\t' { "tab".to_owned() } else { format!("`{one}`") };
    let message =
        format!("the cells are separated by {}, the mapping says {}", name(other), name(mapping.separator));
    Some(SheetFault { line: head.line, column: String::new(), message })
}

/// Part numbers that stand in more than one row.
fn listed_twice(
    mapping: &Mapping,
    rows: &[SheetRow],
    heads: &BTreeMap<String, usize>,
    faults: &mut Vec<SheetFault>,
) {
    let Some(column) = mapping.columns.iter().find(|column| column.key == "id") else { return };
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    for row in rows {
        let Some(id) = text(row, heads, &column.header) else { continue };
        let before = *first.entry(id).or_insert(row.line);
        if before != row.line {
            let message = format!("part `{id}` stands in row {before} already");
            faults.push(SheetFault { line: row.line, column: column.header.clone(), message });
        }
    }
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
            let twice = head.cells.iter().skip(at + 1).any(|cell| cell == wanted);
            if twice && !places.contains_key(wanted) {
                let message = "the sheet has several columns of this head".to_owned();
                faults.push(SheetFault { line: head.line, column: wanted.clone(), message });
            }
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

/// A cell whose number, if it begins with one, is written with a point and without signs between its thousands.
fn pointed(mapping: &Mapping, cell: &str) -> String {
    let (number, rest) = match cell.find([' ', '\u{a0}']) {
        Some(at) => cell.split_at(at),
        None => (cell, ""),
    };
    let (decimal, grouping) = if mapping.decimal_comma { (',', '.') } else { ('.', ',') };
    let (sign, digits) = number.strip_prefix('-').map_or(("", number), |digits| ("-", digits));
    let (whole, part) = digits.split_once(decimal).map_or((digits, None), |(a, b)| (a, Some(b)));
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let mut groups = whole.split(grouping);
    let first = groups.next().unwrap_or_default();
    let grouped = (1..=3).contains(&first.len()) && groups.all(|group| group.len() == 3 && all_digits(group));
    let plain = !whole.contains(grouping) && !whole.is_empty();
    if !(plain || grouped)
        || !all_digits(first)
        || !part.is_none_or(|part| !part.is_empty() && all_digits(part))
    {
        return cell.to_owned();
    }
    let part = part.map(|part| format!(".{part}")).unwrap_or_default();
    format!("{sign}{}{part}{rest}", whole.replace(grouping, ""))
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
            let sample = if mapping.decimal_comma { "0,12" } else { "0.12" };
            let message = format!("found `{cell}`, allowed a price such as `{sample}`");
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
    let stock = quoted(&pointed(mapping, stock));
    draft.cell(row.line, offer.stock.as_deref().unwrap_or_default(), &format!("stock: {stock}"));
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
            // Parts listed twice are told already, with both rows.
            for (_, fault) in found.iter().filter(|(_, fault)| !fault.message.ends_with("is listed twice")) {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn read(decimal_comma: bool, cell: &str) -> String {
        let mapping = Mapping {
            family: String::new(),
            currency: String::new(),
            separator: ';',
            decimal_comma,
            columns: Vec::new(),
            each: Vec::new(),
            offer: None,
        };
        pointed(&mapping, cell)
    }

    #[test]
    fn numbers_are_read_as_the_sheet_writes_them() {
        for (cell, comma, point) in [
            ("0,12", "0.12", "0,12"),
            ("1.500", "1500", "1.500"),
            ("1,500", "1.500", "1500"),
            ("12.345,6 uF", "12345.6 uF", "12.345,6 uF"),
            ("-4", "-4", "-4"),
            ("1.50", "1.50", "1.50"),
            ("10,", "10,", "10,"),
            ("M3,5", "M3,5", "M3,5"),
            ("", "", ""),
        ] {
            assert_eq!((read(true, cell), read(false, cell)), (comma.to_owned(), point.to_owned()), "{cell}");
        }
    }
}

//! The lists of a dossier as comma-separated values (RFC 4180) that a spreadsheet opens without running anything.
//!
//! Figures are written as plain numbers in SI units beside their unit, so that a spreadsheet can sort and sum them.

use super::page::{Cell, Kind, Page, Table, Value};
use crate::review::Dossier;

/// Every list of a dossier: its name and its text.
pub fn render(dossier: &Dossier) -> Vec<(&'static str, String)> {
    Page::whole(dossier).tables().map(|table| (table.name, table_text(table))).collect()
}

/// The table of a name; empty where the page has none.
pub fn named(page: &Page, name: &str) -> String {
    page.tables().find(|table| table.name == name).map_or_else(String::new, table_text)
}

/// One table.
pub fn table_text(table: &Table) -> String {
    let mut out = String::new();
    let mut heads = Vec::new();
    for column in &table.columns {
        heads.push(text_cell(&column.head));
        if let Some(extra) = extra_head(column.kind) {
            heads.push(text_cell(&format!("{} {extra}", column.head)));
        }
    }
    line(&mut out, &heads);
    for row in &table.rows {
        let mut cells = Vec::new();
        for (column, cell) in table.columns.iter().zip(row) {
            let (value, unit) = plain(cell);
            cells.push(value);
            if extra_head(column.kind).is_some() {
                cells.push(unit);
            }
        }
        line(&mut out, &cells);
    }
    out
}

fn extra_head(kind: Kind) -> Option<&'static str> {
    match kind {
        Kind::Figure => Some("unit"),
        Kind::Money => Some("currency"),
        Kind::Text | Kind::Code | Kind::Whole | Kind::Count | Kind::Verdict => None,
    }
}

/// A cell's value and its unit or currency.
fn plain(cell: &Cell) -> (String, String) {
    match cell.value {
        Value::Text => {
            (text_cell(if cell.text == super::page::DASH { "" } else { &cell.text }), String::new())
        }
        Value::Figure(figure) => (figure.value().to_string(), text_cell(figure.unit().symbol())),
        Value::Money(money) => (money.amount.to_string(), text_cell(money.currency.code())),
        Value::Count(count) => (count.to_string(), String::new()),
    }
}

/// Text that no spreadsheet takes for a formula, quoted where it must be.
fn text_cell(text: &str) -> String {
    let defused =
        if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() };
    if defused.contains([',', '"', '\n', '\r', ';']) {
        format!("\"{}\"", defused.replace('"', "\"\""))
    } else {
        defused
    }
}

fn line(out: &mut String, cells: &[String]) {
    out.push_str(&cells.join(","));
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::text_cell;

    /// Source: RFC 4180, section 2 (quoting). The apostrophe is common practice, no source.
    #[test]
    fn formulas_are_defused_and_quotes_are_doubled() {
        assert_eq!(text_cell("=1+1"), "'=1+1");
        assert_eq!(text_cell("@SUM(A1)"), "'@SUM(A1)");
        assert_eq!(text_cell("a, \"b\""), "\"a, \"\"b\"\"\"");
        assert_eq!(text_cell("2200 µF"), "2200 µF");
    }
}

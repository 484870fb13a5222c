//! Parts of a catalog, findings about them and faults of a sheet, as pages. No arithmetic.

use super::page::{Block, Cell, DASH, Kind, Page, Place, Table};
use crate::catalog::{Common, Finding, check::raw::RawRow, import::Import};

/// A part that was found: its row, and what every part has.
pub type Found<'a> = (&'a RawRow, Option<&'a Common>);

impl Page {
    /// What a check of a catalog found.
    pub fn of_findings(name: &str, parts: usize, findings: &[Finding]) -> Self {
        let mut page = Self::new(&format!("Catalog {name}"));
        let good = findings.is_empty();
        let text = if good {
            format!("{parts} parts, and nothing found that does not agree")
        } else {
            format!(
                "{} ratings do not agree with the others or with physics, among {parts} parts",
                findings.len()
            )
        };
        page.blocks.push(Block::Conclusion { good, text });
        let mut table = Table::new(
            "findings",
            "",
            &[
                ("Part", Kind::Code, Place::Key),
                ("Check", Kind::Code, Place::First),
                ("Finding", Kind::Text, Place::First),
            ],
        );
        for finding in findings {
            table.push(vec![
                Cell::text(&finding.part.0),
                Cell::text(finding.check),
                Cell::text(&finding.message),
            ]);
        }
        page.table(table);
        page
    }

    /// Parts of a family with the ratings under some keys.
    pub fn of_parts(family: &str, found: &[Found<'_>], keys: &[&str]) -> Self {
        let mut page = Self::new(&format!("Parts: {family}"));
        let text = match found.len() {
            0 => "no part fulfils every condition".to_owned(),
            1 => "1 part".to_owned(),
            count => format!("{count} parts"),
        };
        page.blocks.push(Block::Conclusion { good: !found.is_empty(), text });
        let mut columns = vec![("Part", Kind::Code, Place::Key), ("Maker", Kind::Text, Place::First)];
        columns.extend(keys.iter().map(|key| (*key, Kind::Text, Place::First)));
        columns.push(("Lifecycle", Kind::Text, Place::First));
        columns.push(("Offers", Kind::Text, Place::First));
        let mut table = Table::new("parts", "", &columns);
        for (row, common) in found {
            let joined = |key: &str| row.texts(key).collect::<Vec<_>>().join(" / ");
            let mut cells = vec![Cell::text(&row.id), Cell::text(&joined("maker"))];
            cells.extend(keys.iter().map(|key| Cell::text(&joined(key))));
            cells.push(Cell::text(&joined("lifecycle")));
            cells.push(Cell::text(&offers(*common)));
            table.push(cells);
        }
        page.table(table);
        page
    }

    /// What came of a sheet.
    pub fn of_import(sheet: &str, import: &Import, written: Option<&str>) -> Self {
        let mut page = Self::new(&format!("Sheet {sheet}"));
        let good = import.faults.is_empty();
        let text = match (good, written) {
            (true, Some(path)) => format!("{} parts read and written to {path}", import.parts),
            (true, None) => {
                format!("{} parts can be read; nothing is written without `--write`", import.parts)
            }
            (false, _) => {
                let (faults, rows) = (import.faults.len(), import.parts);
                let word =
                    |count: usize, one: &'static str, many: &'static str| if count == 1 { one } else { many };
                format!(
                    "{faults} {} in {rows} {}; nothing is written",
                    word(faults, "fault", "faults"),
                    word(rows, "row", "rows")
                )
            }
        };
        page.blocks.push(Block::Conclusion { good, text });
        let mut table = Table::new(
            "faults",
            "",
            &[
                ("Row", Kind::Count, Place::Key),
                ("Column", Kind::Text, Place::First),
                ("Fault", Kind::Text, Place::First),
            ],
        );
        for fault in &import.faults {
            let row = if fault.line == 0 { "mapping".to_owned() } else { fault.line.to_string() };
            let column = if fault.column.is_empty() { DASH } else { &fault.column };
            table.push(vec![Cell::text(&row), Cell::text(column), Cell::text(&fault.message)]);
        }
        page.table(table);
        page
    }
}

/// The least price of one piece at the least quantity of each supplier.
fn offers(common: Option<&Common>) -> String {
    let list = common.iter().flat_map(|common| &common.offers).filter_map(|offer| {
        let first = offer.breaks.first()?;
        Some(format!("{} {} {} from {}", offer.supplier, first.each, offer.currency, first.from))
    });
    list.collect::<Vec<_>>().join("; ")
}

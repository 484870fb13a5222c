//! A quotation sheet as a page.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table},
    review::ratings::{Bound, Sheet},
};

/// The page; `whole` keeps why a rail has no rows among the rows, for formats that have nothing else.
pub(super) fn ratings(sheet: &Sheet, whole: bool) -> Page {
    let mut page = Page::new(&format!("{}: ratings to quote", sheet.supply));
    page.heading("quoted", "What is to be quoted");
    if !sheet.unsolved.is_empty() {
        let text = if sheet.rows.is_empty() {
            "Nothing can be quoted: no rail of the record could be solved."
        } else {
            "This sheet is not whole: what could not be solved has no rows."
        };
        page.blocks.push(Block::Conclusion { good: false, text: text.to_owned() });
        page.list(&sheet.unsolved);
    }
    page.paragraph(&format!("For {} supplies, derated by {}.", sheet.build_quantity, sheet.policy));
    let mut quoted = Table::new(
        "quoted",
        "Positions and pieces",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Ref", Kind::Code, Place::Key),
            ("Position", Kind::Text, Place::Key),
            ("In one supply", Kind::Count, Place::First),
            ("Pieces, with spares", Kind::Count, Place::First),
            ("Recorded part", Kind::Code, Place::First),
        ],
    );
    for row in &sheet.quoted {
        quoted.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.designators.join(" ")),
            Cell::text(&row.position),
            Cell::count(row.count),
            Cell::count(row.pieces),
            Cell::text(&row.example),
        ]);
    }
    page.table(quoted);
    if !sheet.rows.is_empty() {
        page.heading("ratings", "Ratings that an offered part must have");
    }
    let mut table = Table::new(
        "ratings",
        "Least or greatest rating by position",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Ref", Kind::Code, Place::Key),
            ("Position", Kind::Text, Place::Second),
            ("Rating", Kind::Text, Place::Key),
            ("", Kind::Verdict, Place::First),
            ("Needed", Kind::Figure, Place::First),
            ("Recorded", Kind::Figure, Place::First),
            ("Condition", Kind::Text, Place::First),
            ("Asked by", Kind::Code, Place::Second),
        ],
    );
    for row in &sheet.rows {
        table.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.designators.join(" ")),
            Cell::text(&row.position),
            Cell::text(&row.rating),
            Cell::text(match row.bound {
                Bound::AtLeast => "≥",
                Bound::AtMost => "≤",
                Bound::Text => "is",
            }),
            match row.bound {
                Bound::AtLeast => Cell::figure(row.needed.map(|figure| figure.strictly(true))),
                Bound::AtMost => Cell::figure(row.needed.map(|figure| figure.strictly(false))),
                Bound::Text => Cell::text(&row.text),
            },
            Cell::figure(row.recorded),
            Cell::text(&row.condition),
            Cell::text(&row.by),
        ]);
    }
    for why in sheet.unsolved.iter().filter(|_| whole) {
        let mut row = vec![Cell::text(""); 9];
        for (cell, text) in row.iter_mut().skip(3).zip(["NOT SOLVED", "is", why]) {
            *cell = Cell::text(text);
        }
        table.push(row);
    }
    page.table(table);
    page.heading("notes", "Notes, and whom this sheet defers to");
    page.list(&sheet.notes);
    page.paragraph(&sheet.deferral);
    page
}

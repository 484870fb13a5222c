//! What moves the tightest margins and how far inputs may go, and failure rates.
//!
//! Knows no format.

use crate::{
    report::page::{Cell, Kind, Page, Place, Table},
    review::{reliability::Reliability, sensitivity::Margin},
};

/// Movers and edges.
pub(super) fn sensitivity(page: &mut Page, margins: &[Margin]) {
    if margins.is_empty() {
        return;
    }
    page.heading("sensitivity", "What moves the tightest margins, and how far until they are gone");
    page.paragraph(
        "Each input changed alone and the rail solved anew at every vertex; nothing is linearised. The air inside follows the \
         room, and the heat where the enclosure is given by its thermal resistance. An edge is the last value at which that \
         stress holds: every vertex was solved there, on the way to it those that are worst.",
    );
    let mut list = Table::new(
        "margins",
        "The tightest margins that an input moves",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Rail", Kind::Code, Place::First),
            ("Position", Kind::Code, Place::First),
            ("Stress", Kind::Code, Place::First),
            ("Used", Kind::Figure, Place::First),
        ],
    );
    let mut movers = Table::new(
        "movers",
        "Inputs that move them, the strongest first; numbers as above",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Input", Kind::Text, Place::First),
            ("Change", Kind::Text, Place::First),
            ("Used then", Kind::Figure, Place::First),
            ("Moved by", Kind::Figure, Place::First),
        ],
    );
    let mut edges = Table::new(
        "edges",
        "The true edges: how far an input may go alone",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Input", Kind::Text, Place::First),
            ("Now", Kind::Figure, Place::First),
            ("Edge", Kind::Figure, Place::First),
            ("Remark", Kind::Text, Place::First),
        ],
    );
    for (number, margin) in (1..).zip(margins) {
        list.push(vec![
            Cell::count(number),
            Cell::text(&margin.rail),
            Cell::text(&margin.position),
            Cell::text(&margin.stress),
            Cell::figure(margin.used),
        ]);
        for mover in &margin.movers {
            movers.push(vec![
                Cell::count(number),
                Cell::text(&mover.input),
                Cell::text(&mover.change),
                Cell::figure(mover.used),
                Cell::figure(mover.moved),
            ]);
        }
        for edge in &margin.edges {
            edges.push(vec![
                Cell::count(number),
                Cell::text(&edge.input),
                Cell::figure(edge.now),
                Cell::figure(edge.edge),
                Cell::text(&edge.note),
            ]);
        }
    }
    page.table(list);
    page.table(movers);
    page.table(edges);
}

/// Failure rates.
pub(super) fn reliability(page: &mut Page, rates: &Reliability) {
    page.heading("reliability", "Failure rates, to compare variants with each other");
    page.paragraph(&rates.label);
    let mut table = Table::new(
        "rates",
        "Failures per million hours, ground benign and ground fixed",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Ref", Kind::Code, Place::Key),
            ("Position", Kind::Text, Place::Key),
            ("Elements", Kind::Count, Place::First),
            ("Part stress, benign", Kind::Figure, Place::First),
            ("fixed", Kind::Figure, Place::First),
            ("Parts count, benign", Kind::Figure, Place::First),
            ("fixed", Kind::Figure, Place::First),
            ("Given for part stress", Kind::Text, Place::Second),
        ],
    );
    for row in &rates.rows {
        table.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.designators.join(" ")),
            Cell::text(&row.position),
            Cell::count(row.elements),
            Cell::figure(row.benign),
            Cell::figure(row.fixed),
            Cell::figure(row.counted_benign),
            Cell::figure(row.counted_fixed),
            Cell::text(&row.given),
        ]);
    }
    table.push(vec![
        Cell::text(""),
        Cell::text(""),
        Cell::text("sum"),
        Cell::dash(),
        Cell::figure(rates.benign),
        Cell::figure(rates.fixed),
        Cell::figure(rates.counted_benign),
        Cell::figure(rates.counted_fixed),
        Cell::text("of the parts with a model"),
    ]);
    page.table(table);
    if !rates.without.is_empty() {
        page.paragraph("Not counted:");
        page.list(&rates.without);
    }
}

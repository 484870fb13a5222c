//! Why this and not that: reasons by position, the topologies considered, the alternatives, notes of the search.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table, clean},
    review::{Dossier, Outcome, SearchNote, TopologyRow, choice::Alternative},
};

/// Why these parts.
pub(super) fn why(page: &mut Page, dossier: &Dossier) {
    page.heading("why", "Why this and not that");
    let mut table = Table::new(
        "why",
        "What each position must do, and what limits it",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Position", Kind::Text, Place::Key),
            ("Why", Kind::Text, Place::First),
        ],
    );
    for line in &dossier.why {
        table.push(vec![Cell::text(&line.rail), Cell::text(&line.position), Cell::text(&line.text)]);
    }
    page.table(table);
    let Some(choice) = &dossier.choice else {
        page.paragraph("This record was reviewed as handed over; no search was made for another design.");
        return;
    };
    topologies(page, &choice.topologies);
    alternatives(page, &choice.alternatives);
    notes(page, &choice.notes);
}

/// Every topology considered.
pub(super) fn topologies(page: &mut Page, rows: &[TopologyRow]) {
    let mut table = Table::new(
        "topologies",
        "Every topology, and the best that the catalog makes of it",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Topology", Kind::Code, Place::Key),
            ("Outcome", Kind::Text, Place::First),
            ("Cost", Kind::Money, Place::First),
            ("Loss", Kind::Figure, Place::First),
            ("Volume", Kind::Figure, Place::First),
            ("Transformer", Kind::Figure, Place::First),
            ("dc out of it", Kind::Figure, Place::First),
            ("Parts, or what forbids it", Kind::Text, Place::Second),
        ],
    );
    for row in rows {
        let mut cells = vec![Cell::text(&row.rail), Cell::text(&row.topology)];
        match &row.outcome {
            Outcome::Best { cost, loss, volume, rating, utilisation, parts, chosen } => cells.extend([
                Cell::text(if *chosen { "chosen" } else { "can be built" }),
                Cell::money(Some(*cost)),
                Cell::figure(Some(*loss)),
                Cell::figure(Some(*volume)),
                Cell::figure(Some(*rating)),
                Cell::figure(Some(*utilisation)),
                Cell::text(&parts.join(", ")),
            ]),
            Outcome::Impossible { position, stress, by } => {
                cells.push(Cell::text("impossible"));
                cells.extend(std::iter::repeat_with(Cell::dash).take(5));
                cells.push(Cell::text(&format!("{position}, {stress}: {by}")));
            }
            Outcome::NotAllowed => {
                cells.push(Cell::text("not allowed"));
                cells.extend(std::iter::repeat_with(Cell::dash).take(5));
                cells.push(Cell::text("the requirement does not list it"));
            }
            Outcome::NoPair => {
                cells.push(Cell::text("no pair"));
                cells.extend(std::iter::repeat_with(Cell::dash).take(5));
                cells.push(Cell::text("takes two rails on one transformer; none was found that scores less"));
            }
            Outcome::NotBuilt => {
                cells.push(Cell::text("not looked at"));
                cells.extend(std::iter::repeat_with(Cell::dash).take(5));
                cells.push(Cell::text("this version does not design it"));
            }
        }
        table.push(cells);
    }
    page.table(table);
}

/// The best distinct alternatives.
fn alternatives(page: &mut Page, alternatives: &[Alternative]) {
    if alternatives.is_empty() {
        return;
    }
    let mut table = Table::new(
        "alternatives",
        "The best distinct alternatives to the design",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Rail", Kind::Code, Place::First),
            ("Cost", Kind::Money, Place::First),
            ("Loss", Kind::Figure, Place::First),
            ("Volume", Kind::Figure, Place::First),
            ("Mass", Kind::Figure, Place::First),
            ("Differs", Kind::Text, Place::Second),
            ("Would gain", Kind::Text, Place::Second),
            ("Would lose", Kind::Text, Place::Second),
        ],
    );
    for (number, one) in (1..).zip(alternatives) {
        table.push(vec![
            Cell::count(number),
            Cell::text(&one.rail),
            Cell::money(Some(one.cost)),
            Cell::figure(Some(one.loss)),
            Cell::figure(Some(one.volume)),
            Cell::figure(one.mass),
            Cell::text(&one.differs.join("; ")),
            Cell::text(&one.gains.join("; ")),
            Cell::text(&one.losses.join("; ")),
        ]);
    }
    page.table(table);
}

/// What the reader should know of the search.
pub(super) fn notes(page: &mut Page, notes: &[SearchNote]) {
    if notes.is_empty() {
        return;
    }
    page.blocks.push(Block::Subheading(String::from("How the search went")));
    page.blocks.push(Block::List(notes.iter().map(|note| clean(&note.text)).collect()));
}

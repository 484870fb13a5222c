//! The answer that nothing fits: what binds, what would have to give.
//!
//! Knows no format.

use super::{front, search};
use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table, clean},
    review::{Infeasible, deferral},
};

/// The page that says why nothing fits.
pub(super) fn infeasible(answer: &Infeasible) -> Page {
    let mut page = Page::new(&answer.supply).as_kind("Linear mains supply · no design fits");
    page.heading("summary", "Summary");
    if !answer.description.is_empty() {
        page.paragraph(&answer.description);
    }
    page.blocks.push(Block::Conclusion {
        good: false,
        text: String::from("No combination of catalog parts meets this requirement under this policy."),
    });
    bindings(&mut page, answer);
    relaxations(&mut page, answer);
    if !answer.topologies.is_empty() {
        page.heading("why", "Every topology considered");
        search::topologies(&mut page, &answer.topologies);
    }
    search::notes(&mut page, &answer.notes);
    front::assumptions(&mut page, &answer.assumptions);
    page.heading("notes", "Whom this report defers to");
    page.paragraph(&deferral());
    page
}

fn bindings(page: &mut Page, answer: &Infeasible) {
    page.heading("binding", "What binds");
    let mut table = Table::new(
        "bindings",
        "The position that cannot be filled, and the part that comes closest",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Position", Kind::Code, Place::Key),
            ("Stress", Kind::Code, Place::First),
            ("Closest part", Kind::Code, Place::First),
            ("Misses by", Kind::Text, Place::First),
        ],
    );
    for one in &answer.bindings {
        table.push(vec![
            Cell::text(&one.rail),
            Cell::text(&one.position),
            Cell::text(&one.stress),
            Cell::text(&one.best_part),
            Cell::text(&one.misses_by),
        ]);
    }
    page.table(table);
    for one in answer.bindings.iter().filter(|one| !one.chain.is_empty()) {
        page.blocks
            .push(Block::Subheading(clean(&format!("How {}, {} comes to this", one.rail, one.position))));
        page.list(&one.chain);
    }
}

fn relaxations(page: &mut Page, answer: &Infeasible) {
    if answer.relaxations.is_empty() {
        return;
    }
    page.heading("relaxations", "What would make it possible");
    let mut table = Table::new(
        "relaxations",
        "The smallest change of each requirement alone, found by solving",
        &[
            ("Key", Kind::Code, Place::Key),
            ("Asked", Kind::Text, Place::First),
            ("Changed to", Kind::Text, Place::First),
            ("Then", Kind::Verdict, Place::First),
        ],
    );
    for one in &answer.relaxations {
        table.push(vec![
            Cell::text(&one.key),
            Cell::text(&one.from),
            Cell::text(&one.to),
            Cell::text(if one.feasible { "a design exists" } else { "still nothing fits" }),
        ]);
    }
    page.table(table);
}

//! Figures at nominal, the textbook column, the workings.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Cell, Formula, Kind, Page, Place, Step, Table, clean},
    review::Dossier,
};

/// Figures at nominal.
pub(super) fn nominal(page: &mut Page, dossier: &Dossier) {
    if dossier.nominal.is_empty() {
        return;
    }
    page.heading("nominal", "Figures at nominal mains and full load");
    let mut table = Table::new(
        "nominal",
        "Exact steady state, everything nominal and warm",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Figure", Kind::Text, Place::Key),
            ("Value", Kind::Figure, Place::First),
        ],
    );
    for row in &dossier.nominal {
        table.push(vec![Cell::text(&row.rail), Cell::text(&row.figure), Cell::figure(Some(row.value))]);
    }
    page.table(table);
}

/// Textbook column.
pub(super) fn textbook(page: &mut Page, dossier: &Dossier) {
    if dossier.textbook.is_empty() {
        return;
    }
    page.heading("textbook", "The textbook column");
    page.paragraph(
        "What the textbooks' constants and the rules of thumb make of this design, beside the exact solution at nominal. \
         Nothing was chosen or judged by them.",
    );
    let mut table = Table::new(
        "textbook",
        "Rule of thumb against exact solution",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Figure", Kind::Text, Place::Key),
            ("Rule", Kind::Text, Place::First),
            ("Textbook", Kind::Figure, Place::First),
            ("Exact", Kind::Figure, Place::First),
            ("Exact/textbook", Kind::Figure, Place::First),
        ],
    );
    for row in &dossier.textbook {
        table.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.figure),
            Cell::text(&row.expression),
            Cell::figure(Some(row.textbook)),
            Cell::figure(Some(row.exact)),
            Cell::figure(row.ratio),
        ]);
    }
    page.table(table);
    let several =
        dossier.lesson.iter().any(|step| Some(&step.rail) != dossier.lesson.first().map(|one| &one.rail));
    for step in &dossier.lesson {
        let whose = if several { format!(", rail {}", step.rail) } else { String::new() };
        page.blocks.push(Block::Step(Step {
            title: clean(&format!("{}{whose}", step.title)),
            lines: step.lines.clone(),
            substituted: step.substituted.clone(),
            symbols: step.symbols.clone(),
            textbook: ("without a reservoir", step.without_reservoir.text()),
            exact: ("exact, with the reservoir", step.with_reservoir.text()),
            change: step.change.clone(),
            domain: step.domain.clone(),
            source: step.source.clone(),
        }));
    }
}

/// Workings.
pub(super) fn workings(page: &mut Page, dossier: &Dossier) {
    if dossier.workings.is_empty() {
        return;
    }
    page.heading("workings", "Workings");
    let mut rail = None;
    for row in &dossier.workings {
        if rail != Some(&row.rail) {
            rail = Some(&row.rail);
            page.blocks.push(Block::Subheading(clean(&format!("Rail {}", row.rail))));
        }
        page.blocks.push(Block::Formula(Formula {
            purpose: clean(&row.purpose),
            equation: clean(&row.equation),
            substituted: clean(&row.substituted),
            symbols: row.symbols.iter().map(|(name, meaning)| (clean(name), clean(meaning))).collect(),
            domain: clean(&row.domain),
            source: clean(&row.source),
        }));
    }
}

//! Figures at nominal, the textbook column, the workings.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Case, Cell, Formula, Kind, Page, Place, Step, Table, clean},
    review::Dossier,
};

/// Figures at nominal.
pub(super) fn nominal(page: &mut Page, dossier: &Dossier) {
    if dossier.nominal.is_empty() {
        return;
    }
    page.heading("nominal", "Figures at nominal mains and full load");
    let rails = rails_of(dossier.nominal.iter().map(|row| row.rail.as_str()));
    let caption = "Exact steady state, everything nominal and warm";
    if !(2..=RAILS_BESIDE).contains(&rails.len()) {
        let columns = [
            ("Rail", Kind::Code, Place::Key),
            ("Figure", Kind::Text, Place::Key),
            ("Value", Kind::Figure, Place::First),
        ];
        let mut table = Table::new("nominal", caption, &columns);
        for row in &dossier.nominal {
            table.push(vec![Cell::text(&row.rail), Cell::text(&row.figure), Cell::figure(Some(row.value))]);
        }
        page.table(table);
        return;
    }
    // Rails side by side: each figure is named once.
    let mut columns = vec![("Figure", Kind::Text, Place::Key)];
    columns.extend(rails.iter().map(|rail| (*rail, Kind::Figure, Place::First)));
    let mut table = Table::new("nominal", caption, &columns);
    for figure in rails_of(dossier.nominal.iter().map(|row| row.figure.as_str())) {
        let mut cells = vec![Cell::text(figure)];
        cells.extend(rails.iter().map(|rail| {
            let row = dossier.nominal.iter().find(|row| row.figure == figure && row.rail == *rail);
            Cell::figure(row.map(|row| row.value))
        }));
        table.push(cells);
    }
    page.table(table);
}

/// Rails that stand side by side in one table.
const RAILS_BESIDE: usize = 4;

/// Each once, in order of first appearance.
fn rails_of<'d>(all: impl Iterator<Item = &'d str>) -> Vec<&'d str> {
    let mut each = Vec::new();
    for one in all {
        if !each.contains(&one) {
            each.push(one);
        }
    }
    each
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
    // Where there are several rails a page tells each rule once.
    table.together = (rails_of(dossier.textbook.iter().map(|row| row.rail.as_str())).len() > 1).then_some(1);
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
    for step in lessons(dossier) {
        page.blocks.push(Block::Step(step));
    }
}

/// Steps of the lesson; what is derived alike for several rails is derived once.
fn lessons(dossier: &Dossier) -> Vec<Step> {
    let several = rails_of(dossier.lesson.iter().map(|step| step.rail.as_str())).len() > 1;
    let mut steps: Vec<Step> = Vec::new();
    for step in &dossier.lesson {
        let case = Case {
            rail: if several { clean(&step.rail) } else { String::new() },
            substituted: step.substituted.clone(),
            textbook: step.without_reservoir.text(),
            exact: step.with_reservoir.text(),
        };
        let alike = |one: &&mut Step| {
            one.title == step.title
                && one.lines == step.lines
                && one.symbols == step.symbols
                && one.change == step.change
        };
        if let Some(same) = steps.iter_mut().find(alike) {
            same.cases.push(case);
            continue;
        }
        steps.push(Step {
            title: step.title.clone(),
            lines: step.lines.clone(),
            symbols: step.symbols.clone(),
            heads: ("without a reservoir", "exact, with the reservoir"),
            cases: vec![case],
            change: step.change.clone(),
            domain: step.domain.clone(),
            source: step.source.clone(),
        });
    }
    steps
}

/// Workings.
pub(super) fn workings(page: &mut Page, dossier: &Dossier) {
    if dossier.workings.is_empty() {
        return;
    }
    page.heading("workings", "Workings");
    let several = rails_of(dossier.workings.iter().map(|row| row.rail.as_str())).len() > 1;
    let mut worked: Vec<Formula> = Vec::new();
    for row in &dossier.workings {
        let case = (if several { clean(&row.rail) } else { String::new() }, clean(&row.substituted));
        let formula = Formula {
            purpose: clean(&row.purpose),
            equation: clean(&row.equation),
            substituted: Vec::new(),
            symbols: row.symbols.iter().map(|(name, meaning)| (clean(name), clean(meaning))).collect(),
            domain: clean(&row.domain),
            source: clean(&row.source),
        };
        let alike = |one: &&mut Formula| {
            let bare = Formula { substituted: Vec::new(), ..(**one).clone() };
            bare == formula
        };
        match worked.iter_mut().find(alike) {
            Some(same) => same.substituted.push(case),
            None => worked.push(Formula { substituted: vec![case], ..formula }),
        }
    }
    page.blocks.extend(worked.into_iter().map(Block::Formula));
}

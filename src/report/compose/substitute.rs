//! Parts tried in one position, as a page: the ranking, and each part's stresses where few were tried.
//!
//! Knows no format.

use crate::{
    report::page::{Block, Cell, Kind, Page, Place, Table, clean},
    review::{
        dossier::Finding,
        substitute::{Substitution, Trial},
    },
};

/// The page: `tried` parts were tried, of which the trials show the first; stresses old against new of `detailed` of them.
pub(super) fn substitute(found: &Substitution, tried: usize, detailed: usize) -> Page {
    let mut page = Page::new(&format!(
        "{}: {} {} instead of {}",
        found.supply,
        found.position,
        found.designators.join(" "),
        found.recorded
    ));
    page.heading("ranking", "Parts tried");
    let fitting = found.trials.iter().filter(|trial| trial.fits).count();
    let more = found.trials.last().is_some_and(|trial| trial.fits) && found.trials.len() < tried;
    page.blocks.push(Block::Conclusion {
        good: fitting > 0,
        text: format!(
            "{}{fitting} of {tried} {} tried {}, all else as recorded.",
            if more { "At least " } else { "" },
            if tried == 1 { "part" } else { "parts" },
            if fitting == 1 { "fits" } else { "fit" },
        ),
    });
    page.table(ranking(found));
    for trial in found.trials.iter().take(detailed) {
        detail(&mut page, trial);
    }
    page
}

fn ranking(found: &Substitution) -> Table {
    let mut table = Table::new(
        "trials",
        "Each recomputed exactly in this circuit; those that fit by cost, then the others by how much is found",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Part", Kind::Code, Place::Key),
            ("Maker", Kind::Text, Place::Second),
            ("Fits", Kind::Verdict, Place::First),
            ("One supply", Kind::Money, Place::First),
            ("Dearer by", Kind::Money, Place::First),
            ("Tightest that moved", Kind::Text, Place::First),
            ("What is found with it", Kind::Text, Place::First),
        ],
    );
    for (number, trial) in (1..).zip(&found.trials) {
        let tightest = trial
            .moved
            .iter()
            .filter_map(|moved| Some((moved, moved.used_after?)))
            .max_by(|a, b| a.1.value().total_cmp(&b.1.value()));
        table.push(vec![
            Cell::count(number),
            Cell::text(&trial.part),
            Cell::text(&trial.maker),
            Cell::text(if trial.fits { "fits" } else { "FAILS" }),
            Cell::money(trial.unit_cost),
            Cell::money(trial.dearer_by),
            tightest.map_or_else(Cell::dash, |(moved, used)| {
                Cell::text(&format!("{} {}", moved.stress, used.text()))
            }),
            Cell::text(&told(trial)),
        ]);
    }
    table
}

/// What is found with a part, in one line.
fn told(trial: &Trial) -> String {
    let codes = |all: &[Finding]| all.iter().map(|one| one.code.as_str()).collect::<Vec<_>>().join(", ");
    let mut parts = Vec::new();
    if !trial.excluded.is_empty() {
        parts.push(trial.excluded.clone());
    }
    if !trial.fails_here.is_empty() {
        parts.push(codes(&trial.fails_here));
    }
    if !trial.fails_elsewhere.is_empty() {
        parts.push(format!("elsewhere: {}", codes(&trial.fails_elsewhere)));
    }
    parts.join("; ")
}

fn detail(page: &mut Page, trial: &Trial) {
    page.blocks.push(Block::Subheading(clean(&format!("With {}", trial.part))));
    let line = |one: &Finding| match one.position.as_str() {
        "" => format!("{}: {}", one.code, one.text),
        position => format!("{position}, {}: {}", one.code, one.text),
    };
    page.list(&trial.fails_here.iter().map(line).collect::<Vec<_>>());
    if !trial.fails_elsewhere.is_empty() {
        page.paragraph("What else must change with it:");
        page.list(&trial.fails_elsewhere.iter().map(line).collect::<Vec<_>>());
    }
    let cured: Vec<String> = trial.cured.iter().map(|one| format!("no more found: {}", line(one))).collect();
    page.list(&cured);
    if trial.moved.is_empty() {
        page.paragraph("No stress moves by as much as the last digit printed.");
    }
    page.table(super::compare::stress_table(&trial.moved));
}

//! Parts tried in one position, as a page: the ranking, and each part's stresses where few were tried.
//!
//! Knows no format.

use super::front::finding_table;
use crate::{
    numeric::tie::coarse,
    report::page::{Block, Cell, Kind, Page, Place, Table, clean, of_rail},
    review::{
        Figure,
        compare::Moved,
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
    as_recorded(&mut page, found);
    page.table(ranking(found));
    for trial in found.trials.iter().take(detailed) {
        detail(&mut page, trial);
    }
    page
}

/// What is found of the record with nothing changed: at the position a part must mend it, elsewhere it is no fault of a part.
fn as_recorded(page: &mut Page, found: &Substitution) {
    let all: Vec<&Finding> = found.found_without.iter().collect();
    if !all.is_empty() {
        page.table(finding_table(
            "found-without",
            "Found of the record as it stands, with nothing changed",
            &all,
        ));
        page.paragraph(
            "A part fits where the record with it can be solved, nothing of this is left at its position, and none of the rest \
             goes farther.",
        );
    }
}

/// The page of several positions: how many parts fit in each, and the cheapest of them.
pub(super) fn overview(found: &[Substitution]) -> Page {
    let supply = found.first().map_or("", |one| one.supply.as_str());
    let mut page = Page::new(&format!("{supply}: what may be bought instead"));
    page.heading("overview", "Parts that fit, piece for piece");
    let fitting = found.iter().filter(|one| !one.allowed().is_empty()).count();
    page.blocks.push(Block::Conclusion {
        good: fitting > 0,
        text: format!(
            "{fitting} of {} positions can be filled otherwise, all else as recorded.",
            found.len()
        ),
    });
    if let Some(first) = found.first() {
        as_recorded(&mut page, first);
    }
    let mut table = Table::new(
        "substitutes",
        "Each part of the family recomputed exactly in this circuit; the cheapest that fits",
        &[
            ("Rail", Kind::Whole, Place::Key),
            ("Ref", Kind::Whole, Place::Key),
            ("Recorded", Kind::Code, Place::First),
            ("Tried", Kind::Count, Place::First),
            ("Fit", Kind::Count, Place::First),
            ("Cheapest", Kind::Code, Place::First),
            ("Dearer by", Kind::Money, Place::First),
        ],
    );
    let count = |number: usize| Cell::count(u32::try_from(number).unwrap_or(u32::MAX));
    for one in found {
        let allowed = one.allowed();
        let best = one.trials.iter().find(|trial| allowed.first() == Some(&trial.part));
        table.push(vec![
            Cell::text(&one.rail),
            Cell::text(&one.designators.join(" ")),
            Cell::text(&one.recorded),
            count(one.trials.len()),
            count(allowed.len()),
            best.map_or_else(Cell::dash, |trial| Cell::text(&trial.part)),
            Cell::money(best.and_then(|trial| trial.dearer_by)),
        ]);
    }
    page.table(table);
    page.paragraph(
        "Each was tried alone. Parts that fit one by one need not fit together: `order` reviews what it buys as a whole.",
    );
    page
}

fn ranking(found: &Substitution) -> Table {
    let mut table = Table::new(
        "trials",
        "Each recomputed exactly in this circuit; those that fit by cost, then the others by how much is found. Decided by \
         the tightest stress that moved, or by the first that fails",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Part", Kind::Code, Place::Key),
            ("Fits", Kind::Verdict, Place::First),
            ("One supply", Kind::Money, Place::First),
            ("Dearer by", Kind::Money, Place::First),
            ("Decided by", Kind::Code, Place::First),
            ("Used", Kind::Figure, Place::First),
            ("Found", Kind::Count, Place::First),
            ("Maker", Kind::Text, Place::Second),
            ("What is found with it", Kind::Text, Place::Second),
        ],
    );
    for (number, trial) in (1..).zip(&found.trials) {
        let first = trial.fails_here.iter().chain(&trial.fails_elsewhere).next();
        let used = |moved: &Moved| moved.used_after.map_or(0.0, Figure::value);
        let named = trial
            .moved
            .iter()
            .filter(|moved| {
                first.is_none_or(|one| one.code == moved.stress && one.position == moved.position)
            })
            .max_by(|a, b| coarse(used(a)).total_cmp(&coarse(used(b))));
        let code = match (first, named) {
            (Some(one), _) => Cell::text(&one.code),
            (None, Some(moved)) => Cell::text(&moved.stress),
            (None, None) if !trial.excluded.is_empty() => Cell::text("excluded"),
            (None, None) => Cell::dash(),
        };
        let grave = trial.fails_here.len() + trial.fails_elsewhere.len();
        table.push(vec![
            Cell::count(number),
            Cell::text(&trial.part),
            Cell::text(if trial.fits { "fits" } else { "FAILS" }),
            Cell::money(trial.unit_cost),
            Cell::money(trial.dearer_by),
            code,
            Cell::figure(named.and_then(|moved| moved.used_after)),
            Cell::count(u32::try_from(grave).unwrap_or(u32::MAX)),
            Cell::text(&trial.maker),
            Cell::text(&told(trial)),
        ]);
    }
    table
}

/// What is found with a part, in one line.
fn told(trial: &Trial) -> String {
    if !trial.solved() {
        let all = trial.fails_here.iter().chain(&trial.fails_elsewhere);
        return all.map(|one| of_rail(&one.rail, &one.text)).collect::<Vec<_>>().join("; ");
    }
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
    if !trial.remains.is_empty() {
        page.paragraph("Found with it as without it:");
        page.list(&trial.remains.iter().map(line).collect::<Vec<_>>());
    }
    let cured: Vec<String> = trial.cured.iter().map(|one| format!("no more found: {}", line(one))).collect();
    page.list(&cured);
    if trial.moved.is_empty() && trial.solved() {
        page.paragraph("No stress moves by as much as the last digit printed.");
    }
    page.table(super::compare::stress_table(&trial.moved));
}

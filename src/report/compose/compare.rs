//! A comparison of two records as a page.
//!
//! Knows no format.

use crate::{
    report::page::{Cell, Kind, Page, Place, Table},
    review::{
        compare::{Change, Comparison, Moved, Side, points_moved},
        dossier::Finding,
    },
};

/// The page.
pub(super) fn compare(comparison: &Comparison) -> Page {
    let (before, after) = (&comparison.before, &comparison.after);
    let mut page = Page::new(&format!("{} against {}", before.name, after.name));
    page.heading("compared", "The two records");
    page.table(sides(before, after));
    if let Some(pair) = &comparison.paired {
        page.paragraph(&format!(
            "Rails are matched by their names. `{}` of the first record and `{}` of the second have no namesake: they are compared \
             with each other, under the name of the first.",
            pair.before, pair.after
        ));
    }
    if comparison.parts.is_empty() && comparison.wiring.is_empty() {
        page.paragraph("Both records hold the same parts, wired alike.");
    }
    page.table(changes("parts-changed", "Parts that differ", "Position", &comparison.parts));
    page.table(changes("wiring-changed", "Wiring that differs", "Of", &comparison.wiring));
    page.heading("moved", "Stresses that moved");
    page.table(stress_table(&comparison.stresses));
    if comparison.stresses.is_empty() {
        page.paragraph("None by as much as the last digit printed.");
    }
    page.heading("found", "Findings gained and lost");
    page.table(findings("gained", "Found of the second record alone", &comparison.gained));
    page.table(findings("lost", "Found of the first record alone", &comparison.lost));
    if comparison.gained.is_empty() && comparison.lost.is_empty() {
        page.paragraph("None: the same is found of both.");
    }
    page
}

fn sides(before: &Side, after: &Side) -> Table {
    let mut table = Table::new(
        "sides",
        "What each comes to",
        &[
            ("", Kind::Text, Place::Key),
            ("First", Kind::Text, Place::First),
            ("Second", Kind::Text, Place::First),
        ],
    );
    let money = |cost: Option<crate::quantity::Money>| Cell::money(cost);
    let figure = Cell::figure;
    let mut row = |name: &str, one: Cell, other: Cell| table.push(vec![Cell::text(name), one, other]);
    row("supply", Cell::text(&before.supply), Cell::text(&after.supply));
    row("build quantity", Cell::count(before.build_quantity), Cell::count(after.build_quantity));
    row("cost of one supply", money(before.unit_cost), money(after.unit_cost));
    row("cost of the build", money(before.batch_cost), money(after.batch_cost));
    row("loss, nominal mains, full load", figure(before.loss), figure(after.loss));
    row("volume of the parts", figure(before.volume), figure(after.volume));
    row("mass of the parts", figure(before.mass), figure(after.mass));
    row("findings", Cell::count(before.findings), Cell::count(after.findings));
    table
}

fn changes(name: &'static str, caption: &str, what: &str, changes: &[Change]) -> Table {
    let mut table = Table::new(
        name,
        caption,
        &[
            ("Rail", Kind::Code, Place::Key),
            (what, Kind::Text, Place::Key),
            ("First", Kind::Code, Place::First),
            ("Second", Kind::Code, Place::First),
        ],
    );
    for change in changes {
        let side = |text: &Option<String>| Cell::text(text.as_deref().unwrap_or("none"));
        table.push(vec![
            Cell::text(&change.rail),
            Cell::text(&change.what),
            side(&change.before),
            side(&change.after),
        ]);
    }
    table
}

/// Stresses old against new.
pub(super) fn stress_table(moved: &[Moved]) -> Table {
    let mut table = Table::new(
        "moved",
        "Stresses old against new, the farthest move first",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Position", Kind::Code, Place::Key),
            ("Stress", Kind::Code, Place::Key),
            ("Before", Kind::Figure, Place::Second),
            ("After", Kind::Figure, Place::Second),
            ("Limit", Kind::Figure, Place::Second),
            ("Used before", Kind::Figure, Place::First),
            ("after", Kind::Figure, Place::First),
            ("Moved by", Kind::Figure, Place::First),
            ("Verdict", Kind::Verdict, Place::First),
        ],
    );
    for row in moved {
        table.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.position),
            Cell::text(&row.stress),
            Cell::figure(row.applied_before),
            Cell::figure(row.applied_after),
            Cell::figure(row.limit),
            Cell::figure(row.used_before),
            Cell::figure(row.used_after),
            Cell::figure(points_moved(row)),
            row.holds_after
                .map_or_else(Cell::dash, |holds| Cell::text(if holds { "holds" } else { "FAILS" })),
        ]);
    }
    table
}

fn findings(name: &'static str, caption: &str, findings: &[Finding]) -> Table {
    let borrowed: Vec<&Finding> = findings.iter().collect();
    super::front::finding_table(name, caption, &borrowed)
}

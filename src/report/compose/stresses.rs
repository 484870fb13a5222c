//! The stress table, the rules without numbers, the rules that do not apply, the heat chain.
//!
//! Knows no format.

use crate::{
    report::page::{Cell, Kind, Page, Place, Table},
    review::{
        Dossier,
        dossier::{FactRow, StressRow},
    },
};

/// Stresses.
pub(super) fn stresses(page: &mut Page, dossier: &Dossier) {
    page.heading("stresses", "Stresses");
    if !dossier.stresses.is_empty() {
        page.paragraph(
            "Each stress at its worst vertex of the tolerance box. Utilisation above 100 % fails. A vertex names the \
             temperature state and the end of mains (M), load (L), frequency (f), EMF tolerance (E), capacitance (C), ESR \
             (R) and diode drop (D).",
        );
    }
    let mut table = Table::new(
        "stresses",
        "Stresses at their worst vertices",
        &[
            ("No.", Kind::Count, Place::Key),
            ("Rail", Kind::Code, Place::First),
            ("Ref", Kind::Code, Place::First),
            ("Stress", Kind::Code, Place::First),
            ("Applied", Kind::Figure, Place::First),
            ("", Kind::Verdict, Place::First),
            ("Limit", Kind::Figure, Place::First),
            ("Used", Kind::Figure, Place::First),
            ("Verdict", Kind::Verdict, Place::First),
            ("Rating", Kind::Figure, Place::Second),
            ("Worst vertex", Kind::Whole, Place::Second),
            ("Limit from", Kind::Text, Place::Second),
            ("Remark", Kind::Text, Place::Second),
        ],
    );
    for (number, row) in (1..).zip(&dossier.stresses) {
        let mut from = row.clause.clone();
        if !row.known.is_empty() {
            from.push_str(" (");
            from.push_str(&row.known);
            from.push(')');
        }
        table.push(vec![
            Cell::count(number),
            Cell::text(&row.rail),
            Cell::text(&short(&row.designators, &row.position)),
            Cell::text(&row.stress),
            Cell::figure(Some(row.applied)),
            Cell::text(if row.at_least { "≥" } else { "≤" }),
            Cell::figure(Some(row.limit)),
            row.utilisation
                .map_or_else(|| Cell::text("beyond"), |utilisation| Cell::figure(Some(utilisation))),
            Cell::text(match (row.holds, &row.waived) {
                (true, _) => "holds",
                (false, Some(_)) => "waived",
                (false, None) => "FAILS",
            }),
            Cell::figure(row.rating),
            Cell::text(row.vertex.as_deref().unwrap_or("–")),
            Cell::text(&from),
            Cell::text(&remark(row)),
        ]);
    }
    page.table(table);
    page.table(facts("facts", "Rules that judge without numbers", &dossier.facts, true));
    page.table(facts("not-applicable", "Rules that do not apply here", &dossier.not_applicable, false));
}

/// The remark on a stress, its waiver first.
fn remark(row: &StressRow) -> String {
    match (&row.waived, row.note.is_empty()) {
        (None, _) => row.note.clone(),
        (Some(waived), true) => format!("waived {waived}"),
        (Some(waived), false) => format!("waived {waived}; {}", row.note),
    }
}

/// Designators, the first and the last of many; the position where there are none.
fn short(designators: &[String], position: &str) -> String {
    match designators {
        [] => position.to_owned(),
        [one] => one.clone(),
        [first, .., last] => format!("{first}…{last}"),
    }
}

fn facts(name: &'static str, caption: &str, rows: &[FactRow], verdicts: bool) -> Table {
    let mut table = Table::new(
        name,
        caption,
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Position", Kind::Code, Place::Key),
            ("Rule", Kind::Code, Place::Key),
            ("Verdict", Kind::Verdict, Place::First),
            ("Why", Kind::Text, Place::First),
        ],
    );
    // What is said alike of several rails is said once.
    let mut told: Vec<(Vec<&str>, &FactRow)> = Vec::new();
    for row in rows {
        let alike = |one: &&mut (Vec<&str>, &FactRow)| {
            let other = one.1;
            (&other.position, &other.stress, other.holds, &other.text)
                == (&row.position, &row.stress, row.holds, &row.text)
        };
        match told.iter_mut().find(alike) {
            Some((rails, _)) if !rails.contains(&row.rail.as_str()) => rails.push(&row.rail),
            _ => told.push((vec![&row.rail], row)),
        }
    }
    for (rails, row) in told {
        table.push(vec![
            Cell::text(&rails.join(", ")),
            Cell::text(&row.position),
            Cell::text(&row.stress),
            if verdicts { Cell::text(if row.holds { "holds" } else { "FAILS" }) } else { Cell::dash() },
            Cell::text(&row.text),
        ]);
    }
    table
}

/// Heat.
pub(super) fn heat(page: &mut Page, dossier: &Dossier) {
    if dossier.heat.is_empty() {
        return;
    }
    page.heading("heat", "Heat");
    let mut table = Table::new(
        "heat",
        "From the room to the hottest junction, each at its own worst vertex",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Place", Kind::Text, Place::Key),
            ("Temperature", Kind::Figure, Place::First),
            ("Over inside air", Kind::Figure, Place::First),
            ("Heat", Kind::Figure, Place::First),
            ("Worst vertex", Kind::Whole, Place::First),
        ],
    );
    for row in &dossier.heat {
        table.push(vec![
            Cell::text(&row.rail),
            Cell::text(&row.place),
            Cell::figure(Some(row.temperature)),
            Cell::figure(row.rise),
            Cell::figure(row.power),
            Cell::text(row.vertex.as_deref().unwrap_or("–")),
        ]);
    }
    page.table(table);
}

//! How figures are spread over tolerances: at the vertices and over samples.
//!
//! No arithmetic but shares of a whole.

use super::figure;
use crate::{
    analysis::{
        limits::Limit,
        monte_carlo::{Outcome, PERCENTILES},
        vertices::{self, Box as VertexBox},
    },
    report::page::{Cell, Kind, Page, Place, Table},
    review::figure::{Figure, Unit},
};

/// Tolerances at their vertices; the paths of the tolerances in the order of the file.
pub(super) fn corners(page: &mut Page, paths: &[&str], list: &VertexBox) {
    page.heading("tolerances", &format!("Tolerances: all {} vertices", list.count));
    let mut table = Table::new(
        "vertices",
        "",
        &[
            ("Figure", Kind::Code, Place::Key),
            ("Nominal", Kind::Figure, Place::First),
            ("Least", Kind::Figure, Place::First),
            ("at", Kind::Count, Place::First),
            ("Greatest", Kind::Figure, Place::First),
            ("at", Kind::Count, Place::First),
        ],
    );
    let mut named: Vec<u32> = Vec::new();
    for one in &list.extents {
        let name = &one.figure;
        let mut row = vec![Cell::text(&one.key), Cell::figure(figure(name, one.nominal))];
        for end in [one.ends.map(|(low, _)| low), one.ends.map(|(_, high)| high)] {
            row.push(Cell::figure(figure(name, end.map(|end| end.value))));
            row.push(end.map_or_else(Cell::dash, |end| Cell::count(end.vertex)));
            named.extend(end.map(|end| end.vertex));
        }
        table.push(row);
    }
    page.table(table);
    named.sort_unstable();
    named.dedup();
    let names: Vec<String> =
        named.iter().map(|vertex| format!("vertex {vertex}: {}", vertices::words(paths, *vertex))).collect();
    page.list(&names);
    if let Some((many, first, reason)) = &list.unsolved {
        page.paragraph(&format!(
            "{many} vertices have no steady state, the first at {}: {reason}.",
            vertices::words(paths, *first)
        ));
    }
    page.paragraph(
        "Exact at the vertices; a figure that does not rise or fall steadily may go further between them.",
    );
}

/// Tolerances over samples; the limits with their keys in the order of the file.
pub(super) fn samples(page: &mut Page, limits: &[(String, &Limit)], outcome: &Outcome) {
    let (count, seed) = (outcome.plan.samples, outcome.plan.seed);
    page.heading("samples", &format!("Tolerances: {count} samples, seed {seed}"));
    let heads: Vec<String> = PERCENTILES.iter().map(|percent| format!("{percent} %")).collect();
    let mut columns = vec![
        ("Figure", Kind::Code, Place::Key),
        ("Mean", Kind::Figure, Place::First),
        ("Deviation", Kind::Figure, Place::First),
    ];
    columns.extend(heads.iter().map(|head| (head.as_str(), Kind::Figure, Place::Second)));
    let mut table = Table::new("samples", "Figures over all samples", &columns);
    for one in &outcome.spreads {
        let cell = |value| Cell::figure(figure(&one.figure, Some(value)));
        let mut row = vec![Cell::text(&one.key), cell(one.mean), cell(one.deviation)];
        row.extend(one.percentiles.iter().map(|value| cell(*value)));
        table.push(row);
    }
    page.table(table);
    let share = |kept: u32| {
        Figure::new(f64::from(kept) / f64::from(count.max(1)), Unit::Percent)
            .map(Figure::text)
            .unwrap_or_default()
    };
    let mut lines: Vec<String> = limits
        .iter()
        .zip(&outcome.kept)
        .map(|((key, limit), kept)| {
            let end = |word: &str, end: Option<f64>| {
                end.map(|value| format!(" {word} {value}")).unwrap_or_default()
            };
            format!("{}{}{}: kept by {}", key, end("min", limit.min), end("max", limit.max), share(*kept))
        })
        .collect();
    if !lines.is_empty() {
        lines.push(format!("all limits: kept by {}", share(outcome.kept_all)));
    }
    if outcome.unsolved > 0 {
        lines.push(format!("no steady state: {} samples", outcome.unsolved));
    }
    page.list(&lines);
}

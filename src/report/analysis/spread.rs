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
pub(super) fn corners(page: &mut Page, paths: &[&str], list: &VertexBox, limits: &[(String, &Limit)]) {
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
    let told = limits.iter().filter_map(|(key, limit)| {
        let (low, high) = list.extents.iter().find(|one| one.key == *key)?.ends?;
        let broken: Vec<String> = [low, high]
            .iter()
            .filter(|end| !limit.allows(end.value))
            .map(|end| end.vertex.to_string())
            .collect();
        let how = if broken.is_empty() {
            String::from("kept at all vertices")
        } else {
            format!("broken, at vertex {}", broken.join(" and "))
        };
        Some(format!("{key} {}: {how}", limit.ends()))
    });
    page.list(&told.collect::<Vec<_>>());
    page.paragraph(
        "Exact at the vertices; a figure that does not rise or fall steadily may go further between them.",
    );
}

/// Limits at the nominal values, each with the figure's value there.
pub(super) fn nominal(page: &mut Page, limits: &[(String, &Limit)], values: &[Option<f64>]) {
    let told = limits.iter().zip(values).map(|((key, limit), value)| {
        let how = match value {
            Some(value) if limit.allows(*value) => "kept by the nominal circuit",
            Some(_) => "broken by the nominal circuit",
            None if limit.figure.needs_switch_on() => "not looked at; ask for `--switch-on`",
            None => "the circuit has no such figure",
        };
        format!("{key} {}: {how}", limit.ends())
    });
    page.list(&told.collect::<Vec<_>>());
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
        .map(|((key, limit), kept)| format!("{key} {}: kept by {}", limit.ends(), share(*kept)))
        .collect();
    if !lines.is_empty() {
        lines.push(format!("all limits: kept by {}", share(outcome.kept_all)));
    }
    if outcome.unsolved > 0 {
        lines.push(format!("no steady state: {} samples", outcome.unsolved));
    }
    page.list(&lines);
}

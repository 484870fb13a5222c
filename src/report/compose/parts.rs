//! Parts with their cost, and the operating points at the named corners.
//!
//! Knows no format.

use crate::{
    report::page::{Cell, Kind, Page, Place, Table},
    review::Dossier,
    stress::position::Position,
};

/// Parts.
pub(super) fn parts(page: &mut Page, dossier: &Dossier) {
    page.heading("parts", "Parts");
    let mut table = Table::new(
        "parts",
        "Parts of one supply; cost at the build quantity",
        &[
            ("Ref", Kind::Code, Place::Key),
            ("Rail", Kind::Code, Place::First),
            ("Position", Kind::Text, Place::First),
            ("Part", Kind::Code, Place::First),
            ("Value", Kind::Text, Place::First),
            ("Maker", Kind::Text, Place::Second),
            ("Pieces", Kind::Count, Place::Second),
            ("Each", Kind::Money, Place::Second),
            ("Ordered", Kind::Count, Place::Second),
            ("Build", Kind::Money, Place::Second),
            ("Supplier", Kind::Text, Place::Second),
        ],
    );
    for part in &dossier.parts {
        table.push(vec![
            Cell::text(&part.designators.join(" ")),
            Cell::text(&part.rail),
            Cell::text(&part.position),
            Cell::text(&part.part),
            Cell::text(&part.value),
            Cell::text(&part.maker),
            Cell::count(part.count),
            Cell::money(part.unit_cost),
            part.ordered.map_or_else(Cell::dash, Cell::count),
            Cell::money(part.batch_cost),
            Cell::text(&match (&part.ordered_with, &part.supplier) {
                (Some(with), _) => format!("ordered with {with}"),
                (None, Some(supplier)) => supplier.clone(),
                (None, None) => String::from("nobody, in this currency"),
            }),
        ]);
    }
    page.table(table);
    let unpriced: Vec<String> =
        dossier.totals.unpriced.iter().map(|part| format!("No price in this currency: {part}.")).collect();
    page.list(&unpriced);
}

/// Operating points.
pub(super) fn points(page: &mut Page, dossier: &Dossier) {
    if dossier.points.is_empty() {
        return;
    }
    page.heading("points", "Operating points at the corners");
    page.paragraph(
        "Of the vertices at full load: at mains low the one with the least valley, at mains high and cold the one with the \
         greatest ripple, at mains high and hot the one with the greatest mean.",
    );
    if dossier.parts.iter().any(|part| part.position == Position::SectionCapacitor.words()) {
        page.paragraph(
            "Where a second bank stands behind the reservoir its voltages are told, not the reservoir's.",
        );
    }
    let mut table = Table::new(
        "points",
        "Exact steady state at the named corners; reservoir voltages include the ESR",
        &[
            ("Rail", Kind::Code, Place::Key),
            ("Corner", Kind::Text, Place::Key),
            ("Mains", Kind::Figure, Place::First),
            ("Drawn", Kind::Figure, Place::First),
            ("Reservoir min", Kind::Figure, Place::First),
            ("mean", Kind::Figure, Place::First),
            ("max", Kind::Figure, Place::First),
            ("Ripple pp", Kind::Figure, Place::First),
            ("Diode peak", Kind::Figure, Place::Second),
            ("Winding rms", Kind::Figure, Place::Second),
            ("Winding temp.", Kind::Figure, Place::Second),
        ],
    );
    for point in &dossier.points {
        table.push(vec![
            Cell::text(&point.rail),
            Cell::text(&point.corner),
            Cell::figure(Some(point.mains_rms)),
            Cell::figure(point.load),
            Cell::figure(point.reservoir_min),
            Cell::figure(point.reservoir_mean),
            Cell::figure(Some(point.reservoir_max)),
            Cell::figure(point.ripple_pp),
            Cell::figure(point.diode_peak),
            Cell::figure(point.winding_rms),
            Cell::figure(point.winding),
        ]);
    }
    page.table(table);
}

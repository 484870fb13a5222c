//! Figures of one rail: cost, use of limits, harmonics, and the curves of [`super::curve`].

use super::{Picture, curve};
use crate::{
    numeric::tie::coarse,
    report::{
        page::{Cell, Kind, Place, Table, clean},
        plot::{
            bars::{self, Bar, Scale},
            harmonics,
        },
    },
    review::{
        Dossier, Figure,
        pictures::model::{HarmonicRow, RailPictures},
    },
};

/// What waveforms of a rail show.
const NOMINAL: &str = "nominal mains and full load";

/// Figures of a rail, in the order of the page.
pub(super) fn rail_pictures(dossier: &Dossier, number: usize, rail: &RailPictures) -> Vec<Picture> {
    let name = clean(&rail.rail);
    let whose = format!(", rail {name}");
    let mut pictures = Vec::new();
    if !rail.costs.is_empty() {
        pictures.push(costs(number, &name, rail));
    }
    if let Some(window) = &rail.window {
        pictures.push(curve::raw_window(number, &name, window));
    }
    if let Some(heat) = &rail.heat {
        pictures.push(curve::heat_window(number, &name, heat));
    }
    let mut used: Vec<Bar> = dossier
        .stresses
        .iter()
        .filter(|row| row.rail == rail.rail)
        .map(|row| Bar {
            name: match row.designators.first() {
                Some(first) => format!("{} {}", row.stress, first),
                None => row.stress.clone(),
            },
            value: row.utilisation.map_or(f64::MAX, Figure::value),
            text: format!(
                "{}{}",
                row.utilisation.map_or_else(|| String::from("beyond"), Figure::text),
                if row.holds { "" } else { " FAILS" }
            ),
            bad: !row.holds,
        })
        .collect();
    used.sort_by(|one, other| coarse(other.value).total_cmp(&coarse(one.value)));
    if !used.is_empty() {
        let scale = Scale {
            name: String::from("used, % of the limit; the dotted line is the limit"),
            times: 100.0,
            most: 1.5,
            limit: Some(1.0),
        };
        pictures.push(Picture {
            name: format!("stresses-{number}"),
            section: "stresses",
            title: format!("How much of each limit is used, rail {name}"),
            text: String::from(
                "One bar a stress, at its worst vertex, the most used first. The numbers stand in the table of stresses.",
            ),
            drawing: bars::draw(&used, &scale),
            table: None,
        });
    }
    if let Some(waves) = &rail.waves {
        pictures.extend(curve::waveforms(&number.to_string(), &whose, "nominal", waves, NOMINAL));
    }
    if let Some(switched) = &rail.switch_on {
        pictures.extend(curve::switch_on(&number.to_string(), &whose, "nominal", switched));
    }
    pictures
}

fn costs(number: usize, name: &str, rail: &RailPictures) -> Picture {
    let bars: Vec<Bar> = rail
        .costs
        .iter()
        .map(|row| Bar {
            name: format!("{} {}", row.position, row.designators.first().map_or("", String::as_str)),
            value: row.cost.amount.to_string().parse().unwrap_or(0.0),
            text: row.cost.to_string(),
            bad: false,
        })
        .collect();
    let currency = rail.costs.first().map_or("", |row| row.cost.currency.code());
    let mut table = Table::new(
        "costs",
        "Cost by position",
        &[
            ("Position", Kind::Text, Place::Key),
            ("Ref", Kind::Code, Place::First),
            ("Cost in one supply", Kind::Money, Place::First),
        ],
    );
    for row in &rail.costs {
        table.push(vec![
            Cell::text(&row.position),
            Cell::text(&row.designators.join(" ")),
            Cell::money(Some(row.cost)),
        ]);
    }
    let scale = Scale {
        name: format!("cost in one supply at the build quantity, {currency}"),
        times: 1.0,
        most: f64::MAX,
        limit: None,
    };
    Picture {
        name: format!("cost-{number}"),
        section: "parts",
        title: format!("Cost by position, rail {name}"),
        text: String::from("Price of each position's pieces at the build quantity."),
        drawing: bars::draw(&bars, &scale),
        table: Some(table),
    }
}

/// Harmonics of the mains current, all rails together.
pub(super) fn supply_harmonics(dossier: &Dossier) -> Option<Picture> {
    let grid = &dossier.grid;
    if grid.harmonics.is_empty() {
        return None;
    }
    let several = dossier.pictures.len() > 1;
    let (whose, each, adding) = if several {
        (", all rails together", "every rail at full load", "; transformers add up with their phases")
    } else {
        ("", "full load", "")
    };
    let taken = grid.taken.map_or_else(String::new, |taken| format!(", {} taken", taken.text()));
    let applies = if grid.limited { "The limits apply" } else { "The limits are drawn for comparison" };
    let title = format!("Harmonics of the mains current against class A{whose}");
    let text = format!(
        "Nominal mains, {each}{taken}{adding}; core loss and magnetising current left out; logarithmic axis. {applies}: {}. \
         Limits: IEC 61000-3-2, class A.",
        clean(&grid.why)
    );
    let words = (title, text);
    Some(harmonic_picture(String::from("harmonics"), "nominal", words, &grid.harmonics, grid.limited))
}

/// Harmonics of a primary current, with their limits where they have any; title and words.
pub(in crate::report) fn harmonic_picture(
    name: String,
    section: &'static str,
    (title, text): (String, String),
    rows: &[HarmonicRow],
    limited: bool,
) -> Picture {
    let limits = rows.iter().any(|row| row.limit_rms.is_some());
    let mut columns = vec![("Order", Kind::Count, Place::Key), ("Current rms", Kind::Figure, Place::First)];
    if limits {
        columns.push(("Class A limit", Kind::Figure, Place::First));
    }
    let mut table = Table::new("harmonics", "Harmonics of the primary current", &columns);
    for row in rows {
        let mut cells = vec![Cell::count(row.order), Cell::figure(Some(row.current_rms))];
        if limits {
            cells.push(Cell::figure(row.limit_rms));
        }
        table.push(cells);
    }
    Picture { name, section, title, text, drawing: harmonics::draw(rows, limited), table: Some(table) }
}

/// Bars of figures with an axis.
pub(in crate::report) fn bars_of(
    rows: &[(String, Figure)],
    name: &str,
    times: f64,
) -> crate::report::svg::Drawing {
    let bars: Vec<Bar> = rows
        .iter()
        .map(|(name, figure)| Bar {
            name: name.clone(),
            value: figure.value(),
            text: figure.text(),
            bad: false,
        })
        .collect();
    bars::draw(&bars, &Scale { name: name.to_owned(), times, most: f64::MAX, limit: None })
}

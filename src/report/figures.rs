//! Every figure of a report: which section it belongs to, what it says in words, its drawing, its numbers as a table.
//!
//! Reckons nothing. The names of files number the rails, so that no foreign text gets into a file name.

use super::{
    page::{Cell, Kind, Place, Table, clean},
    plot::{
        bars::{self, Bar, Scale},
        curves::{self, Extras},
        harmonics,
    },
    schematic,
    svg::Drawing,
};
use crate::review::{
    Dossier, Figure,
    pictures::model::{Curves, RailPictures, Waves, Window},
};

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Stable name, for links and files.
    pub name: String,
    /// Anchor of the section it closes.
    pub section: &'static str,
    /// Caption.
    pub title: String,
    /// What it shows, in words.
    pub text: String,
    /// Drawing.
    pub drawing: Drawing,
    /// Its numbers, where no table of the page holds them.
    pub table: Option<Table>,
}

/// All figures of a report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// In the order of the page.
    pub pictures: Vec<Picture>,
}

/// File names and SVG texts of all figures.
pub fn figures(dossier: &Dossier) -> Vec<(String, String)> {
    Figures::of(dossier).files()
}

impl Picture {
    /// Name of its file.
    pub fn file(&self) -> String {
        format!("{}.svg", self.name)
    }

    /// As an element of a page.
    pub fn inline(&self) -> String {
        self.drawing.element(&self.name, &self.title, &self.text, false)
    }

    /// As a file.
    pub fn alone(&self) -> String {
        let mut text = self.drawing.element(&self.name, &self.title, &self.text, true);
        text.push('\n');
        text
    }
}

impl Figures {
    /// Figures of a dossier.
    pub fn of(dossier: &Dossier) -> Self {
        let mut pictures = Vec::new();
        let rails = &dossier.pictures;
        if !rails.is_empty() {
            pictures.push(Picture {
                name: String::from("schematic"),
                section: "parts",
                title: String::from("Circuit"),
                text: rails.iter().map(circuit_words).collect::<Vec<_>>().join(" "),
                drawing: schematic::draw(rails),
                table: None,
            });
        }
        for (number, rail) in (1..).zip(rails) {
            pictures.extend(rail_pictures(dossier, number, rail));
        }
        if dossier.heat.len() > 1 {
            pictures.push(heat(dossier));
        }
        Self { pictures }
    }

    /// Figures that close a section.
    pub fn of_section<'a>(&'a self, anchor: &'a str) -> impl Iterator<Item = &'a Picture> {
        self.pictures.iter().filter(move |picture| picture.section == anchor)
    }

    /// File names and texts.
    pub fn files(&self) -> Vec<(String, String)> {
        self.pictures.iter().map(|picture| (picture.file(), picture.alone())).collect()
    }
}

/// The circuit in words.
fn circuit_words(rail: &RailPictures) -> String {
    let parts: Vec<String> = rail
        .drawing
        .parts
        .iter()
        .map(|part| format!("{} {} {}", part.position, part.designators.join(" "), part.part))
        .collect();
    clean(&format!("Rail {}, from the mains to the load: {}.", rail.rail, parts.join("; ")))
}

fn rail_pictures(dossier: &Dossier, number: usize, rail: &RailPictures) -> Vec<Picture> {
    let name = clean(&rail.rail);
    let mut pictures = Vec::new();
    if !rail.costs.is_empty() {
        pictures.push(costs(number, &name, rail));
    }
    if let Some(window) = &rail.window {
        pictures.push(raw_window(number, &name, window));
    }
    let used: Vec<Bar> = dossier
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
                "One bar a stress, at its worst vertex. The numbers stand in the table of stresses.",
            ),
            drawing: bars::draw(&used, &scale),
            table: None,
        });
    }
    if let Some(waves) = &rail.waves {
        pictures.extend(waveforms(number, &name, waves));
    }
    if !rail.harmonics.is_empty() {
        pictures.push(primary_harmonics(number, &name, rail));
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

fn raw_window(number: usize, name: &str, window: &Window) -> Picture {
    let extras = Extras { levels: &window.levels, first_class: 1, ..Extras::default() };
    let levels: Vec<String> =
        window.levels.iter().map(|level| format!("{} {}", level.name, level.at.text())).collect();
    Picture {
        name: format!("window-{number}"),
        section: "points",
        title: format!("Raw voltage from the lowest to the highest mains, rail {name}"),
        text: format!(
            "Valley, crest and no-load peak, each at the ends of the box that are worst for it. {}.",
            levels.join("; ")
        ),
        drawing: curves::draw(&window.curves, extras),
        table: Some(curve_table("window", "Raw voltage over mains", &window.curves)),
    }
}

fn waveforms(number: usize, name: &str, waves: &Waves) -> [Picture; 2] {
    let extras =
        Extras { shaded: &waves.conducts, repeats: 2, from_zero: true, step: 90.0, ..Extras::default() };
    let conduction: Vec<String> =
        waves.conducts.iter().map(|(on, off)| format!("{on:.1}° to {off:.1}°")).collect();
    let text = format!(
        "Two mains periods at nominal mains and full load, from the exact solution. A diode conducts from {}.",
        conduction.join(" and from ")
    );
    [
        Picture {
            name: format!("voltages-{number}"),
            section: "nominal",
            title: format!("EMF, reservoir and output voltage, rail {name}"),
            text: text.clone(),
            drawing: curves::draw(&waves.voltages, extras),
            table: Some(curve_table("voltages", "Voltages over one mains period", &waves.voltages)),
        },
        Picture {
            name: format!("currents-{number}"),
            section: "nominal",
            title: format!("Rectifier and capacitor current, rail {name}"),
            text,
            drawing: curves::draw(&waves.currents, Extras { first_class: 1, ..extras }),
            table: Some(curve_table("currents", "Currents over one mains period", &waves.currents)),
        },
    ]
}

fn curve_table(name: &'static str, caption: &str, curves: &Curves) -> Table {
    let names: Vec<String> = curves.rows.iter().map(|row| clean(&row.name)).collect();
    let mut heads = vec![(curves.over.name.as_str(), Kind::Figure, Place::Key)];
    heads.extend(names.iter().map(|name| (name.as_str(), Kind::Figure, Place::First)));
    let mut table = Table::new(name, caption, &heads);
    for (index, over) in curves.over.values.iter().enumerate() {
        let mut cells = vec![Cell::figure(Figure::new(*over, curves.over.unit))];
        cells.extend(
            curves.rows.iter().map(|row| {
                Cell::figure(row.values.get(index).and_then(|value| Figure::new(*value, row.unit)))
            }),
        );
        table.push(cells);
    }
    table
}

fn primary_harmonics(number: usize, name: &str, rail: &RailPictures) -> Picture {
    let mut table = Table::new(
        "harmonics",
        "Harmonics of the primary current",
        &[
            ("Order", Kind::Count, Place::Key),
            ("Current rms", Kind::Figure, Place::First),
            ("Class A limit", Kind::Figure, Place::First),
        ],
    );
    for row in &rail.harmonics {
        table.push(vec![
            Cell::count(row.order),
            Cell::figure(Some(row.current_rms)),
            Cell::figure(row.limit_rms),
        ]);
    }
    let applies = if rail.harmonics_limited {
        "The limits apply at this power."
    } else {
        "The limits are drawn for comparison: this rail takes less than the power from which they are written, or its mains \
         is below 220 V."
    };
    Picture {
        name: format!("harmonics-{number}"),
        section: "nominal",
        title: format!("Harmonics of the primary current against class A, rail {name}"),
        text: format!(
            "Nominal mains, full load; core loss and magnetising current left out; logarithmic axis. {applies} Limits: \
             IEC 61000-3-2, class A."
        ),
        drawing: harmonics::draw(&rail.harmonics, rail.harmonics_limited),
        table: Some(table),
    }
}

fn heat(dossier: &Dossier) -> Picture {
    let bars: Vec<Bar> = dossier
        .heat
        .iter()
        .map(|row| Bar {
            name: if row.rail.is_empty() || dossier.pictures.len() < 2 {
                row.place.clone()
            } else {
                format!("{} {}", row.rail, row.place)
            },
            value: row.temperature.value(),
            text: row.temperature.text(),
            bad: false,
        })
        .collect();
    let scale = Scale { name: String::from("temperature, °C"), times: 1.0, most: f64::MAX, limit: None };
    Picture {
        name: String::from("heat"),
        section: "heat",
        title: String::from("Heat chain"),
        text: String::from(
            "From the room to the hottest junction, each at its own worst vertex. The numbers stand in the table above.",
        ),
        drawing: bars::draw(&bars, &scale),
        table: None,
    }
}

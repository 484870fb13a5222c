//! Every figure of a report: which section it belongs to, what it says in words, its drawing, its numbers as a table.
//!
//! Reckons nothing. The names of files number the rails, so that no foreign text gets into a file name.

mod curve;
mod rail;

use super::{
    page::{Table, clean},
    plot::bars::{self, Bar, Scale},
    schematic,
    svg::Drawing,
};
use crate::review::{
    Dossier,
    pictures::model::{DrawnPart, RailPictures},
};

pub(super) use curve::{core_waveform, switch_on, waveforms};
pub(super) use rail::{bars_of, harmonic_picture};

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

    /// Name of the file of its numbers.
    pub fn numbers_file(&self) -> String {
        format!("{}.csv", self.name)
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
            pictures.extend(rail::rail_pictures(dossier, number, rail));
        }
        pictures.extend(rail::supply_harmonics(dossier));
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
pub(super) fn circuit_words(rail: &RailPictures) -> String {
    let said = |parts: &[DrawnPart]| {
        let parts: Vec<String> = parts
            .iter()
            .map(|part| {
                let value = if part.part.is_empty() { part.ratings.join(" ") } else { part.part.clone() };
                let names = part.designators.join(" ");
                if names == part.position {
                    format!("{names} {value}")
                } else {
                    format!("{} {names} {value}", part.position)
                }
            })
            .collect();
        parts.join("; ")
    };
    let whose = if rail.rail.is_empty() { String::from("From") } else { format!("Rail {}, from", rail.rail) };
    let mut words = format!("{whose} the mains to the load: {}.", said(&rail.drawing.parts));
    let first = |position: &str| {
        rail.drawing
            .parts
            .iter()
            .find(|part| part.position == position)
            .and_then(|part| part.designators.first())
    };
    if let (Some(limiter), Some(ballast)) = (first("limit-transistor"), first("ballast-resistor")) {
        words.push_str(&format!(
            " Each pass transistor has a ballast resistor of its own; {limiter} stands across {ballast}."
        ));
    }
    if let Some(side) = &rail.drawing.negative_side {
        words.push_str(&format!(" On the negative side: {}.", said(&side.parts)));
    }
    clean(&words)
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

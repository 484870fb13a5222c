//! A sweep as a table, CSV or JSON.
//!
//! Keeps the order of the points.

use super::{csv::line, figure, json, json_value::Json};
use crate::{
    analysis::{
        CircuitFile, FigureName,
        sweep::{Axis, Point},
    },
    report::{
        json::JsonError,
        page::{Cell, Kind, Page, Place, Table},
    },
};

/// Significant digits of swept values.
const DIGITS: usize = 4;

/// What was swept.
#[derive(Clone, Copy, Debug)]
pub struct Swept<'a> {
    /// The circuit.
    pub file: &'a CircuitFile,
    /// Its axes.
    pub axes: &'a [Axis],
    /// Figures.
    pub figures: &'a [FigureName],
    /// Points.
    pub points: &'a [Point],
}

impl Swept<'_> {
    /// As a page.
    pub fn page(&self) -> Page {
        let mut page = Page::new(&format!("Sweep of {}", self.file.name));
        let heads: Vec<(String, Kind)> = self
            .axes
            .iter()
            .map(|axis| (axis.input.path.to_owned(), Kind::Figure))
            .chain(self.figures.iter().map(|figure| (figure.key(), Kind::Figure)))
            .collect();
        let columns: Vec<(&str, Kind, Place)> =
            heads.iter().map(|(head, kind)| (head.as_str(), *kind, Place::First)).collect();
        let mut table = Table::new("sweep", "", &columns);
        let mut unsolved = Vec::new();
        for point in self.points {
            let mut cells: Vec<Cell> = self
                .axes
                .iter()
                .zip(&point.at)
                .map(|(axis, value)| Cell::text(&axis.input.measure.text(*value, DIGITS)))
                .collect();
            match &point.figures {
                Ok(values) => cells.extend(
                    self.figures.iter().zip(values).map(|(name, value)| Cell::figure(figure(name, *value))),
                ),
                Err(reason) => {
                    cells.extend(self.figures.iter().map(|_| Cell::dash()));
                    if !unsolved.contains(&reason.to_string()) {
                        unsolved.push(reason.to_string());
                    }
                }
            }
            table.push(cells);
        }
        page.table(table);
        if !unsolved.is_empty() {
            page.paragraph(&format!("Points without figures have no steady state: {}.", unsolved.join("; ")));
        }
        page
    }

    /// As CSV; a point without a steady state has empty cells.
    pub fn csv(&self) -> String {
        let mut out = String::new();
        let heads: Vec<String> = self
            .axes
            .iter()
            .map(|axis| format!("{}_{}", axis.input.path, axis.input.measure.key()))
            .chain(self.figures.iter().map(FigureName::key))
            .collect();
        line(&mut out, &heads);
        for point in self.points {
            let mut cells: Vec<String> = point.at.iter().map(f64::to_string).collect();
            match &point.figures {
                Ok(values) => cells.extend(
                    values.iter().map(|value| value.map(|value| value.to_string()).unwrap_or_default()),
                ),
                Err(_) => cells.extend(self.figures.iter().map(|_| String::new())),
            }
            line(&mut out, &cells);
        }
        out
    }

    /// As JSON: a list of points with SI keys.
    pub fn json(&self) -> Result<String, JsonError> {
        let point = |point: &Point| {
            let mut pairs: Vec<(String, Json)> = self
                .axes
                .iter()
                .zip(&point.at)
                .map(|(axis, value)| {
                    (format!("{}_{}", axis.input.path, axis.input.measure.key()), Json::Number(*value))
                })
                .collect();
            match &point.figures {
                Ok(values) => pairs.extend(
                    self.figures.iter().zip(values).map(|(name, value)| (name.key(), Json::number(*value))),
                ),
                Err(reason) => pairs.push(("unsolved".to_owned(), Json::text(reason.to_string()))),
            }
            Json::Map(pairs)
        };
        json::text(&Json::map([
            ("schema_version", Json::Count(1)),
            ("circuit", json::circuit(self.file)),
            ("points", Json::List(self.points.iter().map(point).collect())),
        ]))
    }
}

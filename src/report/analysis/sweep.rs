//! A sweep as a table, CSV or JSON.
//!
//! Keeps the order of the points.

use super::{core::head, csv::line, figure, json, json_value::Json};
use crate::{
    analysis::{
        CircuitFile, CoreAxis, CoreFigure, CoreFile, FigureName,
        measure::Measure,
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
#[derive(Clone, Debug)]
pub struct Swept<'a> {
    /// Name of the circuit.
    name: &'a str,
    /// The circuit as JSON states it.
    circuit: Json,
    /// Its axes: path and unit.
    axes: Vec<(String, Measure)>,
    /// Figures with their keys.
    figures: Vec<(String, FigureName)>,
    /// Whether a limiter stands before the circuit.
    limited: bool,
    /// Points.
    points: &'a [Point],
}

impl<'a> Swept<'a> {
    /// A sweep of one circuit.
    pub fn of(file: &'a CircuitFile, axes: &[Axis], figures: &[FigureName], points: &'a [Point]) -> Self {
        Self {
            name: &file.name,
            circuit: json::circuit(file),
            axes: axes.iter().map(|axis| (axis.input.path.to_owned(), axis.input.measure)).collect(),
            figures: figures.iter().map(|figure| (figure.key(), *figure)).collect(),
            limited: file.switching.limiter.is_some(),
            points,
        }
    }

    /// A sweep of a core.
    pub fn of_core(
        file: &'a CoreFile,
        axes: &[CoreAxis],
        figures: &[CoreFigure],
        points: &'a [Point],
    ) -> Self {
        let rails = file.rails.iter().map(|rail| Json::Map(json::inputs(&rail.name, &rail.spec)));
        Self {
            name: &file.name,
            circuit: Json::map([
                ("name", Json::text(file.name.clone())),
                ("primary_resistance_ohm", Json::Number(file.primary_resistance.0)),
                ("rails", Json::List(rails.collect())),
            ]),
            axes: axes.iter().map(|one| (one.input.path.clone(), one.axis.input.measure)).collect(),
            figures: figures.iter().map(|one| (one.key.clone(), one.figure)).collect(),
            limited: file.limiter.is_some(),
            points,
        }
    }

    /// As a page.
    pub fn page(&self) -> Page {
        let mut page = Page::new(&format!("Sweep of {}", self.name));
        let heads: Vec<(String, Kind)> = self
            .axes
            .iter()
            .map(|(path, _)| (path.clone(), Kind::Figure))
            .chain(self.figures.iter().map(|(key, _)| (key.clone(), Kind::Figure)))
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
                .map(|((_, measure), value)| Cell::text(&measure.text(*value, DIGITS)))
                .collect();
            match &point.figures {
                Ok(values) => cells.extend(
                    self.figures
                        .iter()
                        .zip(values)
                        .map(|((_, name), value)| Cell::figure(figure(name, *value))),
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
        if self.limited && self.figures.iter().any(|(_, figure)| figure.needs_switch_on()) {
            page.paragraph("Switched on with the limiter cold.");
        }
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
            .map(|(path, measure)| head(&format!("{path}_{}", measure.key())))
            .chain(self.figures.iter().map(|(key, _)| head(key)))
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
                .map(|((path, measure), value)| (format!("{path}_{}", measure.key()), Json::Number(*value)))
                .collect();
            match &point.figures {
                Ok(values) => pairs.extend(
                    self.figures
                        .iter()
                        .zip(values)
                        .map(|((key, _), value)| (key.clone(), Json::number(*value))),
                ),
                Err(reason) => pairs.push(("unsolved".to_owned(), Json::text(reason.to_string()))),
            }
            Json::Map(pairs)
        };
        json::text(&Json::map([
            ("schema_version", Json::Count(1)),
            ("circuit", self.circuit.clone()),
            ("points", Json::List(self.points.iter().map(point).collect())),
        ]))
    }
}

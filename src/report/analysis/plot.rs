//! One mains period in plain characters: load voltage and winding current, each to its own scale.
//!
//! Fits 80 columns. Every column shows the whole range its samples cover, so that no pulse falls between two columns.

use std::fmt::Write as _;

use crate::{
    circuit::general::Sample,
    quantity::{Amps, Quantity as _, Seconds, Volts},
};

/// Columns of the curve.
const COLUMNS: usize = 64;
/// Lines of one panel.
const LINES: usize = 9;
/// Columns of the labels at the left.
const LABEL: usize = 10;
/// Significant digits of the labels.
const DIGITS: usize = 4;

/// Both panels.
pub fn render(samples: &[Sample]) -> String {
    let mut out = String::new();
    let volts = |value: f64| Volts(value).to_text(DIGITS);
    let amps = |value: f64| Amps(value).to_text(DIGITS);
    panel(&mut out, "load voltage", samples, volts, |s| s.outputs.first().map(|o| o.load_v));
    panel(&mut out, "winding current", samples, amps, |s| s.winding_a.first().copied());
    out
}

fn panel(
    out: &mut String,
    title: &str,
    samples: &[Sample],
    label: impl Fn(f64) -> String,
    of: impl Fn(&Sample) -> Option<f64>,
) {
    let Some(end) = samples.last().map(|sample| sample.time_s).filter(|end| *end > 0.0) else { return };
    let points: Vec<(f64, f64)> = samples.iter().filter_map(|s| Some((s.time_s / end, of(s)?))).collect();
    let least = points.iter().map(|point| point.1).fold(f64::INFINITY, f64::min);
    let most = points.iter().map(|point| point.1).fold(f64::NEG_INFINITY, f64::max);
    if !(least.is_finite() && most.is_finite()) {
        return;
    }
    let span = if most > least { most - least } else { 1.0 };
    let grid = trace(&points, |value| (value - least) / span);
    // Writing to a string does not fail.
    let _ = writeln!(out, "{:LABEL$}   {title}", "");
    for (line, row) in grid.iter().enumerate() {
        let name = if line == 0 {
            label(most)
        } else if line + 1 == LINES {
            label(least)
        } else {
            String::new()
        };
        let curve: String = row.iter().collect();
        let _ = writeln!(out, "{name:>LABEL$} | {}", curve.trim_end());
    }
    let foot = Seconds(end).to_text(3);
    let _ = writeln!(out, "{:>LABEL$} +-{}", "", "-".repeat(COLUMNS));
    let _ = writeln!(out, "{:>LABEL$}   0{foot:>width$}\n", "", width = COLUMNS - 1);
}

/// The characters of a curve whose points lie in 0..=1 both ways.
fn trace(points: &[(f64, f64)], height: impl Fn(f64) -> f64) -> Vec<Vec<char>> {
    let mut grid = vec![vec![' '; COLUMNS]; LINES];
    let place = |share: f64, count: usize| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held between 0 and the count"
        )]
        let at = (share * (count - 1) as f64).round().clamp(0.0, (count - 1) as f64) as usize;
        at
    };
    let mut covered: Vec<Option<(usize, usize)>> = vec![None; COLUMNS];
    for (time, value) in points {
        let line = LINES - 1 - place(height(*value), LINES);
        if let Some(range) = covered.get_mut(place(*time, COLUMNS)) {
            let (top, bottom) = range.unwrap_or((line, line));
            *range = Some((top.min(line), bottom.max(line)));
        }
    }
    for (column, range) in covered.into_iter().enumerate() {
        let Some((top, bottom)) = range else { continue };
        for (line, row) in grid.iter_mut().enumerate() {
            if let Some(cell) = row.get_mut(column)
                && (top..=bottom).contains(&line)
            {
                *cell = if line == top { 'o' } else { ':' };
            }
        }
    }
    grid
}

//! Curves over a common axis, with levels and shaded stretches.

use super::{LEFT, RIGHT, WIDE, legend, tick::Ticks};
use crate::{
    report::svg::{Anchor, Drawing},
    review::{
        figure::Unit,
        pictures::model::{Curves, Level},
    },
};

/// Height of the field.
const HIGH: f64 = 236.0;
/// Classes of the curves, by their order; each has a dash of its own.
const CURVES: [&str; 4] = ["s2", "a", "d", "c"];
/// Letters of the levels: at the line and in the legend, so that no dash need be told from another.
const LETTERS: [&str; 6] = ["A", "B", "C", "D", "E", "F"];
/// Least distance of two letters at the right edge.
const LETTER_HIGH: f64 = 13.0;

/// What is drawn beside the curves.
#[derive(Clone, Copy, Debug, Default)]
pub struct Extras<'a> {
    /// Levels.
    pub levels: &'a [Level],
    /// Shaded stretches of the axis, and their name.
    pub shaded: &'a [(f64, f64)],
    /// What is said in the legend without a sample.
    pub note: &'a str,
    /// How often the curves are repeated side by side.
    pub repeats: u8,
    /// Whether the upright axis holds zero.
    pub from_zero: bool,
    /// Distance of the marks of the lying axis; chosen where zero.
    pub step: f64,
    /// First of the classes of curves taken.
    pub first_class: usize,
}

/// Draws curves.
pub fn draw(curves: &Curves, extras: Extras<'_>) -> Drawing {
    let mut sheet = Drawing::wide(WIDE);
    let class =
        |index: usize| CURVES.get((index + extras.first_class) % CURVES.len()).copied().unwrap_or("a");
    let letter = |index: usize| LETTERS.get(index).copied().unwrap_or("…");
    let mut entries: Vec<(&str, String)> =
        curves.rows.iter().enumerate().map(|(index, row)| (class(index), row.name.clone())).collect();
    entries.extend(
        extras
            .levels
            .iter()
            .enumerate()
            .map(|(index, level)| ("e", format!("{} {}: {}", letter(index), level.name, level.at.text()))),
    );
    if !extras.shaded.is_empty() {
        entries.push(("shade", String::from("a diode conducts")));
    }
    if !extras.note.is_empty() {
        entries.push(("", extras.note.to_owned()));
    }
    let top = legend(&mut sheet, &entries) + 10.0;
    let bottom = top + HIGH;
    sheet.height = bottom + 46.0;

    let repeats = f64::from(extras.repeats.max(1));
    let (first, last) = ends(&curves.over.values);
    let period = last - first;
    let milli = curves.over.unit == Unit::Seconds && period < 1.0;
    let lying = if extras.step > 0.0 {
        stepped(first, first + period * repeats, extras.step)
    } else if milli {
        let mut ticks = Ticks::over(1e3 * first, 1e3 * last, 7.0);
        ticks.marks.retain(|(value, _)| *value >= 1e3 * first - 1e-6 && *value <= 1e3 * last + 1e-6);
        let marks = ticks.marks.into_iter().map(|(value, text)| (1e-3 * value, text)).collect();
        Ticks { low: first, high: last, marks }
    } else {
        let mut ticks = Ticks::over(first, last, 7.0);
        ticks.marks.retain(|(value, _)| *value >= first - 1e-9 && *value <= last + 1e-9);
        Ticks { low: first, high: last, ..ticks }
    };
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let levels = extras.levels.iter().map(|level| level.at.value());
    for value in curves.rows.iter().flat_map(|row| row.values.iter().copied()).chain(levels) {
        low = low.min(value);
        high = high.max(value);
    }
    if extras.from_zero {
        low = low.min(0.0);
    }
    let upright = Ticks::over(low, high, 6.0);
    let x = |value: f64| LEFT + lying.share(value) * (RIGHT - LEFT);
    let y = |value: f64| bottom - upright.share(value) * HIGH;

    for repeat in 0..extras.repeats.max(1) {
        for (on, off) in extras.shaded {
            let shift = f64::from(repeat) * period;
            let (from, to) = (x(on + shift), x(off + shift));
            sheet.area("shade", (from, top), (to - from, HIGH));
        }
    }
    for (value, text) in &upright.marks {
        sheet.line("g", &[(LEFT, y(*value)), (RIGHT, y(*value))]);
        sheet.text("q", Anchor::End, (LEFT - 6.0, y(*value) + 4.0), text);
    }
    for (value, text) in &lying.marks {
        sheet.line("g", &[(x(*value), top), (x(*value), bottom)]);
        sheet.text("q", Anchor::Middle, (x(*value), bottom + 16.0), text);
    }
    let unit = curves.rows.first().map_or("", |row| row.unit.symbol());
    sheet.text("b", Anchor::End, (LEFT - 6.0, top - 8.0), unit);
    let symbol = if milli { "ms" } else { curves.over.unit.symbol() };
    let over = format!("{}, {symbol}", curves.over.name);
    sheet.text("b", Anchor::Middle, (f64::midpoint(LEFT, RIGHT), bottom + 34.0), &over);
    let mut tags: Vec<(f64, &str)> =
        extras.levels.iter().enumerate().map(|(index, level)| (y(level.at.value()), letter(index))).collect();
    for (at, _) in &tags {
        sheet.line("e", &[(LEFT, *at), (RIGHT, *at)]);
    }
    tags.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut free = f64::NEG_INFINITY;
    for (at, letter) in tags {
        let foot = (at + 4.0).max(free + LETTER_HIGH);
        sheet.text("b", Anchor::Start, (RIGHT + 4.0, foot), letter);
        free = foot;
    }
    for (index, row) in curves.rows.iter().enumerate() {
        let mut points = Vec::new();
        for repeat in 0..extras.repeats.max(1) {
            let shift = f64::from(repeat) * period;
            points.extend(
                curves.over.values.iter().zip(&row.values).map(|(over, value)| (x(over + shift), y(*value))),
            );
        }
        sheet.line(class(index), &points);
    }
    sheet
}

/// First and last of a row that rises.
fn ends(values: &[f64]) -> (f64, f64) {
    match values {
        [first, .., last] if last > first => (*first, *last),
        _ => (0.0, 1.0),
    }
}

/// Marks at every step.
fn stepped(low: f64, high: f64, step: f64) -> Ticks {
    let mut marks = Vec::new();
    let mut at = low;
    while at <= high + 1e-9 && marks.len() < 200 {
        marks.push((at, format!("{at:.0}")));
        at += step;
    }
    Ticks { low, high, marks }
}

//! What is lettered beside the symbols: designators, two ratings, part number.
//!
//! Knows no places.

use crate::{
    report::svg::{Anchor, Drawing, LINE, short, width},
    review::pictures::model::DrawnPart,
};

/// Longest line beside a symbol, characters; the parts list has the whole.
const LONGEST: usize = 22;

/// Positions that are drawn; all others are named below the circuit.
const DRAWN: [&str; 25] = [
    "primary-fuse",
    "inrush-limiter",
    "transformer",
    "cut-out",
    "secondary-fuse",
    "rectifier",
    "coupling-capacitor",
    "reservoir",
    "section-choke",
    "section-resistor",
    "section-capacitor",
    "bleeder",
    "regulator",
    "set-upper",
    "set-lower",
    "pass-transistor",
    "limit-transistor",
    "ballast-resistor",
    "drive-resistor",
    "minimum-load",
    "input-capacitor",
    "output-capacitor",
    "reverse-diode",
    "clamp-diode",
    "load",
];

/// Lettering of a circuit.
pub(super) struct Lettering<'a> {
    parts: &'a [DrawnPart],
}

/// Lines beside one symbol.
#[derive(Clone, Debug, Default)]
pub(super) struct Lines(Vec<String>);

impl<'a> Lettering<'a> {
    /// Of parts.
    pub(super) fn of(parts: &'a [DrawnPart]) -> Self {
        Self { parts }
    }

    /// The part in a position.
    pub(super) fn part(&self, position: &str) -> Option<&'a DrawnPart> {
        self.parts.iter().find(|part| part.position == position)
    }

    /// Lines of the part in a position, if it has one.
    pub(super) fn lines(&self, position: &str, ratings: usize) -> Option<Lines> {
        let part = self.part(position)?;
        Some(lettered(part, &designators(part), ratings))
    }

    /// Lines of the first of several parts alike, and of the others, each with one rating.
    pub(super) fn split(&self, position: &str) -> Option<(Lines, Lines)> {
        let part = self.part(position)?;
        let (first, others) = part.designators.split_first().filter(|(_, others)| !others.is_empty())?;
        let others = DrawnPart { designators: others.to_vec(), ..part.clone() };
        Some((lettered(part, first, 1), lettered(part, &designators(&others), 1)))
    }

    /// Parts that stand beside the circuit.
    pub(super) fn not_drawn(&self) -> Vec<String> {
        self.parts
            .iter()
            .filter(|part| !DRAWN.contains(&part.position.as_str()))
            .map(|part| format!("{} {}", designators(part), part.part))
            .collect()
    }
}

/// Designators, some ratings and the part number.
fn lettered(part: &DrawnPart, designators: &str, ratings: usize) -> Lines {
    let mut lines = vec![short(designators, LONGEST)];
    lines.extend(part.ratings.iter().take(ratings).map(|text| short(text, LONGEST)));
    lines.push(short(&part.part, LONGEST));
    lines.retain(|line| !line.is_empty());
    Lines(lines)
}

/// Designators in short.
fn designators(part: &DrawnPart) -> String {
    match part.designators.as_slice() {
        [] => part.position.clone(),
        [one] => one.clone(),
        [one, other] => format!("{one}, {other}"),
        [first, .., last] => format!("{first} to {last}"),
    }
}

impl Lines {
    /// The first few.
    pub(super) fn first(mut self, most: usize) -> Self {
        self.0.truncate(most);
        self
    }

    /// Width of the widest.
    pub(super) fn width(&self) -> f64 {
        self.0.iter().map(|line| width(line)).fold(0.0, f64::max)
    }

    /// Letters them, the first in bold, the first line's foot at `y`.
    pub(super) fn put(&self, sheet: &mut Drawing, anchor: Anchor, (x, mut y): (f64, f64)) {
        for (index, line) in self.0.iter().enumerate() {
            sheet.text(if index == 0 { "b" } else { "" }, anchor, (x, y), line);
            y += LINE;
        }
    }

    /// Letters them about a height.
    pub(super) fn about(&self, sheet: &mut Drawing, (x, y): (f64, f64)) {
        self.put(sheet, Anchor::Start, (x, y - self.height() / 2.0 + 10.0));
    }

    /// Letters them with the last line's foot at `y`.
    pub(super) fn above(&self, sheet: &mut Drawing, (x, y): (f64, f64)) {
        self.put(sheet, Anchor::Middle, (x, y - self.height() + LINE));
    }

    /// Height of all.
    pub(super) fn height(&self) -> f64 {
        self.0.iter().map(|_| LINE).sum()
    }
}

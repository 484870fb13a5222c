//! The circuit, drawn: mains at the left, load at the right, one rail below the other.
//!
//! Places are reckoned column by column from the widths of the lettering, so that nothing overlaps. Knows no ratings.

mod doubler;
mod input;
mod lettering;
mod output;
mod pass;
mod rectifier;
mod regulator;
mod shunt;
mod symbol;

use super::svg::{Anchor, Drawing, short};
use crate::review::{
    Figure,
    pictures::model::{Drawing as Circuit, DrawnRectifier, RailPictures},
};
use lettering::Lettering;

/// Least height of one rail's row above its upper line: the raw voltage in words, and the title.
const ABOVE: f64 = 76.0;
/// Height of a title.
const TITLE: f64 = 30.0;
/// From the upper to the lower line.
const BETWEEN: f64 = 230.0;
/// Below the lower line.
const BELOW: f64 = 62.0;
/// Least width of the sheet.
const LEAST: f64 = 820.0;
/// Longest line of text below a circuit, characters.
const NOTE_MOST: usize = 110;

/// Heights of one row.
#[derive(Clone, Copy, Debug)]
struct Row {
    /// Upper line: the raw voltage and the output.
    top: f64,
    /// Upper end of the windings.
    live: f64,
    /// Middle of the windings.
    middle: f64,
    /// Lower end of the windings.
    neutral: f64,
    /// Lower line: the return.
    base: f64,
    /// Upper line of the row below, where there is one.
    lower: f64,
}

impl Row {
    /// With what the row below needs above its upper line.
    fn at(top: f64, above: f64) -> Self {
        let base = top + BETWEEN;
        Self { top, live: top + 60.0, middle: top + 110.0, neutral: top + 160.0, base, lower: base + above }
    }

    /// The row of the negative side.
    fn next(self) -> Self {
        Self::at(self.lower, ABOVE)
    }
}

/// What a side of the rectifier feeds.
struct Side<'a> {
    letters: Lettering<'a>,
    negative: bool,
    raw_mean: Option<Figure>,
    ripple_pp: Option<Figure>,
    output: Option<Figure>,
    current_max: Option<Figure>,
    /// Whether the rectifier's drawing holds the reservoir.
    reservoir_drawn: bool,
}

impl<'a> Side<'a> {
    /// What its row needs above its upper line.
    fn above(&self) -> f64 {
        let stands = [regulator::above(self), shunt::above(self), pass::above(self)];
        stands.into_iter().fold(ABOVE - TITLE, f64::max) + TITLE
    }

    fn of(circuit: &'a Circuit) -> Self {
        Self {
            letters: Lettering::of(&circuit.parts),
            negative: circuit.negative,
            raw_mean: circuit.raw_mean,
            ripple_pp: circuit.ripple_pp,
            output: circuit.output,
            current_max: circuit.current_max,
            reservoir_drawn: circuit.rectifier == DrawnRectifier::FullWaveDoubler,
        }
    }

    fn negative_of(circuit: &'a Circuit) -> Option<Self> {
        let side = circuit.negative_side.as_ref()?;
        Some(Self {
            letters: Lettering::of(&side.parts),
            negative: true,
            raw_mean: side.raw_mean,
            ripple_pp: side.ripple_pp,
            output: side.output,
            current_max: side.current_max,
            reservoir_drawn: false,
        })
    }
}

/// The whole supply: rails on the transformer of another below it.
pub fn draw(rails: &[RailPictures]) -> Drawing {
    let mut sheet = Drawing::wide(LEAST);
    let mut y = 0.0;
    let of = |rail: &RailPictures| {
        let name = rail.drawing.transformer_of.clone();
        name.filter(|name| *name != rail.rail && rails.iter().any(|one| one.rail == *name))
    };
    for rail in rails.iter().filter(|rail| of(rail).is_none()) {
        let mut below: Vec<&RailPictures> =
            rails.iter().filter(|one| of(one).as_ref() == Some(&rail.rail)).collect();
        // The other side of the tap first: it is drawn from the same rectifier.
        below.sort_by_key(|one| one.drawing.rectifier != DrawnRectifier::Dual);
        let circuits: Vec<&Circuit> = below.iter().map(|one| &one.drawing).collect();
        let title = match below.as_slice() {
            [rest @ .., last] => {
                let names = std::iter::once(&rail).chain(rest).map(|one| short(&one.rail, 24));
                let names: Vec<_> = names.collect();
                format!("Rails {} and {}", names.join(", "), short(&last.rail, 24))
            }
            [] => format!("Rail {}", short(&rail.rail, 48)),
        };
        if !rail.rail.is_empty() {
            sheet.text("b", Anchor::Start, (16.0, y + 20.0), &title);
        }
        let (right, bottom) = draw_rail(&mut sheet, y, &rail.drawing, &circuits);
        sheet.width = sheet.width.max(right);
        y = bottom + BELOW;
    }
    sheet.height = y;
    sheet
}

/// One rail below a height, and what hangs on its transformer besides; gives the right edge and the lowest line.
fn draw_rail(sheet: &mut Drawing, y: f64, circuit: &Circuit, others: &[&Circuit]) -> (f64, f64) {
    let side = Side::of(circuit);
    let tapped = circuit.rectifier == DrawnRectifier::Dual;
    let mut below: Vec<Option<Side<'_>>> = others.iter().map(|other| Some(Side::of(other))).collect();
    let taps = tapped && others.first().is_some_and(|one| one.rectifier == DrawnRectifier::Dual);
    if tapped && !taps {
        below.insert(0, Side::negative_of(circuit));
    }
    let above = |place: usize| below.get(place).and_then(Option::as_ref).map_or(ABOVE, Side::above);
    let row = Row::at(y + side.above(), above(0));
    let (core, x) = input::draw(sheet, row, circuit, &side.letters);
    let end = rectifier::draw(sheet, row, circuit, &side.letters, x);
    let mut right = output::draw(sheet, row, &side, end);
    let mut hidden = side.letters.not_drawn();
    let (mut last, mut wound) = (row, row);
    for (place, side) in below.iter().enumerate() {
        let lower = Row::at(last.lower, above(place + 1));
        last = lower;
        if tapped && place == 0 {
            right = right.max(match side {
                Some(side) => output::draw(sheet, lower, side, end),
                None => output::other_rail(sheet, lower, end),
            });
        } else if let (Some(side), Some(other)) = (side, others.get(place + others.len() - below.len())) {
            let emf = |one: &Circuit| one.emf_rms.map(|emf| format!("{} rms", emf.text()));
            let differs = emf(other).filter(|own| Some(own) != emf(circuit).as_ref());
            let x = input::other_secondary(sheet, (wound, lower), core, x, differs.as_deref());
            let end = rectifier::draw(sheet, lower, other, &side.letters, x);
            right = right.max(output::draw(sheet, lower, side, end));
            wound = lower;
        }
        hidden.extend(side.iter().flat_map(|side| side.letters.not_drawn()));
    }
    let bottom = last.base;
    if !hidden.is_empty() {
        let note = format!("Not drawn: {}", hidden.join(", "));
        sheet.text("q", Anchor::Start, (16.0, bottom + 44.0), &short(&note, NOTE_MOST));
    }
    (right, bottom)
}

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

/// The whole supply: a rail on the transformer of another below it.
pub fn draw(rails: &[RailPictures]) -> Drawing {
    let mut sheet = Drawing::wide(LEAST);
    let mut y = 0.0;
    let of = |rail: &RailPictures| {
        let name = rail.drawing.transformer_of.clone();
        name.filter(|name| *name != rail.rail && rails.iter().any(|one| one.rail == *name))
    };
    for rail in rails.iter().filter(|rail| of(rail).is_none()) {
        let below = rails.iter().find(|one| of(one).as_ref() == Some(&rail.rail));
        let second = below.map(|below| Side::of(&below.drawing)).or_else(|| Side::negative_of(&rail.drawing));
        let row = Row::at(y + Side::of(&rail.drawing).above(), second.map_or(ABOVE, |side| side.above()));
        let title = match below {
            Some(below) => format!("Rails {} and {}", short(&rail.rail, 24), short(&below.rail, 24)),
            None => format!("Rail {}", short(&rail.rail, 48)),
        };
        if !rail.rail.is_empty() {
            sheet.text("b", Anchor::Start, (16.0, y + 20.0), &title);
        }
        let (right, bottom) = draw_rail(&mut sheet, row, &rail.drawing, below.map(|below| &below.drawing));
        sheet.width = sheet.width.max(right);
        y = bottom + BELOW;
    }
    sheet.height = y;
    sheet
}

/// One rail, and what hangs on its transformer besides; gives the right edge and the lowest line.
fn draw_rail(sheet: &mut Drawing, row: Row, circuit: &Circuit, second: Option<&Circuit>) -> (f64, f64) {
    let side = Side::of(circuit);
    let (core, x) = input::draw(sheet, row, circuit, &side.letters);
    let end = rectifier::draw(sheet, row, circuit, &side.letters, x);
    let mut right = output::draw(sheet, row, &side, end);
    let mut bottom = row.base;
    let mut hidden = side.letters.not_drawn();
    let lower = row.next();
    let tapped = circuit.rectifier == DrawnRectifier::Dual;
    let below = second.map(Side::of).or_else(|| Side::negative_of(circuit).filter(|_| tapped));
    if let (Some(second), Some(side), false) = (second, &below, tapped) {
        let emf = second.emf_rms.map(|emf| format!("{} rms", emf.text()));
        let differs = circuit.emf_rms.map(|emf| format!("{} rms", emf.text())) != emf;
        let emf = emf.as_deref().filter(|_| differs);
        let x = input::other_secondary(sheet, (row, lower), core, x, emf);
        let end = rectifier::draw(sheet, lower, second, &side.letters, x);
        right = right.max(output::draw(sheet, lower, side, end));
    } else if let (Some(side), true) = (&below, tapped) {
        right = right.max(output::draw(sheet, lower, side, end));
    } else if tapped {
        right = right.max(output::other_rail(sheet, lower, end));
    }
    if tapped || below.is_some() {
        bottom = lower.base;
    }
    if let Some(side) = &below {
        hidden.extend(side.letters.not_drawn());
    }
    if !hidden.is_empty() {
        let note = format!("Not drawn: {}", hidden.join(", "));
        sheet.text("q", Anchor::Start, (16.0, bottom + 44.0), &short(&note, NOTE_MOST));
    }
    (right, bottom)
}

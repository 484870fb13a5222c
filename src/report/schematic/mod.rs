//! The circuit, drawn: mains at the left, load at the right, one rail below the other.
//!
//! Places are reckoned column by column from the widths of the lettering, so that nothing overlaps. Knows no ratings.

mod input;
mod lettering;
mod output;
mod rectifier;
mod symbol;

use super::svg::{Anchor, Drawing, short};
use crate::review::pictures::model::{Drawing as Circuit, RailPictures};
use lettering::Lettering;

/// Height of one rail's row above its upper line.
const ABOVE: f64 = 132.0;
/// From the upper to the lower line.
const BETWEEN: f64 = 230.0;
/// Below the lower line.
const BELOW: f64 = 62.0;

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
}

/// The whole supply.
pub fn draw(rails: &[RailPictures]) -> Drawing {
    let mut sheet = Drawing::default();
    let mut y = 0.0;
    for rail in rails {
        let top = y + ABOVE;
        let row =
            Row { top, live: top + 60.0, middle: top + 110.0, neutral: top + 160.0, base: top + BETWEEN };
        sheet.text("b", Anchor::Start, (16.0, y + 20.0), &format!("Rail {}", short(&rail.rail, 48)));
        let right = draw_rail(&mut sheet, row, &rail.drawing);
        sheet.width = sheet.width.max(right);
        y = top + BETWEEN + BELOW;
    }
    sheet.height = y;
    sheet
}

/// One rail; gives the right edge.
fn draw_rail(sheet: &mut Drawing, row: Row, circuit: &Circuit) -> f64 {
    let letters = Lettering::of(circuit);
    let mut x = input::draw(sheet, row, circuit, &letters);
    x = rectifier::draw(sheet, row, circuit, &letters, x);
    let right = output::draw(sheet, row, circuit, &letters, x);
    let hidden = letters.not_drawn();
    if !hidden.is_empty() {
        sheet.text("q", Anchor::Start, (16.0, row.base + 44.0), &short(&format!("Not drawn: {hidden}"), 110));
    }
    right.max(820.0)
}

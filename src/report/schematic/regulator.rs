//! The regulator with its reverse diode and its set resistors.

use super::{
    Row, Side,
    lettering::Lines,
    pass,
    shunt::stretch,
    symbol::{self, Way},
};
use crate::report::svg::{Anchor, Drawing, Extent};

/// Half the width of its box.
const HALF_BOX: f64 = 46.0;
/// How far above the upper line the reverse diode stands.
const OVER: f64 = 46.0;

/// From the reverse diode up to the foot of its lettering.
const LETTERED: f64 = 14.0;

/// What the reverse diode and its lettering take above the upper line.
pub(super) fn above(side: &Side<'_>) -> f64 {
    let lines = side.letters.lines("reverse-diode", 0).filter(|_| side.letters.part("regulator").is_some());
    lines.map_or(0.0, |lines| OVER + LETTERED + lines.height())
}

/// Draws it from column `x` on; gives the column where it ends.
pub(super) fn draw(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let lines = side.letters.lines("regulator", 2).unwrap_or_default();
    let (x, over) = match pass::draw(sheet, row, side, x) {
        Some((end, over)) => (end, over),
        None => (x, Vec::new()),
    };
    let diode = side.letters.lines("reverse-diode", 0);
    let above = diode.as_ref().map_or(0.0, |lines| lines.width() / 2.0 + 6.0);
    let half = (lines.width() + 16.0).max(66.0).max(above);
    let centre = x + half;
    let (left, right) = (centre - HALF_BOX, centre + HALF_BOX);
    sheet.area("p", (left, row.top - 24.0), (2.0 * HALF_BOX, 48.0));
    sheet.symbol(Extent { left, top: row.top - 24.0, right, bottom: row.top - 6.5 });
    sheet.text("q", Anchor::Start, (left + 5.0, row.top + 4.0), "in");
    sheet.text("q", Anchor::End, (right - 5.0, row.top + 4.0), "out");
    sheet.wire(&[(x, row.top), (left, row.top)]);
    let end = centre + half;
    sheet.wire(&[(right, row.top), (end, row.top)]);
    lines.put(sheet, Anchor::Start, (centre + 8.0, row.top + 44.0));
    let end = if over.is_empty() { end } else { pass::collect(sheet, row, &over, end) };
    if let Some(lines) = diode {
        reverse(sheet, row, side, &lines, centre);
    }
    let set = (side.letters.lines("set-upper", 1), side.letters.lines("set-lower", 1));
    let (Some(upper), Some(lower)) = set else {
        sheet.text("q", Anchor::Middle, (centre, row.top + 20.0), "com");
        sheet.wire(&[(centre, row.top + 24.0), (centre, row.base)]);
        sheet.wire(&[(x, row.base), (end, row.base)]);
        sheet.dot(centre, row.base);
        return end;
    };
    sheet.text("q", Anchor::Middle, (centre, row.top + 20.0), "adj");
    let node = row.top + 126.0;
    let column = end + 16.0;
    sheet.wire(&[(centre, row.top + 24.0), (centre, node), (column, node)]);
    sheet.wire(&[(x, row.base), (end, row.base)]);
    for (from, to, lines) in [(row.top, node, &upper), (node, row.base, &lower)] {
        let middle = f64::midpoint(from, to);
        sheet.wire(&[(column, from), (column, middle - symbol::HALF)]);
        symbol::resistor(sheet, (column, middle));
        sheet.wire(&[(column, middle + symbol::HALF), (column, to)]);
        sheet.dot(column, from);
        lines.about(sheet, (column + 16.0, middle));
    }
    sheet.dot(column, row.base);
    stretch(sheet, row, end, column + 16.0 + upper.width().max(lower.width()) + 12.0)
}

/// The diode from output to input, over the box.
fn reverse(sheet: &mut Drawing, row: Row, side: &Side<'_>, lines: &Lines, centre: f64) {
    let y = row.top - OVER;
    let (from, to) = (centre - 58.0, centre + 58.0);
    sheet.wire(&[(from, row.top), (from, y), (centre - 8.0, y)]);
    sheet.wire(&[(centre + 8.0, y), (to, y), (to, row.top)]);
    symbol::diode(sheet, (centre, y), if side.negative { Way::Right } else { Way::Left });
    sheet.dot(from, row.top);
    sheet.dot(to, row.top);
    lines.above(sheet, (centre, y - LETTERED));
}

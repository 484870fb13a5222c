//! The regulator with its reverse diode, its set resistors and the transistors that pass the load beside it.

use super::{
    Row, Side,
    lettering::Lines,
    shunt::stretch,
    symbol::{self, Way},
};
use crate::report::svg::{Anchor, Drawing, Extent};

/// Half the width of its box.
const HALF_BOX: f64 = 46.0;
/// How far above the upper line the reverse diode stands.
const OVER: f64 = 46.0;

/// Draws it from column `x` on; gives the column where it ends.
pub(super) fn draw(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let lines = side.letters.lines("regulator", 2).unwrap_or_default();
    let (x, over) = match side.letters.lines("pass-transistor", 1) {
        Some(pass) => {
            let (end, over) = passed(sheet, row, side, &pass, x);
            (end, Some(over))
        }
        None => (x, None),
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
    let end = over.map_or(end, |over| {
        let out = end + 6.0;
        sheet.wire(&[(over.collector, over.y), (out, over.y), (out, row.top)]);
        sheet.dot(out, row.top);
        sheet.wire(&[(end, row.top), (out + 6.0, row.top)]);
        sheet.wire(&[(end, row.base), (out + 6.0, row.base)]);
        out + 6.0
    });
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
    lines.above(sheet, (centre, y - 14.0));
}

/// Where the pass transistors left off: the collector on the line above, to be brought down to the output.
#[derive(Clone, Copy)]
struct Over {
    collector: f64,
    y: f64,
}

/// Pass transistors before the box: ballast and transistor on a line above, the drive resistor between raw voltage and base.
///
/// Gives the column where the regulator's input begins, and the collector.
fn passed(sheet: &mut Drawing, row: Row, side: &Side<'_>, pass: &Lines, x: f64) -> (f64, Over) {
    let ballast = side.letters.lines("ballast-resistor", 0).unwrap_or_default();
    let drive = side.letters.lines("drive-resistor", 0).unwrap_or_default();
    let y = row.top - 106.0;
    let node = x + 4.0;
    let middle = node + (ballast.width().max(drive.width()) / 2.0 + 8.0).max(30.0);
    let base = 2.0 * middle - node + 26.0;
    sheet.wire(&[(x, row.top), (middle - symbol::HALF, row.top)]);
    symbol::resistor_lying(sheet, (middle, row.top));
    sheet.wire(&[(middle + symbol::HALF, row.top), (base, row.top)]);
    sheet.wire(&[(node, row.top), (node, y), (middle - symbol::HALF, y)]);
    symbol::resistor_lying(sheet, (middle, y));
    sheet.wire(&[(middle + symbol::HALF, y), (base - symbol::HALF, y)]);
    symbol::transistor_lying(sheet, (base, y), !side.negative);
    sheet.wire(&[(base, y + symbol::HALF), (base, row.top)]);
    sheet.dot(node, row.top);
    sheet.dot(base, row.top);
    ballast.put(sheet, Anchor::Middle, (middle, y + 22.0));
    drive.put(sheet, Anchor::Middle, (middle, row.top + 22.0));
    pass.put(sheet, Anchor::Start, (base + 10.0, y + 34.0));
    let end = base + 10.0 + pass.width() + 12.0;
    sheet.wire(&[(base, row.top), (end, row.top)]);
    sheet.wire(&[(x, row.base), (end, row.base)]);
    (end, Over { collector: base + symbol::HALF, y })
}

//! What stands between the upper and the lower line, and what lies in the upper line.

use super::{
    Row, Side,
    lettering::Lines,
    symbol::{self, Way},
};
use crate::report::svg::Drawing;

/// Capacitors of a bank that are drawn one by one; of more the first and the last, which the lettering names.
const DRAWN_MOST: u32 = 6;
/// From one capacitor of a bank to the next.
const APART: f64 = 34.0;

/// Both lines, up to a column.
pub(super) fn stretch(sheet: &mut Drawing, row: Row, from: f64, to: f64) -> f64 {
    if to > from {
        sheet.wire(&[(from, row.top), (to, row.top)]);
        sheet.wire(&[(from, row.base), (to, row.base)]);
    }
    from.max(to)
}

/// Symbols between the lines, lettered to the right; `put` draws one and gives half its length.
fn shunt(
    sheet: &mut Drawing,
    row: Row,
    x: f64,
    count: u32,
    lines: &Lines,
    put: &mut dyn FnMut(&mut Drawing, f64, f64) -> f64,
) -> f64 {
    let middle = f64::midpoint(row.top, row.base);
    let mut place = x + 16.0;
    for number in 0..count {
        if number > 0 {
            place += APART;
        }
        let half = put(sheet, place, middle);
        sheet.wire(&[(place, row.top), (place, middle - half)]);
        sheet.wire(&[(place, middle + half), (place, row.base)]);
        sheet.dot(place, row.top);
        sheet.dot(place, row.base);
    }
    lines.about(sheet, (place + 18.0, middle));
    stretch(sheet, row, x, place + 18.0 + lines.width() + 12.0)
}

/// A bank of polarised capacitors.
pub(super) fn bank(sheet: &mut Drawing, row: Row, side: &Side<'_>, position: &str, x: f64) -> f64 {
    let (Some(lines), Some(part)) = (side.letters.lines(position, 2), side.letters.part(position)) else {
        return x;
    };
    let plus = plus(side);
    let count = if part.count > DRAWN_MOST { 2 } else { part.count.max(1) };
    shunt(sheet, row, x, count, &lines, &mut |sheet, x, y| {
        symbol::capacitor(sheet, (x, y), Some(plus));
        4.0
    })
}

/// A resistor between the lines.
pub(super) fn resistor(sheet: &mut Drawing, row: Row, side: &Side<'_>, position: &str, x: f64) -> f64 {
    let Some(lines) = side.letters.lines(position, 1) else { return x };
    shunt(sheet, row, x, 1, &lines, &mut |sheet, x, y| {
        symbol::resistor(sheet, (x, y));
        symbol::HALF
    })
}

/// Where the positive plate of a capacitor is.
fn plus(side: &Side<'_>) -> Way {
    if side.negative { Way::Down } else { Way::Up }
}

/// A small capacitor between the lines, its sign where it must not be reversed.
pub(super) fn small(sheet: &mut Drawing, row: Row, side: &Side<'_>, position: &str, x: f64) -> f64 {
    let (Some(lines), Some(part)) = (side.letters.lines(position, 1), side.letters.part(position)) else {
        return x;
    };
    let sign = part.polarised.then(|| plus(side));
    shunt(sheet, row, x, 1, &lines, &mut |sheet, x, y| {
        symbol::capacitor(sheet, (x, y), sign);
        4.0
    })
}

/// A diode between the lines that conducts when the output is driven the wrong way round.
pub(super) fn clamp(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let Some(lines) = side.letters.lines("clamp-diode", 0) else { return x };
    let way = if side.negative { Way::Down } else { Way::Up };
    shunt(sheet, row, x, 1, &lines, &mut |sheet, x, y| {
        symbol::diode(sheet, (x, y), way);
        8.0
    })
}

/// Positions of what lies in the upper line.
const SECTION: [(&str, symbol::Lying); 2] =
    [("section-choke", symbol::choke), ("section-resistor", symbol::resistor_lying)];

/// What their lettering takes above the upper line.
pub(super) fn above(side: &Side<'_>) -> f64 {
    let high = |(position, _): &(&str, symbol::Lying)| Some(18.0 + side.letters.lines(position, 2)?.height());
    SECTION.iter().filter_map(high).fold(0.0, f64::max)
}

/// A choke or a resistor in the upper line.
pub(super) fn section(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let mut x = x;
    for (position, put) in SECTION {
        let Some(lines) = side.letters.lines(position, 2) else { continue };
        let half = lines.width().max(44.0) / 2.0 + 8.0;
        let centre = x + half;
        sheet.wire(&[(x, row.top), (centre - symbol::HALF, row.top)]);
        put(sheet, (centre, row.top));
        sheet.wire(&[(centre + symbol::HALF, row.top), (centre + half, row.top)]);
        sheet.wire(&[(x, row.base), (centre + half, row.base)]);
        lines.above(sheet, (centre, row.top - 18.0));
        x = centre + half;
    }
    x
}

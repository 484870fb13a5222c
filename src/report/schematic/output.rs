//! From the reservoir to the load.

use super::{
    Row,
    lettering::{Lettering, Lines},
    symbol::{self, Way},
};
use crate::{
    report::svg::{Anchor, Drawing, Extent, LINE, width},
    review::pictures::model::Drawing as Circuit,
};

/// Capacitors of a bank that are drawn one by one.
const DRAWN_MOST: u32 = 3;
/// From one capacitor of a bank to the next.
const APART: f64 = 34.0;

/// Draws it from column `x` on; gives the right edge.
pub(super) fn draw(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    let clear = raw_net(sheet, row, circuit, x);
    let mut at = x;
    if let (Some(lines), Some(part)) = (letters.lines("reservoir", 2), letters.part("reservoir")) {
        let plus = if circuit.negative { Way::Down } else { Way::Up };
        let count = part.count.clamp(1, DRAWN_MOST);
        at = shunt(sheet, row, at, count, &lines, &mut |sheet, x, y| {
            symbol::capacitor(sheet, (x, y), Some(plus));
            4.0
        });
    }
    at = resistor(sheet, row, letters, "bleeder", at);
    at = small(sheet, row, letters, "input-capacitor", at);
    at = stretch(sheet, row, at, clear);
    if letters.part("regulator").is_some() {
        at = regulator(sheet, row, circuit, letters, at);
    }
    at = resistor(sheet, row, letters, "minimum-load", at);
    at = small(sheet, row, letters, "output-capacitor", at);
    terminals(sheet, row, circuit, at)
}

/// What the raw voltage is, above the upper line; gives the column where the line is free again.
fn raw_net(sheet: &mut Drawing, row: Row, circuit: &Circuit, x: f64) -> f64 {
    let mean = circuit.raw_mean.map_or_else(String::new, |mean| format!("raw, mean {}", mean.text()));
    let ripple = circuit.ripple_pp.map_or_else(String::new, |ripple| format!("ripple pp {}", ripple.text()));
    sheet.text("n", Anchor::Start, (x + 4.0, row.top - 8.0 - LINE), &mean);
    sheet.text("n", Anchor::Start, (x + 4.0, row.top - 8.0), &ripple);
    x + 4.0 + width(&mean).max(width(&ripple)) + 12.0
}

/// Both lines, up to a column.
fn stretch(sheet: &mut Drawing, row: Row, from: f64, to: f64) -> f64 {
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

fn resistor(sheet: &mut Drawing, row: Row, letters: &Lettering<'_>, position: &str, x: f64) -> f64 {
    let Some(lines) = letters.lines(position, 1) else { return x };
    shunt(sheet, row, x, 1, &lines, &mut |sheet, x, y| {
        symbol::resistor(sheet, (x, y));
        symbol::HALF
    })
}

fn small(sheet: &mut Drawing, row: Row, letters: &Lettering<'_>, position: &str, x: f64) -> f64 {
    let Some(lines) = letters.lines(position, 1) else { return x };
    shunt(sheet, row, x, 1, &lines, &mut |sheet, x, y| {
        symbol::capacitor(sheet, (x, y), None);
        4.0
    })
}

/// Regulator with its reverse diode and its set resistors.
fn regulator(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    let lines = letters.lines("regulator", 2).unwrap_or_default();
    let diode = letters.lines("reverse-diode", 0);
    let above = diode.as_ref().map_or(0.0, |lines| lines.width() / 2.0 + 6.0);
    let half = (lines.width() + 16.0).max(66.0).max(above);
    let centre = x + half;
    let (left, right) = (centre - 46.0, centre + 46.0);
    sheet.area("p", (left, row.top - 24.0), (92.0, 48.0));
    sheet.symbol(Extent { left, top: row.top - 24.0, right, bottom: row.top - 6.5 });
    sheet.text("q", Anchor::Start, (left + 5.0, row.top + 4.0), "in");
    sheet.text("q", Anchor::End, (right - 5.0, row.top + 4.0), "out");
    sheet.wire(&[(x, row.top), (left, row.top)]);
    sheet.wire(&[(right, row.top), (centre + half, row.top)]);
    if let Some(lines) = diode {
        let y = row.top - 46.0;
        let (from, to) = (centre - 58.0, centre + 58.0);
        sheet.wire(&[(from, row.top), (from, y), (centre - 8.0, y)]);
        sheet.wire(&[(centre + 8.0, y), (to, y), (to, row.top)]);
        symbol::diode(sheet, (centre, y), if circuit.negative { Way::Right } else { Way::Left });
        sheet.dot(from, row.top);
        sheet.dot(to, row.top);
        lines.above(sheet, (centre, y - 14.0));
    }
    let end = centre + half;
    lines.put(sheet, Anchor::Start, (centre + 8.0, row.top + 44.0));
    let set = (letters.lines("set-upper", 1), letters.lines("set-lower", 1));
    if let (Some(upper), Some(lower)) = set {
        sheet.text("q", Anchor::Middle, (centre, row.top + 20.0), "adj");
        let node = row.top + 126.0;
        let column = end + 16.0;
        sheet.wire(&[(centre, row.top + 24.0), (centre, node), (column, node)]);
        sheet.wire(&[(x, row.base), (end, row.base)]);
        let places = [(row.top, node, &upper), (node, row.base, &lower)];
        for (from, to, lines) in places {
            let middle = f64::midpoint(from, to);
            sheet.wire(&[(column, from), (column, middle - symbol::HALF)]);
            symbol::resistor(sheet, (column, middle));
            sheet.wire(&[(column, middle + symbol::HALF), (column, to)]);
            sheet.dot(column, from);
            lines.about(sheet, (column + 16.0, middle));
        }
        sheet.dot(column, row.base);
        return stretch(sheet, row, end, column + 16.0 + upper.width().max(lower.width()) + 12.0);
    }
    sheet.text("q", Anchor::Middle, (centre, row.top + 20.0), "com");
    sheet.wire(&[(centre, row.top + 24.0), (centre, row.base)]);
    sheet.wire(&[(x, row.base), (end, row.base)]);
    sheet.dot(centre, row.base);
    end
}

/// Terminals of the load; gives the right edge.
fn terminals(sheet: &mut Drawing, row: Row, circuit: &Circuit, x: f64) -> f64 {
    let place = x + 20.0;
    sheet.wire(&[(x, row.top), (place - 4.0, row.top)]);
    sheet.wire(&[(x, row.base), (place - 4.0, row.base)]);
    symbol::terminal(sheet, (place, row.top));
    symbol::terminal(sheet, (place, row.base));
    let sign = if circuit.negative { "−" } else { "+" };
    let output = circuit.output.map_or_else(String::new, |output| format!("{sign}{}", output.text()));
    let current = circuit.current_max.map_or_else(String::new, |most| format!("to {}", most.text()));
    sheet.text("b", Anchor::Start, (place + 10.0, row.top + 4.0), &output);
    sheet.text("", Anchor::Start, (place + 10.0, row.top + 4.0 + LINE), &current);
    sheet.text("b", Anchor::Start, (place + 10.0, row.base + 4.0), "0 V");
    place + 10.0 + width(&output).max(width(&current)).max(width("0 V")) + 16.0
}

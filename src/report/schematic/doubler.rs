//! Rectifiers that double, and the one that feeds a positive and a negative rail.

use super::{
    Row,
    lettering::Lettering,
    symbol::{self, Way},
};
use crate::{
    report::svg::{Anchor, Drawing},
    review::pictures::model::{Drawing as Circuit, DrawnWinding},
};

/// A tap that feeds nothing ends here.
pub(super) fn idle_tap(sheet: &mut Drawing, row: Row, circuit: &Circuit, x: f64) {
    if circuit.winding == DrawnWinding::Tapped {
        symbol::terminal(sheet, (x + 4.0, row.middle));
    }
}

/// One end of the winding to both diodes, the other to the middle of two capacitors in series.
pub(super) fn full_wave(
    sheet: &mut Drawing,
    row: Row,
    circuit: &Circuit,
    letters: &Lettering<'_>,
    x: f64,
) -> f64 {
    let diodes = letters.lines("rectifier", 2).unwrap_or_default();
    let bank = letters.lines("reservoir", 2).unwrap_or_default();
    let (way, plus) = if circuit.negative { (Way::Down, Way::Down) } else { (Way::Up, Way::Up) };
    let column = x + 22.0;
    let (upper, lower) = (row.top + 30.0, row.base - 34.0);
    idle_tap(sheet, row, circuit, x);
    sheet.wire(&[(x, row.live), (column, row.live)]);
    sheet.wire(&[(column, row.top), (column, upper - 8.0)]);
    sheet.wire(&[(column, upper + 8.0), (column, lower - 8.0)]);
    sheet.wire(&[(column, lower + 8.0), (column, row.base)]);
    symbol::diode(sheet, (column, upper), way);
    symbol::diode(sheet, (column, lower), way);
    sheet.dot(column, row.live);
    diodes.about(sheet, (column + 20.0, row.middle));
    let stack = column + 20.0 + diodes.width() + 20.0;
    sheet.wire(&[(x, row.neutral), (stack, row.neutral)]);
    for (from, to) in [(row.top, row.neutral), (row.neutral, row.base)] {
        let middle = f64::midpoint(from, to);
        sheet.wire(&[(stack, from), (stack, middle - 4.0)]);
        symbol::capacitor(sheet, (stack, middle), Some(plus));
        sheet.wire(&[(stack, middle + 4.0), (stack, to)]);
        sheet.dot(stack, from);
    }
    sheet.dot(stack, row.base);
    bank.about(sheet, (stack + 18.0, row.top + 80.0));
    let end = stack + 18.0 + bank.width() + 12.0;
    sheet.wire(&[(column, row.top), (end, row.top)]);
    sheet.wire(&[(column, row.base), (end, row.base)]);
    end
}

/// A coupling capacitor charged through one diode, emptied through the other.
pub(super) fn half_wave(
    sheet: &mut Drawing,
    row: Row,
    circuit: &Circuit,
    letters: &Lettering<'_>,
    x: f64,
) -> f64 {
    let coupling = letters.lines("coupling-capacitor", 2).unwrap_or_default();
    let diodes = letters.lines("rectifier", 2).unwrap_or_default();
    let (up, on) = if circuit.negative { (Way::Down, Way::Left) } else { (Way::Up, Way::Right) };
    let back = x + 10.0;
    idle_tap(sheet, row, circuit, x);
    sheet.wire(&[(x, row.neutral), (back, row.neutral), (back, row.base)]);
    let half = coupling.width().max(30.0) / 2.0 + 10.0;
    let centre = back + 6.0 + half;
    sheet.wire(&[(x, row.live), (centre - 4.0, row.live)]);
    let polarised = circuit.parts.iter().any(|part| part.position == "coupling-capacitor" && part.polarised);
    symbol::capacitor_lying(sheet, (centre, row.live), polarised.then_some(on));
    let node = centre + half + 10.0;
    let guarded = circuit.parts.iter().any(|part| part.position == "rectifier" && part.count > 2);
    if guarded {
        // A third diode keeps the coupling capacitor from being charged backwards.
        let (from, over) = (back + 6.0, row.live - 20.0);
        sheet.wire(&[(from, row.live), (from, over), (centre - 8.0, over)]);
        symbol::diode(sheet, (centre, over), on);
        sheet.wire(&[(centre + 8.0, over), (node, over), (node, row.live)]);
        sheet.dot(from, row.live);
    }
    coupling.above(sheet, (centre, row.live - if guarded { 34.0 } else { 18.0 }));
    sheet.wire(&[(centre + 4.0, row.live), (node, row.live)]);
    let lower = f64::midpoint(row.live, row.base);
    sheet.wire(&[(node, row.live), (node, lower - 8.0)]);
    symbol::diode(sheet, (node, lower), up);
    sheet.wire(&[(node, lower + 8.0), (node, row.base)]);
    sheet.dot(node, row.live);
    sheet.dot(node, row.base);
    let half = diodes.width().max(30.0) / 2.0 + 10.0;
    let second = node + half;
    let join = second + half;
    sheet.wire(&[(node, row.live), (second - 8.0, row.live)]);
    symbol::diode(sheet, (second, row.live), on);
    diodes.above(sheet, (second, row.live - 18.0));
    sheet.wire(&[(second + 8.0, row.live), (join, row.live), (join, row.top)]);
    let end = join + 14.0;
    sheet.wire(&[(join, row.top), (end, row.top)]);
    sheet.wire(&[(back, row.base), (end, row.base)]);
    end
}

/// Four diodes; the tap is the return of both rails, whose negative one has the row below.
pub(super) fn dual(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    let lines = letters.lines("rectifier", 2).unwrap_or_default();
    let below = row.next();
    let tap = x + 8.0;
    let (first, second) = (x + 36.0, x + 88.0);
    let (upper, lower) = (row.top + 30.0, row.base - 34.0);
    sheet.wire(&[(x, row.live), (first, row.live)]);
    sheet.wire(&[(x, row.neutral), (second, row.neutral)]);
    if circuit.winding == DrawnWinding::Tapped {
        sheet.wire(&[(x, row.middle), (tap, row.middle), (tap, row.base)]);
    }
    sheet.wire(&[(tap, row.base), (tap, below.base)]);
    sheet.dot(tap, row.base);
    for (column, node) in [(first, row.live), (second, row.neutral)] {
        sheet.wire(&[(column, row.top), (column, upper - 8.0)]);
        sheet.wire(&[(column, upper + 8.0), (column, lower - 8.0)]);
        sheet.wire(&[(column, lower + 8.0), (column, below.top)]);
        symbol::diode(sheet, (column, upper), Way::Up);
        symbol::diode(sheet, (column, lower), Way::Up);
        sheet.dot(column, node);
    }
    sheet.dot(second, row.top);
    sheet.dot(second, below.top);
    if circuit.one_package {
        sheet.area("e", (first - 14.0, row.top + 12.0), (second - first + 28.0, row.base - row.top - 24.0));
    }
    lines.about(sheet, (second + 20.0, row.middle));
    let end = second + 20.0 + lines.width().max(50.0) + 10.0;
    sheet.wire(&[(first, row.top), (end, row.top)]);
    sheet.wire(&[(tap, row.base), (end, row.base)]);
    sheet.wire(&[(first, below.top), (end, below.top)]);
    sheet.wire(&[(tap, below.base), (end, below.base)]);
    sheet.text("q", Anchor::Start, (second + 20.0, row.base - 6.0), "common");
    end
}

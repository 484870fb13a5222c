//! From the reservoir to the load.

use super::{
    Row, Side, regulator,
    shunt::{bank, clamp, resistor, section, small, stretch},
    symbol,
};
use crate::report::svg::{Anchor, Drawing, LINE, width};

/// Draws it from column `x` on; gives the right edge.
pub(super) fn draw(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let clear = raw_net(sheet, row, side, x);
    let mut at = x;
    if !side.reservoir_drawn {
        at = bank(sheet, row, side, "reservoir", at);
    }
    at = stretch(sheet, row, at, clear);
    at = section(sheet, row, side, at);
    at = bank(sheet, row, side, "section-capacitor", at);
    at = resistor(sheet, row, side, "bleeder", at);
    at = small(sheet, row, side, "input-capacitor", at);
    if side.letters.part("regulator").is_some() {
        at = regulator::draw(sheet, row, side, at);
    }
    at = resistor(sheet, row, side, "minimum-load", at);
    at = small(sheet, row, side, "output-capacitor", at);
    at = clamp(sheet, row, side, at);
    at = resistor(sheet, row, side, "load", at);
    terminals(sheet, row, side, at)
}

/// What the raw voltage is, above the upper line; gives the column where the line is free again.
fn raw_net(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let sign = if side.negative { "−" } else { "" };
    let mean = side.raw_mean.map_or_else(String::new, |mean| format!("raw, mean {sign}{}", mean.text()));
    let ripple = side.ripple_pp.map_or_else(String::new, |ripple| format!("ripple pp {}", ripple.text()));
    sheet.text("n", Anchor::Start, (x + 4.0, row.top - 8.0 - LINE), &mean);
    sheet.text("n", Anchor::Start, (x + 4.0, row.top - 8.0), &ripple);
    x + 4.0 + width(&mean).max(width(&ripple)) + 12.0
}

/// Terminals of the load; gives the right edge.
fn terminals(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> f64 {
    let place = x + 20.0;
    sheet.wire(&[(x, row.top), (place - 4.0, row.top)]);
    sheet.wire(&[(x, row.base), (place - 4.0, row.base)]);
    symbol::terminal(sheet, (place, row.top));
    symbol::terminal(sheet, (place, row.base));
    let sign = if side.negative { "−" } else { "+" };
    let output = side.output.map_or_else(String::new, |output| format!("{sign}{}", output.text()));
    let current = side.current_max.map_or_else(String::new, |most| format!("to {}", most.text()));
    sheet.text("b", Anchor::Start, (place + 10.0, row.top + 4.0), &output);
    sheet.text("", Anchor::Start, (place + 10.0, row.top + 4.0 + LINE), &current);
    sheet.text("b", Anchor::Start, (place + 10.0, row.base + 4.0), "0 V");
    place + 10.0 + width(&output).max(width(&current)).max(width("0 V")) + 16.0
}

/// A negative side that another drawing shows; gives the right edge.
pub(super) fn other_rail(sheet: &mut Drawing, row: Row, x: f64) -> f64 {
    let words = "negative rail: see its own drawing";
    let place = x + 20.0;
    sheet.wire(&[(x, row.top), (place - 4.0, row.top)]);
    sheet.wire(&[(x, row.base), (place - 4.0, row.base)]);
    symbol::terminal(sheet, (place, row.top));
    symbol::terminal(sheet, (place, row.base));
    sheet.text("q", Anchor::Start, (place + 10.0, row.top + 4.0), words);
    place + 10.0 + width(words) + 16.0
}

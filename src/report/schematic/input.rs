//! From the inlet to the ends of the secondaries.

use super::{Row, lettering::Lettering, symbol};
use crate::{
    report::svg::{Anchor, Drawing, Extent, width},
    review::pictures::model::{Drawing as Circuit, DrawnWinding},
};

/// From the lower end of a winding to below the lettering of its EMF.
const UNDER_EMF: f64 = 30.0;
/// The inlet's terminals.
const INLET: f64 = 60.0;

/// Draws it; gives the column of the core, and that where the rectifier may begin. Both ends of the winding are wired up to there.
pub(super) fn draw(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>) -> (f64, f64) {
    inlet(sheet, row, circuit);
    let mut x = INLET + 10.0;
    let kinds: [(&str, symbol::Lying); 3] = [
        ("primary-fuse", symbol::fuse),
        ("inrush-limiter", symbol::thermistor),
        ("cut-out", symbol::contact),
    ];
    let mut from = INLET + 4.0;
    for (position, put) in kinds {
        let Some(lines) = letters.lines(position, 1) else { continue };
        let half = lines.width().max(44.0) / 2.0 + 8.0;
        let centre = x + half;
        sheet.wire(&[(from, row.live), (centre - symbol::HALF, row.live)]);
        put(sheet, (centre, row.live));
        lines.above(sheet, (centre, row.live - 18.0));
        from = centre + symbol::HALF;
        x = centre + half;
    }
    transformer(sheet, row, circuit, letters, (from, x))
}

fn inlet(sheet: &mut Drawing, row: Row, circuit: &Circuit) {
    for (y, name) in [(row.live, "L"), (row.neutral, "N")] {
        symbol::terminal(sheet, (INLET, y));
        sheet.text("b", Anchor::End, (INLET - 10.0, y + 4.0), name);
    }
    sheet.text("n", Anchor::Start, (16.0, row.middle + 4.0), &circuit.mains);
    if circuit.earth {
        let y = row.neutral + 44.0;
        symbol::terminal(sheet, (INLET, y));
        sheet.text("b", Anchor::End, (INLET - 10.0, y + 4.0), "PE");
        sheet.wire(&[(INLET + 4.0, y), (INLET + 34.0, y), (INLET + 34.0, y + 10.0)]);
        symbol::earth(sheet, (INLET + 34.0, y + 10.0));
        sheet.text("q", Anchor::Start, (INLET + 50.0, y + 15.0), "chassis");
    }
}

fn transformer(
    sheet: &mut Drawing,
    row: Row,
    circuit: &Circuit,
    letters: &Lettering<'_>,
    (from, x): (f64, f64),
) -> (f64, f64) {
    let lines = letters.lines("transformer", 2).unwrap_or_default();
    let emf = circuit.emf_rms.map_or_else(String::new, |emf| format!("{} rms", emf.text()));
    let half = lines.width().max(width(&emf)).max(64.0) / 2.0 + 10.0;
    let clear = 16.0 + width(&circuit.mains) + 30.0;
    let centre = (x + half).max(clear + 27.0).max(INLET + 150.0);
    let (primary, secondary) = (centre - 27.0, centre + 27.0);
    sheet.wire(&[(from, row.live), (primary, row.live)]);
    sheet.wire(&[(INLET + 4.0, row.neutral), (primary, row.neutral)]);
    symbol::winding(sheet, primary, (row.live, row.neutral), true);
    for line in [centre - 4.0, centre + 4.0] {
        sheet.line("", &[(line, row.live), (line, row.neutral)]);
    }
    sheet.symbol(Extent { left: centre - 5.0, top: row.live, right: centre + 5.0, bottom: row.neutral });
    lines.above(sheet, (centre, row.live - 18.0));
    sheet.text("n", Anchor::Middle, (centre, row.neutral + 20.0), &emf);
    let out = secondaries(sheet, row, circuit.winding, secondary);
    let end = (centre + half).max(out + 12.0);
    let mut at = (out, secondary);
    let mut x = end;
    if circuit.winding != DrawnWinding::Parallel {
        at = (secondary, secondary);
    }
    if let (Some(lines), Some(part)) = (letters.lines("secondary-fuse", 1), letters.part("secondary-fuse")) {
        let half = lines.width().max(44.0) / 2.0 + 8.0;
        let place = end + half;
        sheet.wire(&[(at.0, row.live), (place - symbol::HALF, row.live)]);
        symbol::fuse(sheet, (place, row.live));
        lines.above(sheet, (place, row.live - 18.0));
        at.0 = place + symbol::HALF;
        if part.count > 1 {
            sheet.wire(&[(at.1, row.neutral), (place - symbol::HALF, row.neutral)]);
            symbol::fuse(sheet, (place, row.neutral));
            at.1 = place + symbol::HALF;
        }
        x = place + half;
    }
    sheet.wire(&[(at.0, row.live), (x, row.live)]);
    sheet.wire(&[(at.1, row.neutral), (x, row.neutral)]);
    if circuit.winding == DrawnWinding::Tapped {
        sheet.dot(secondary, row.middle);
        sheet.wire(&[(secondary, row.middle), (x, row.middle)]);
    }
    (centre, x)
}

/// The other secondary on a core drawn above, in the row below it; gives the column where its rectifier may begin.
///
/// `emf` is lettered below it where it differs from that of the first.
pub(super) fn other_secondary(
    sheet: &mut Drawing,
    (row, lower): (Row, Row),
    core: f64,
    x: f64,
    emf: Option<&str>,
) -> f64 {
    let secondary = core + 27.0;
    let from = row.neutral + UNDER_EMF;
    for line in [core - 4.0, core + 4.0] {
        sheet.line("", &[(line, from), (line, lower.neutral)]);
    }
    sheet.symbol(Extent { left: core - 5.0, top: from, right: core + 5.0, bottom: lower.neutral });
    symbol::winding(sheet, secondary, (lower.live, lower.neutral), false);
    if let Some(emf) = emf {
        sheet.text("n", Anchor::End, (x - 12.0, lower.neutral + 20.0), emf);
    }
    sheet.wire(&[(secondary, lower.live), (x, lower.live)]);
    sheet.wire(&[(secondary, lower.neutral), (x, lower.neutral)]);
    x
}

/// The secondaries, their starts marked; gives the rightmost of their joins.
fn secondaries(sheet: &mut Drawing, row: Row, winding: DrawnWinding, x: f64) -> f64 {
    let (upper, lower) = ((row.live, row.live + 40.0), (row.neutral - 40.0, row.neutral));
    if winding == DrawnWinding::Single {
        symbol::winding(sheet, x, (row.live, row.neutral), false);
        return x;
    }
    for half in [upper, lower] {
        symbol::winding(sheet, x, half, false);
        sheet.dot(x + 5.0, half.0 + 7.0);
    }
    if winding != DrawnWinding::Parallel {
        sheet.wire(&[(x, upper.1), (x, lower.0)]);
        return x;
    }
    let (starts, ends) = (x + 16.0, x + 30.0);
    sheet.wire(&[(x, row.live), (starts, row.live), (starts, lower.0), (x, lower.0)]);
    sheet.wire(&[(x, upper.1), (ends, upper.1), (ends, row.neutral)]);
    sheet.wire(&[(starts, row.live), (ends, row.live)]);
    sheet.dot(starts, row.live);
    sheet.dot(ends, row.neutral);
    ends
}

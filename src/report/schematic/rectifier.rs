//! From the ends of the secondaries to the upper and the lower line.

use super::{
    Row, doubler,
    lettering::Lettering,
    symbol::{self, Way},
};
use crate::{
    report::svg::Drawing,
    review::pictures::model::{Drawing as Circuit, DrawnRectifier, DrawnWinding},
};

/// Draws it from column `x` on; gives the column where the filter may begin, both lines wired up to there.
pub(super) fn draw(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    match circuit.rectifier {
        DrawnRectifier::Bridge => bridge(sheet, row, circuit, letters, x),
        DrawnRectifier::CentreTap | DrawnRectifier::HalfWave => diodes(sheet, row, circuit, letters, x),
        DrawnRectifier::FullWaveDoubler => doubler::full_wave(sheet, row, circuit, letters, x),
        DrawnRectifier::HalfWaveDoubler => doubler::half_wave(sheet, row, circuit, letters, x),
        DrawnRectifier::Dual => doubler::dual(sheet, row, circuit, letters, x),
    }
}

fn bridge(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    let lines = letters.lines("rectifier", 2).unwrap_or_default();
    let way = if circuit.negative { Way::Down } else { Way::Up };
    let (first, second) = (x + 22.0, x + 74.0);
    let (upper, lower) = (row.top + 30.0, row.base - 34.0);
    sheet.wire(&[(x, row.live), (first, row.live)]);
    sheet.wire(&[(x, row.neutral), (second, row.neutral)]);
    for (column, node) in [(first, row.live), (second, row.neutral)] {
        sheet.wire(&[(column, row.top), (column, upper - 8.0)]);
        sheet.wire(&[(column, upper + 8.0), (column, lower - 8.0)]);
        sheet.wire(&[(column, lower + 8.0), (column, row.base)]);
        symbol::diode(sheet, (column, upper), way);
        symbol::diode(sheet, (column, lower), way);
        sheet.dot(column, node);
    }
    sheet.dot(second, row.top);
    sheet.dot(second, row.base);
    if circuit.one_package {
        sheet.area("e", (first - 14.0, row.top + 12.0), (second - first + 28.0, row.base - row.top - 24.0));
    }
    doubler::idle_tap(sheet, row, circuit, x);
    lines.about(sheet, (second + 20.0, row.middle));
    let end = second + 20.0 + lines.width() + 10.0;
    sheet.wire(&[(first, row.top), (end, row.top)]);
    sheet.wire(&[(first, row.base), (end, row.base)]);
    end
}

fn diodes(sheet: &mut Drawing, row: Row, circuit: &Circuit, letters: &Lettering<'_>, x: f64) -> f64 {
    let lines = letters.lines("rectifier", 2).unwrap_or_default();
    let tapped = circuit.rectifier == DrawnRectifier::CentreTap;
    let way = if circuit.negative { Way::Left } else { Way::Right };
    let back = x + 10.0;
    let half = lines.width().max(30.0) / 2.0 + 10.0;
    let centre = back + 6.0 + half;
    let join = centre + half;
    sheet.wire(&[(x, row.live), (centre - 8.0, row.live)]);
    symbol::diode(sheet, (centre, row.live), way);
    lines.above(sheet, (centre, row.live - 18.0));
    sheet.wire(&[(centre + 8.0, row.live), (join, row.live), (join, row.top)]);
    if tapped {
        sheet.wire(&[(x, row.neutral), (centre - 8.0, row.neutral)]);
        symbol::diode(sheet, (centre, row.neutral), way);
        sheet.wire(&[(centre + 8.0, row.neutral), (join, row.neutral), (join, row.live)]);
        sheet.dot(join, row.live);
        if circuit.winding == DrawnWinding::Tapped {
            sheet.wire(&[(x, row.middle), (back, row.middle), (back, row.base)]);
        }
    } else {
        sheet.wire(&[(x, row.neutral), (back, row.neutral), (back, row.base)]);
        doubler::idle_tap(sheet, row, circuit, x);
    }
    let end = join + 14.0;
    sheet.wire(&[(join, row.top), (end, row.top)]);
    sheet.wire(&[(back, row.base), (end, row.base)]);
    end
}

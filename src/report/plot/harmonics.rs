//! Harmonics of the primary current on a logarithmic axis, each beside its limit.

use super::{LEFT, RIGHT, WIDE, legend};
use crate::{
    report::svg::{Anchor, Drawing},
    review::pictures::model::HarmonicRow,
};

/// Height of the field.
const HIGH: f64 = 220.0;
/// Decades of the axis, A: least exponent.
const LEAST: i32 = -4;
/// Marks from there on; the last is drawn where something reaches beyond the one before.
const MARKS: [&str; 7] = ["100 µA", "1 mA", "10 mA", "100 mA", "1 A", "10 A", "100 A"];

/// Draws them; limits where there are any, crossed ones marked where they apply.
pub fn draw(rows: &[HarmonicRow], limited: bool) -> Drawing {
    let mut sheet = Drawing::wide(WIDE);
    let limits = if limited { "class A limit" } else { "class A limit, for comparison: does not apply" };
    let mut names = vec![("a", String::from("harmonic, rms"))];
    if rows.iter().any(|row| row.limit_rms.is_some()) {
        names.push(("c", String::from(limits)));
    }
    let top = legend(&mut sheet, &names) + 10.0;
    let bottom = top + HIGH;
    sheet.height = bottom + 46.0;
    let beyond = rows.iter().any(|row| row.current_rms.value() > 10.0);
    let marks = MARKS.get(..if beyond { 7 } else { 6 }).unwrap_or(&MARKS);
    let span = if beyond { 6.0 } else { 5.0 };
    let y = |value: f64| {
        let share = (value.log10() - f64::from(LEAST)) / span;
        bottom - share.clamp(0.0, 1.0) * HIGH
    };
    for (decade, name) in (LEAST..).zip(marks) {
        let at = y(10_f64.powi(decade));
        sheet.line("g", &[(LEFT, at), (RIGHT, at)]);
        sheet.text("q", Anchor::End, (LEFT - 6.0, at + 4.0), name);
    }
    let pitch = (RIGHT - LEFT) / 41.0;
    for row in rows {
        let x = LEFT + pitch * f64::from(row.order);
        let at = y(row.current_rms.value().max(f64::MIN_POSITIVE));
        if at < bottom {
            let over = row.limit_rms.is_some_and(|limit| limited && row.current_rms.value() > limit.value());
            sheet.area(if over { "bad" } else { "bar" }, (x - 4.0, at), (8.0, bottom - at));
        }
        if let Some(limit) = row.limit_rms {
            sheet.line("c", &[(x - 7.0, y(limit.value())), (x + 7.0, y(limit.value()))]);
        }
        if row.order % 2 == 1 && (row.order < 10 || row.order % 4 == 1) {
            sheet.text("q", Anchor::Middle, (x, bottom + 16.0), &row.order.to_string());
        }
    }
    sheet.line("", &[(LEFT, bottom), (RIGHT, bottom)]);
    sheet.text("b", Anchor::Middle, (f64::midpoint(LEFT, RIGHT), bottom + 34.0), "order of the harmonic");
    sheet
}

//! Lying bars beside their names, each with its figure.

use super::{WIDE, tick::Ticks};
use crate::report::svg::{Anchor, Drawing, short, width};

/// Height of a row.
const ROW: f64 = 17.0;
/// Longest name, characters.
const NAME_MOST: usize = 42;
/// Longest figure, characters.
const FIGURE_MOST: usize = 18;

/// One bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Name.
    pub name: String,
    /// Length.
    pub value: f64,
    /// Figure, as it is read.
    pub text: String,
    /// Whether it lies beyond its limit; the figure says so too.
    pub bad: bool,
}

/// The axis of bars.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// Name of the axis with its unit.
    pub name: String,
    /// What a unit of the values is multiplied by where marks are lettered: 100 for per cent.
    pub times: f64,
    /// Where longer bars are cut off.
    pub most: f64,
    /// A line across all bars.
    pub limit: Option<f64>,
}

/// Draws bars.
pub fn draw(bars: &[Bar], scale: &Scale) -> Drawing {
    let mut sheet = Drawing::wide(WIDE);
    let names = bars.iter().map(|bar| width(&short(&bar.name, NAME_MOST))).fold(0.0, f64::max);
    let figures = bars.iter().map(|bar| width(&short(&bar.text, FIGURE_MOST))).fold(0.0, f64::max);
    let (left, right) = (names + 18.0, WIDE - figures - 20.0);
    let cut = |value: f64| value.min(scale.most) * scale.times;
    let low = bars.iter().map(|bar| cut(bar.value)).fold(0.0, f64::min);
    let high = bars
        .iter()
        .map(|bar| cut(bar.value))
        .chain(scale.limit.map(|at| at * scale.times))
        .fold(0.0, f64::max);
    let ticks = Ticks::over(low, high, ((right - left) / 60.0).floor());
    let x = |value: f64| left + ticks.share(value) * (right - left);
    let top = 8.0;
    let mut bottom = top;
    for _ in bars {
        bottom += ROW;
    }
    for (value, text) in &ticks.marks {
        sheet.line("g", &[(x(*value), top), (x(*value), bottom + 4.0)]);
        sheet.text("q", Anchor::Middle, (x(*value), bottom + 18.0), text);
    }
    sheet.text("b", Anchor::Middle, (f64::midpoint(left, right), bottom + 35.0), &scale.name);
    sheet.height = bottom + 44.0;
    let mut y = top;
    for bar in bars {
        let class = if bar.bad { "bad" } else { "bar" };
        let (from, to) = (x(0.0).min(x(cut(bar.value))), x(0.0).max(x(cut(bar.value))));
        sheet.area(class, (from, y + 3.5), (to - from, ROW - 7.0));
        sheet.text("", Anchor::End, (left - 8.0, y + 12.0), &short(&bar.name, NAME_MOST));
        sheet.text(
            if bar.bad { "x" } else { "" },
            Anchor::Start,
            (right + 10.0, y + 12.0),
            &short(&bar.text, FIGURE_MOST),
        );
        y += ROW;
    }
    if let Some(limit) = scale.limit {
        let at = x(limit * scale.times);
        sheet.line("c", &[(at, top - 4.0), (at, bottom + 4.0)]);
    }
    sheet
}

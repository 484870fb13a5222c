//! Plots: curves over an axis, bars beside their names, harmonics against their limits.
//!
//! Places ink only; every number comes reckoned from the dossier.

pub mod bars;
pub mod curves;
pub mod harmonics;
pub mod tick;

use super::svg::{Anchor, Drawing, short, width};

/// Width of every plot.
const WIDE: f64 = 720.0;
/// Left edge of the field.
const LEFT: f64 = 66.0;
/// Right edge of the field.
const RIGHT: f64 = 704.0;

/// Names of curves with a sample of each, words alone where there is no class, in rows from the top; gives the height used.
fn legend(sheet: &mut Drawing, entries: &[(&str, String)]) -> f64 {
    let (mut x, mut y) = (LEFT, 16.0);
    for (class, name) in entries {
        let name = short(name, 60);
        let sample = if class.is_empty() { 0.0 } else { 32.0 };
        let wide = sample + 2.0 + width(&name) + 18.0;
        if x > LEFT && x + wide > WIDE {
            x = LEFT;
            y += 17.0;
        }
        if *class == "shade" {
            sheet.area(class, (x, y - 10.0), (26.0, 12.0));
        } else if !class.is_empty() {
            sheet.line(class, &[(x, y - 4.0), (x + 26.0, y - 4.0)]);
        }
        sheet.text("", Anchor::Start, (x + sample, y), &name);
        x += wide;
    }
    y + 12.0
}

//! Graphic symbols in the manner of IEC 60617 (from memory): each draws itself about a point and remembers its box.
//!
//! Knows no circuit.

use crate::report::svg::{Drawing, Extent, at};

/// Draws a symbol that lies in a line.
pub(super) type Lying = fn(&mut Drawing, (f64, f64));

/// Half the length of a two-terminal symbol.
pub(super) const HALF: f64 = 18.0;

fn remember(sheet: &mut Drawing, (x, y): (f64, f64), (half_wide, half_high): (f64, f64)) {
    sheet.symbol(Extent {
        left: x - half_wide,
        top: y - half_high,
        right: x + half_wide,
        bottom: y + half_high,
    });
}

/// Resistor, upright.
pub(super) fn resistor(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.area("p", (x - 6.0, y - HALF), (12.0, 2.0 * HALF));
    remember(sheet, (x, y), (6.0, HALF));
}

/// Fuse, lying: a box with the wire through it.
pub(super) fn fuse(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.area("", (x - HALF, y - 6.0), (2.0 * HALF, 12.0));
    sheet.line("", &[(x - HALF, y), (x + HALF, y)]);
    remember(sheet, (x, y), (HALF, 6.0));
}

/// Thermistor, lying: a box crossed by a line with a foot.
pub(super) fn thermistor(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.area("p", (x - HALF, y - 6.0), (2.0 * HALF, 12.0));
    sheet.line("", &[(x - 20.0, y + 11.0), (x - 12.0, y + 11.0), (x + 14.0, y - 11.0)]);
    remember(sheet, (x, y), (20.0, 11.0));
}

/// Contact opened by heat, lying: a blade between two points, closed when cold.
pub(super) fn contact(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.dot(x - HALF, y);
    sheet.line("", &[(x - HALF, y), (x + HALF, y - 3.0)]);
    sheet.line("", &[(x + HALF, y), (x + HALF, y - 8.0)]);
    sheet.line("", &[(x - 3.0, y + 4.0), (x - 3.0, y + 10.0), (x + 3.0, y + 10.0), (x + 3.0, y + 4.0)]);
    remember(sheet, (x, y), (HALF + 2.0, 11.0));
}

/// Resistor, lying.
pub(super) fn resistor_lying(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.area("p", (x - HALF, y - 6.0), (2.0 * HALF, 12.0));
    remember(sheet, (x, y), (HALF, 6.0));
}

/// Choke, lying: four arches over a core.
pub(super) fn choke(sheet: &mut Drawing, (x, y): (f64, f64)) {
    let step = HALF / 2.0;
    let mut d = format!("M{} {}", at(x - HALF), at(y));
    for arch in 1..=4 {
        d.push_str(&format!("A4.5 4.5 0 0 1 {} {}", at(x - HALF + step * f64::from(arch)), at(y)));
    }
    sheet.path("", &d);
    sheet.line("", &[(x - HALF, y - 9.0), (x + HALF, y - 9.0)]);
    sheet.symbol(Extent { left: x - HALF, top: y - 10.0, right: x + HALF, bottom: y });
}

/// Capacitor, lying, with its positive end if it has one.
pub(super) fn capacitor_lying(sheet: &mut Drawing, (x, y): (f64, f64), plus: Option<Way>) {
    sheet.line("", &[(x - 3.5, y - 11.0), (x - 3.5, y + 11.0)]);
    sheet.line("", &[(x + 3.5, y - 11.0), (x + 3.5, y + 11.0)]);
    if let Some(way) = plus {
        let sign_x = if way == Way::Left { x - 10.0 } else { x + 10.0 };
        sheet.line("", &[(sign_x - 3.0, y + 8.0), (sign_x + 3.0, y + 8.0)]);
        sheet.line("", &[(sign_x, y + 5.0), (sign_x, y + 11.0)]);
    }
    remember(sheet, (x, y), (4.0, 11.0));
}

/// Transistor, lying: the electrode with the arrow at the left; of a pnp it points at the base, which is below or above.
pub(super) fn transistor_lying(sheet: &mut Drawing, (x, y): (f64, f64), pnp: bool, base: Way) {
    let down = if base == Way::Up { -1.0 } else { 1.0 };
    let point = |along: f64, across: f64| (x + along, y + down * across);
    sheet.line("", &[point(-11.0, 10.0), point(11.0, 10.0)]);
    sheet.line("", &[point(0.0, 10.0), point(0.0, HALF)]);
    sheet.line("", &[point(-HALF, 0.0), point(-14.0, 0.0), point(-4.0, 10.0)]);
    sheet.line("", &[point(HALF, 0.0), point(14.0, 0.0), point(4.0, 10.0)]);
    let tip = if pnp { point(-5.0, 9.0) } else { point(-13.0, 1.0) };
    let back = if pnp { -1.0 } else { 1.0 };
    let d = format!(
        "M{} {}l{} {}l{} {}z",
        at(tip.0),
        at(tip.1),
        at(back * 6.2),
        at(down * back * 2.4),
        at(back * -3.8),
        at(down * back * 3.8)
    );
    sheet.path("f", &d);
    remember(sheet, point(0.0, 9.0), (HALF, 9.0));
}

/// Which way a diode conducts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Up the page.
    Up,
    /// Down the page.
    Down,
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// Diode: a triangle against a bar, the wire through both.
pub(super) fn diode(sheet: &mut Drawing, (x, y): (f64, f64), way: Way) {
    let (dx, dy) = match way {
        Way::Up => (0.0, -1.0),
        Way::Down => (0.0, 1.0),
        Way::Left => (-1.0, 0.0),
        Way::Right => (1.0, 0.0),
    };
    // Along the way and across it.
    let point = |along: f64, across: f64| (x + along * dx + across * dy, y + along * dy + across * dx);
    let d = |(x, y): (f64, f64)| format!("{} {}", at(x), at(y));
    sheet.path("p", &format!("M{}L{}L{}z", d(point(-8.0, -8.0)), d(point(-8.0, 8.0)), d(point(8.0, 0.0))));
    sheet.line("", &[point(8.0, -8.0), point(8.0, 8.0)]);
    sheet.line("", &[point(-8.0, 0.0), point(8.0, 0.0)]);
    remember(sheet, (x, y), (9.0, 9.0));
}

/// Capacitor, upright; a polarised one carries its sign at the positive plate.
pub(super) fn capacitor(sheet: &mut Drawing, (x, y): (f64, f64), plus: Option<Way>) {
    sheet.line("", &[(x - 11.0, y - 3.5), (x + 11.0, y - 3.5)]);
    sheet.line("", &[(x - 11.0, y + 3.5), (x + 11.0, y + 3.5)]);
    if let Some(way) = plus {
        let sign_y = if way == Way::Down { y + 10.0 } else { y - 10.0 };
        sheet.line("", &[(x - 11.0, sign_y), (x - 5.0, sign_y)]);
        sheet.line("", &[(x - 8.0, sign_y - 3.0), (x - 8.0, sign_y + 3.0)]);
    }
    remember(sheet, (x, y), (12.0, 13.0));
}

/// Winding between two heights: half circles to the right or left of its line.
pub(super) fn winding(sheet: &mut Drawing, x: f64, (top, bottom): (f64, f64), right: bool) {
    let turns = ((bottom - top) / 20.0).round().max(2.0);
    let step = (bottom - top) / turns;
    let sweep = if right { "1" } else { "0" };
    let mut d = format!("M{} {}", at(x), at(top));
    let mut done = 0.0;
    while done < turns {
        done += 1.0;
        d.push_str(&format!("A8 {} 0 0 {sweep} {} {}", at(step / 2.0), at(x), at(top + step * done)));
    }
    sheet.path("", &d);
    let (left, right) = if right { (x, x + 8.0) } else { (x - 8.0, x) };
    sheet.symbol(Extent { left, top, right, bottom });
}

/// Terminal.
pub(super) fn terminal(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.path("p", &format!("M{} {}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z", at(x - 4.0), at(y)));
    remember(sheet, (x, y), (4.0, 4.0));
}

/// Protective earth, hanging from a point.
pub(super) fn earth(sheet: &mut Drawing, (x, y): (f64, f64)) {
    sheet.line("", &[(x - 10.0, y), (x + 10.0, y)]);
    sheet.line("", &[(x - 6.0, y + 4.0), (x + 6.0, y + 4.0)]);
    sheet.line("", &[(x - 2.5, y + 8.0), (x + 2.5, y + 8.0)]);
    sheet.symbol(Extent { left: x - 10.0, top: y, right: x + 10.0, bottom: y + 8.0 });
}

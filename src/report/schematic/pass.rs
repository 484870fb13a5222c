//! Transistors that pass the load beside the regulator: each behind its ballast, bases at the regulator's input, which the drive
//! resistor feeds; the limit transistor across the ballast of the first.

use super::{
    Row, Side,
    lettering::Lines,
    symbol::{self, Way},
};
use crate::report::svg::{Anchor, Drawing, LINE};

/// From the upper line up to that of the first transistor; a limit transistor stands between them.
const FIRST: f64 = 104.0;
/// From the upper line up to the electrodes of the limit transistor.
const LIMITER: f64 = 62.0;
/// From the line of the first transistor up to that of the others; two lines of lettering stand between them.
const OTHERS: f64 = 54.0;
/// Room above the highest line, for the lettering of a ballast resistor.
const LETTERED: f64 = 18.0 + 3.0 * LINE;

/// A collector on a line above, to be brought down to the output.
#[derive(Clone, Copy)]
pub(super) struct Over {
    x: f64,
    y: f64,
}

/// A transistor, or several alike, and what lies before each.
struct Branch {
    transistor: Lines,
    ballast: Lines,
}

/// What is drawn of a stage.
struct Plan {
    first: Branch,
    /// All but the first, as one; where no limit transistor tells the first from them they stand with it.
    others: Option<Branch>,
    limiter: Option<Lines>,
}

impl Plan {
    fn of(side: &Side<'_>) -> Option<Self> {
        let letters = &side.letters;
        letters.part("regulator")?;
        let transistor = letters.lines("pass-transistor", 1)?;
        let ballast = letters.lines("ballast-resistor", 1).unwrap_or_default();
        let limiter = letters.lines("limit-transistor", 1);
        let apart = (letters.split("pass-transistor"), letters.split("ballast-resistor"));
        if let (Some(_), (Some((first, transistor)), Some((near, ballast)))) = (&limiter, apart) {
            let first = Branch { transistor: first, ballast: near.first(2) };
            return Some(Self { first, others: Some(Branch { transistor, ballast }), limiter });
        }
        Some(Self { first: Branch { transistor, ballast }, others: None, limiter })
    }
}

/// What such a stage takes above the upper line.
pub(super) fn above(side: &Side<'_>) -> f64 {
    Plan::of(side).map_or(0.0, |plan| FIRST + LETTERED + plan.others.map_or(0.0, |_| OTHERS))
}

/// Draws it, where there is one; gives the column where the regulator's input begins, and the collectors.
pub(super) fn draw(sheet: &mut Drawing, row: Row, side: &Side<'_>, x: f64) -> Option<(f64, Vec<Over>)> {
    let plan = Plan::of(side)?;
    let drive = side.letters.lines("drive-resistor", 1).unwrap_or_default();
    let limiter_half = plan.limiter.as_ref().map_or(0.0, Lines::width) / 2.0 + 10.0;
    let node = x + 4.0;
    let lettered = |branch: &Branch| branch.ballast.width();
    let widest = drive.width().max(lettered(&plan.first)).max(plan.others.as_ref().map_or(0.0, lettered));
    let middle = node + (widest / 2.0 + 8.0).max(30.0);
    let tap = (2.0 * middle - node).max(node + limiter_half);
    let base = tap + limiter_half.max(symbol::HALF + 8.0);
    let first = row.top - FIRST;

    sheet.wire(&[(x, row.top), (middle - symbol::HALF, row.top)]);
    symbol::resistor_lying(sheet, (middle, row.top));
    drive.put(sheet, Anchor::Middle, (middle, row.top + 22.0));
    let mut over = vec![branch(sheet, row, side, &plan.first, (node, middle, base, first))];
    if let Some(lines) = &plan.limiter {
        limit(sheet, side, (node, tap, base), (first, row.top - LIMITER));
        lines.put(sheet, Anchor::Middle, (tap, row.top - LIMITER + 22.0));
    }
    let mut end = base + 10.0 + plan.first.transistor.width() + 12.0;
    let mut highest = first;
    if let Some(others) = &plan.others {
        highest = first - OTHERS;
        sheet.dot(node, first);
        let place = end.max(base + 2.0 * symbol::HALF + 8.0);
        over.push(branch(sheet, row, side, others, (node, middle, place, highest)));
        end = place + 10.0 + others.transistor.width() + 12.0;
    }
    sheet.wire(&[(node, row.top), (node, highest)]);
    sheet.dot(node, row.top);
    sheet.wire(&[(middle + symbol::HALF, row.top), (end, row.top)]);
    sheet.wire(&[(x, row.base), (end, row.base)]);
    Some((end, over))
}

/// A ballast and a transistor on a line of their own, the base brought down to the upper line; gives the collector.
fn branch(
    sheet: &mut Drawing,
    row: Row,
    side: &Side<'_>,
    lines: &Branch,
    (node, middle, base, y): (f64, f64, f64, f64),
) -> Over {
    sheet.wire(&[(node, y), (middle - symbol::HALF, y)]);
    symbol::resistor_lying(sheet, (middle, y));
    sheet.wire(&[(middle + symbol::HALF, y), (base - symbol::HALF, y)]);
    symbol::transistor_lying(sheet, (base, y), !side.negative, Way::Down);
    sheet.wire(&[(base, y + symbol::HALF), (base, row.top)]);
    sheet.dot(base, row.top);
    lines.ballast.above(sheet, (middle, y - 18.0));
    // Below the collector of the first, which passes here.
    lines.transistor.put(sheet, Anchor::Start, (base + 10.0, row.top - FIRST + 34.0));
    Over { x: base + symbol::HALF, y }
}

/// The limit transistor: its emitter at the raw voltage, its base behind the ballast, its collector at the bases.
fn limit(sheet: &mut Drawing, side: &Side<'_>, (node, tap, base): (f64, f64, f64), (line, y): (f64, f64)) {
    symbol::transistor_lying(sheet, (tap, y), !side.negative, Way::Up);
    sheet.wire(&[(node, y), (tap - symbol::HALF, y)]);
    sheet.wire(&[(tap, line), (tap, y - symbol::HALF)]);
    sheet.wire(&[(tap + symbol::HALF, y), (base, y)]);
    sheet.dot(node, y);
    sheet.dot(tap, line);
    sheet.dot(base, y);
}

/// Brings collectors down to the output behind column `x`; gives the column where that ends.
pub(super) fn collect(sheet: &mut Drawing, row: Row, over: &[Over], x: f64) -> f64 {
    let out = x + 6.0;
    let highest = over.iter().map(|one| one.y).fold(row.top, f64::min);
    for one in over {
        sheet.wire(&[(one.x, one.y), (out, one.y)]);
        if one.y > highest {
            sheet.dot(out, one.y);
        }
    }
    sheet.wire(&[(out, highest), (out, row.top)]);
    sheet.dot(out, row.top);
    sheet.wire(&[(x, row.top), (out + 6.0, row.top)]);
    sheet.wire(&[(x, row.base), (out + 6.0, row.base)]);
    out + 6.0
}

#[cfg(test)]
mod tests {
    use super::{super::Lettering, *};
    use crate::{report::svg::Extent, review::pictures::model::DrawnPart};

    fn part(position: &str, designators: &[&str]) -> DrawnPart {
        DrawnPart {
            position: position.to_owned(),
            designators: designators.iter().map(|&one| one.to_owned()).collect(),
            ratings: vec![String::from("value")],
            part: String::from("PART"),
            count: 1,
            polarised: false,
        }
    }

    /// A stage and what it draws, its collectors brought down.
    fn drawn(transistors: &[&str], ballast: &[&str], limiter: bool) -> Drawing {
        let mut parts = vec![
            part("regulator", &["U1"]),
            part("pass-transistor", transistors),
            part("ballast-resistor", ballast),
            part("drive-resistor", &["R9"]),
        ];
        if limiter {
            parts.push(part("limit-transistor", &["Q9"]));
        }
        let side = Side {
            letters: Lettering::of(&parts),
            negative: false,
            raw_mean: None,
            ripple_pp: None,
            output: None,
            current_max: None,
            reservoir_drawn: false,
        };
        let mut sheet = Drawing::wide(1000.0);
        let row = Row::at(side.above(), 0.0);
        let (end, over) = draw(&mut sheet, row, &side, 100.0).expect("a stage");
        collect(&mut sheet, row, &over, end + 150.0);
        sheet
    }

    /// Whether a point lies on a wire.
    fn on(wire: &Extent, (x, y): (f64, f64)) -> bool {
        (wire.left - 0.1..=wire.right + 0.1).contains(&x) && (wire.top - 0.1..=wire.bottom + 0.1).contains(&y)
    }

    /// Whether wires join two points: wires meet where one ends on another, and not where they cross.
    fn joined(sheet: &Drawing, from: (f64, f64), to: (f64, f64)) -> bool {
        let ends = |wire: &Extent| [(wire.left, wire.top), (wire.right, wire.bottom)];
        let mut reached: Vec<&Extent> = sheet.wires.iter().filter(|wire| on(wire, from)).collect();
        let mut at = 0;
        while at < reached.len() {
            let wire = reached[at];
            for other in &sheet.wires {
                let meets = ends(wire).iter().any(|&end| on(other, end))
                    || ends(other).iter().any(|&end| on(wire, end));
                if meets && !reached.contains(&other) {
                    reached.push(other);
                }
            }
            at += 1;
        }
        reached.iter().any(|wire| on(wire, to))
    }

    /// Emitter, base and collector of transistors and both ends of resistors, from the boxes that they leave.
    struct Found {
        transistors: Vec<[(f64, f64); 3]>,
        resistors: Vec<[(f64, f64); 2]>,
    }

    fn found(sheet: &Drawing, limiter: Option<usize>) -> Found {
        let (mut transistors, mut resistors) = (Vec::new(), Vec::new());
        for one in &sheet.symbols {
            let middle = (f64::midpoint(one.left, one.right), f64::midpoint(one.top, one.bottom));
            if one.bottom - one.top < 15.0 {
                resistors.push([(one.left, middle.1), (one.right, middle.1)]);
                continue;
            }
            let (line, base) = if limiter == Some(transistors.len()) {
                (one.bottom, one.top)
            } else {
                (one.top, one.bottom)
            };
            transistors.push([(one.left, line), (middle.0, base), (one.right, line)]);
        }
        Found { transistors, resistors }
    }

    /// Fact of the trade: the limiter's emitter and base stand across the ballast that it watches, and its collector takes the
    /// base current away. Common practice, no source.
    #[test]
    fn the_limit_transistor_stands_across_the_ballast_of_the_first_alone() {
        let sheet = drawn(&["Q1", "Q2", "Q3"], &["R1", "R2", "R3"], true);
        let Found { transistors, resistors } = found(&sheet, Some(1));
        let ([first, limiter, others], [drive, near, far]) = (&transistors[..], &resistors[..]) else {
            panic!("{transistors:?} {resistors:?}");
        };
        let raw = drive[0];
        for at in [near[0], far[0], limiter[0]] {
            assert!(joined(&sheet, raw, at), "{at:?} at the raw voltage");
        }
        for at in [first[1], others[1], limiter[2]] {
            assert!(joined(&sheet, drive[1], at), "{at:?} at the bases");
        }
        assert!(joined(&sheet, near[1], first[0]) && joined(&sheet, near[1], limiter[1]));
        assert!(joined(&sheet, far[1], others[0]) && !joined(&sheet, far[1], limiter[1]));
        assert!(joined(&sheet, first[2], others[2]));
        let nets = [raw, drive[1], near[1], far[1], first[2]];
        for (index, one) in nets.iter().enumerate() {
            assert!(nets[..index].iter().all(|other| !joined(&sheet, *one, *other)), "{one:?} in {nets:?}");
        }
        let text = sheet.element("stage", "", "", false);
        for word in [">Q1<", ">Q2, Q3<", ">R1<", ">R2, R3<", ">Q9<"] {
            assert!(text.contains(word), "{word} in {text}");
        }
    }

    #[test]
    fn a_stage_without_a_limit_transistor_is_one_branch() {
        let sheet = drawn(&["Q1", "Q2", "Q3"], &["R1", "R2", "R3"], false);
        let Found { transistors, resistors } = found(&sheet, None);
        assert_eq!((transistors.len(), resistors.len()), (1, 2));
        assert!(sheet.element("stage", "", "", false).contains(">Q1 to Q3<"));
    }
}

//! Texts of two or three quantities with one unit: `-25..60 °C`, `120 x 80 x 40 mm`.

use crate::{
    document::Value,
    quantity::{Metres, Quantity},
};

/// Sides of a bounding box.
const SIDE: std::ops::RangeInclusive<Metres> = Metres(0.05e-3)..=Metres(2.0);

/// Two ends, the lower first, with the unit of the upper: `47..63 Hz`.
pub(super) fn ends<Q: Quantity>(value: Value<'_>, range: std::ops::RangeInclusive<Q>) -> Option<(Q, Q)> {
    let found = value.str()?;
    let allowed = || {
        let (low, high) = (range.start().to_text(4), range.end().to_text(4));
        format!("two ends with a unit, the lower first, such as `low..high unit`, within {low} and {high}")
    };
    let read = || {
        let (low, high) = found.split_once("..")?;
        let (low, high) = (low.trim(), high.trim());
        let unit = high.get(high.find(' ')?..)?;
        let low = if low.contains(' ') { Q::from_text(low) } else { Q::from_text(&format!("{low}{unit}")) };
        Some((low.ok()?, Q::from_text(high).ok()?))
    };
    let ends = read().filter(|(low, high)| low <= high && range.contains(low) && range.contains(high));
    if ends.is_none() {
        value.refuse(format!("{} does not give two ends", value.name()), allowed(), None);
    }
    ends
}

/// Three sides with one unit: `120 x 80 x 40 mm`.
pub(super) fn sides(value: Value<'_>) -> Option<[Metres; 3]> {
    let found = value.str()?;
    let read = || {
        let (numbers, unit) = found.rsplit_once(' ')?;
        let mut sides = [Metres(0.0); 3];
        let mut parts = numbers.split(" x ");
        for side in &mut sides {
            *side = Metres::from_text(&format!("{} {unit}", parts.next()?.trim())).ok()?;
        }
        parts.next().is_none().then_some(sides)
    };
    let sides = read().filter(|sides| sides.iter().all(|side| SIDE.contains(side)));
    if sides.is_none() {
        let allowed = "length, width and height such as `120 x 80 x 40 mm`, each 0.05 mm to 2 m";
        value.refuse(format!("{} does not give three sides", value.name()), allowed, None);
    }
    sides
}

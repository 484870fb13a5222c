//! Which windings of a transformer feed which of several rails.

use crate::{catalog::Transformer, physics::transformer::wiring::Wiring};

const APART: &[Wiring] = &[Wiring::Single, Wiring::Single];
const TAP: &[Wiring] = &[Wiring::Complementary, Wiring::Complementary];
const UNLIKE: &[Wiring] = &[Wiring::First, Wiring::Second];
const TAP_AND_THIRD: &[Wiring] = &[Wiring::Complementary, Wiring::Complementary, Wiring::Third];
const THREE: &[Wiring] = &[Wiring::First, Wiring::Second, Wiring::Third];

/// Every way in which secondaries feed several rails: for each rail a wiring, sorted.
pub const SEATINGS: &[&[Wiring]] = &[APART, TAP, UNLIKE, TAP_AND_THIRD, THREE];

/// Those that the secondaries of a transformer make.
pub fn seatings(part: &Transformer) -> &'static [&'static [Wiring]] {
    let alike = part.secondaries.first() == part.secondaries.get(1);
    match (part.secondaries.len(), alike) {
        (2, true) => &[APART, TAP],
        (2, false) => &[UNLIKE],
        (3, true) => &[TAP_AND_THIRD, THREE],
        (3, false) => &[THREE],
        _ => &[],
    }
}

/// Whether rails may be wired so behind a transformer.
pub fn seated(part: &Transformer, wirings: impl IntoIterator<Item = Wiring>) -> bool {
    let mut wirings: Vec<Wiring> = wirings.into_iter().collect();
    wirings.sort_unstable();
    seatings(part).contains(&wirings.as_slice())
}

/// Whether it makes no difference which of two windings feeds which rail.
pub fn interchangeable(part: &Transformer, one: Wiring, other: Wiring) -> bool {
    part.secondaries.get(one.place()) == part.secondaries.get(other.place())
}

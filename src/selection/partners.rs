//! Which rails may hang on one transformer.
//!
//! Knows what the requirement lets, and no part.

use crate::requirement::{Polarity, Sharing};

use super::choose::Inputs;

/// Rails that may share: each positive with each negative one, or any two, as the requirement lets them.
pub fn candidates(inputs: Inputs<'_>) -> Vec<[usize; 2]> {
    let rails = &inputs.requirement.rails;
    if inputs.requirement.sharing == Sharing::None {
        return Vec::new();
    }
    let of = |sign| rails.iter().enumerate().filter(move |(_, rail)| rail.polarity == sign).map(|(at, _)| at);
    let mut all: Vec<[usize; 2]> = of(Polarity::Positive)
        .flat_map(|plus| of(Polarity::Negative).map(move |minus| [plus, minus]))
        .collect();
    if inputs.requirement.sharing == Sharing::AnyTwo {
        let alike = |one: usize, other: usize| {
            rails.get(one).map(|rail| rail.polarity) == rails.get(other).map(|rail| rail.polarity)
        };
        let later = |one: usize| (one + 1..rails.len()).filter(move |&other| alike(one, other));
        all.extend((0..rails.len()).flat_map(|one| later(one).map(move |other| [one, other])));
    }
    all
}

/// Whether two rails have opposite signs: only then a tap serves both.
pub(super) fn opposite(inputs: Inputs<'_>, rails: [usize; 2]) -> bool {
    let sign = |at: usize| inputs.requirement.rails.get(at).map(|rail| rail.polarity);
    sign(rails[0]) != sign(rails[1])
}

//! What a review finds and what it does not; its numbers against a second reckoning.

pub(crate) mod bench;
mod faults;
mod figures;
mod waivers;

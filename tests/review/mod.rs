//! What a review finds and what it does not; its numbers against a second reckoning.

pub(crate) mod bench;
mod command;
pub(crate) mod everywhere;
mod faults;
mod figures;
mod hostile;
mod rates;
mod redesign;
mod seeded;
mod unresolved;
mod variants;
mod waivers;

//! Which parts to take: the least score over everything that passes every rule at every vertex.
//!
//! Physics happens before the integer programme; the programme counts, adds and links. Nothing here draws or words a report.

pub mod choose;
pub mod leaf;
mod quick;
pub mod screen;
pub mod search;
pub mod tally;
pub mod vertices;
mod window;

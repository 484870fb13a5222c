//! Which parts to take: the least score over everything that passes every rule at every vertex.
//!
//! Physics happens before the integer programme; the programme counts, adds and links. Nothing here draws or words a report.

mod around;
mod bleeding;
mod bounds;
pub mod choose;
mod cooler;
mod fallen;
pub mod leaf;
mod list;
mod memory;
mod protect;
mod quick;
mod ready;
mod rectifying;
pub mod relax;
pub mod screen;
pub mod search;
pub mod tally;
mod train;
pub mod vertices;
mod window;

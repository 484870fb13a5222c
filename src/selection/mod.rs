//! Which parts to take: the least score over everything that passes every rule at every vertex.
//!
//! Physics happens before the integer programme; the programme counts, adds and links. Nothing here draws or words a report.

mod around;
mod behind;
mod bleeding;
mod bounds;
mod choked;
mod choked_screen;
pub mod choose;
mod columns;
mod cooler;
mod fallen;
pub mod group;
mod group_parts;
pub mod joint;
pub mod keep;
mod laden;
pub mod leaf;
mod link;
mod list;
mod memory;
pub mod model;
pub mod partners;
mod protect;
mod queue;
mod quick;
mod rails;
mod ready;
mod rectifying;
pub mod relax;
mod sagging;
pub mod screen;
pub mod search;
mod sectioned;
mod sectioned_quick;
mod sectioned_ripple;
mod sectioned_screen;
mod sectioned_told;
mod sectioned_train;
pub mod share;
pub mod tally;
mod train;
mod usage;
mod variants;
pub mod vertices;
mod window;

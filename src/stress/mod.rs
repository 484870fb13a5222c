//! How hard a part is worked: operating points, parts and limits give stresses.
//!
//! Selection and review call the same [`judge`](registry::judge); neither has an opinion of its own.

pub mod assembly;
pub mod bench;
pub mod convert;
mod fault;
#[cfg(test)]
pub(crate) mod fixture;
pub mod fuse_limit;
pub mod junction;
pub mod known;
pub mod loss;
pub mod mate;
pub mod overload;
pub mod pass_choice;
pub mod pass_point;
pub mod position;
mod primary_inrush;
pub mod registry;
mod regulator_heat;
pub mod regulator_point;
pub mod resistor;
pub mod ripple;
pub mod rule;
pub mod seat;
pub mod section;
mod small_capacitor;
pub mod stage;
pub mod surge;
mod tell;
pub mod verdict;
pub mod winding;

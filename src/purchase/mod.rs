//! What to order for many designs: parts merged, price breaks used, suppliers chosen, with a proven bound beside the answer.
//!
//! Knows records and the catalog; no circuit. Money is exact: decimal outside, whole units of one decimal fraction inside.

mod bound;
pub mod breaks;
mod charges;
mod exact;
mod fill;
mod improve;
pub mod lines;
mod names;
pub mod order;
pub mod plan;
pub mod problem;
pub mod solve;
mod stock;
pub mod terms;
mod whole;

pub use lines::Wanted;
pub use order::Order;
pub use plan::{OrderError, Wishes, order};
pub use terms::{Barred, Freedom};

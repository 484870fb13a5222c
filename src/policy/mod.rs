//! What is allowed: derating limits, each with its clause and how it is known.
//!
//! Knows nothing of the rules that ask; a limit is looked up by the rule's code.

pub mod model;
mod read;
pub mod waiver;

pub use model::{Known, Limit, LimitKind, Parameters, Policy};
pub use read::read;
pub use waiver::Waiver;

//! How numbers are found and compared.
//!
//! Knows nothing of circuits.

pub mod complex;
pub mod decay;
pub mod few;
pub mod gauss;
pub mod root;
pub mod tie;

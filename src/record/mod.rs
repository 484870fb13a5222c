//! What is handed over: the chosen parts by position, the wiring, and digests of everything they were chosen from.
//!
//! Holds no computed number but the set-resistor and bleeder values, which are parts. Small, diffable, byte-reproducible.

pub mod assemble;
pub mod couple;
pub mod model;
mod read;
pub mod write;

pub use assemble::{Unresolved, assemble};
pub use couple::{assemble_all, stands_elsewhere};
pub use model::{Inputs, RECORD_VERSION, RailRecord, Record, RecordedPart};
pub use read::{MOST, read};
pub use write::{RailChoice, record};

//! What is asked: a supply's requirements, typed and checked.
//!
//! Knows nothing of parts. After [`read()`] nobody doubts a value again.

mod assume;
pub mod model;
mod rail;
mod read;
mod relax;
mod surroundings;

pub use model::{
    Ambient, Assumed, Enclosure, Mains, Objective, PeakLoad, Polarity, Preferences, ProfileShare,
    ProtectionClass, Rail, Regulation, RequiredInsulation, Requirement, Ripple, Section, Topology,
};
pub use read::read;
pub use relax::Knob;

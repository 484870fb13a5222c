//! What is asked: a supply's requirements, typed and checked.
//!
//! Knows nothing of parts. After `check` nobody doubts a value again.

pub mod model;

pub use model::{
    Ambient, Assumed, Enclosure, Mains, Objective, Polarity, Preferences, ProfileShare, ProtectionClass,
    Rail, Regulation, RequiredInsulation, Requirement, Ripple, Section, Topology,
};

//! railwright: from a requirements file to a linear mains power supply that can be built.

pub mod analysis;
pub mod candidate;
pub mod catalog;
pub mod circuit;
pub mod document;
pub mod flow;
pub mod numeric;
pub mod physics;
pub mod policy;
pub mod purchase;
pub mod quantity;
pub mod record;
pub mod report;
pub mod requirement;
pub mod review;
pub mod selection;
pub mod stress;

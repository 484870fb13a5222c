//! Laws, one element per file: pure functions, each beside its printed formula.
//!
//! Knows no parts, corners or limits; imports only quantities and numerics. Each public law names its source or its
//! premises; what has neither says `common practice, no source`.

pub mod bleeder;
pub mod choke;
pub mod copper;
pub mod diode;
pub mod domain;
pub mod duty;
pub mod filter;
pub mod formula;
pub mod fuse;
mod fuse_gates;
pub mod grid;
pub mod heat;
pub mod index;
pub mod inrush;
pub mod junction;
pub mod mains;
pub mod parts_count;
pub mod pass;
pub mod preferred;
pub mod regulator;
pub mod reliability;
pub mod reservoir;
pub mod resistor;
pub mod rule_of_thumb;
pub mod textbook;
pub mod transformer;

//! Laws, one element per file: pure functions, each beside its printed formula.
//!
//! Knows no parts, corners or limits; imports only quantities and numerics. Each public law names its source or its
//! premises; what has neither says `common practice, no source`.

pub mod bleeder;
pub mod copper;
pub mod diode;
pub mod domain;
pub mod formula;
pub mod fuse;
mod fuse_gates;
pub mod heat;
pub mod inrush;
pub mod junction;
pub mod preferred;
pub mod regulator;
pub mod reservoir;
pub mod resistor;
pub mod transformer;

//! Laws, one element per file: pure functions, each beside its printed formula.
//!
//! Knows no parts, corners or limits; imports only quantities and numerics. Each public law names its source or its
//! premises; what has neither says `common practice, no source`.

pub mod copper;
pub mod diode;
pub mod domain;
pub mod formula;
pub mod junction;
pub mod transformer;

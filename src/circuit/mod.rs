//! Elements joined and solved: the exact periodic steady state of a rectifier circuit.
//!
//! Everything here is referred to the winding that feeds the rectifier. Nothing here knows parts, tolerances or limits.

pub mod corner;
mod doubled;
pub mod figures;
pub mod general;
mod losses;
pub mod operate;
pub mod operate_plant;
pub mod plant;
pub mod reservoir;
mod share;
pub mod solve;
pub mod spec;
pub mod state;
pub mod supply;
mod thermal;

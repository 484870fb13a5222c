//! The reservoir capacitor: its value at a corner, its ripple current, its temperature and its life.
//!
//! Knows no circuit: harmonics and voltages come in as numbers.

pub mod corner;
pub mod life;
pub mod ripple;

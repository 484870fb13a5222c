//! The linear regulator: drop-out, accuracy, set resistors, rejection, heat, foldback.
//!
//! Knows no part and no waveform; least, mean and peak values come in as numbers.

pub mod accuracy;
pub mod dropout;
pub mod foldback;
pub mod heat;
pub mod rejection;
pub mod set_resistors;

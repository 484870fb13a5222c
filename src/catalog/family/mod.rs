//! One file a part family: its ratings, each with its test condition.

pub mod capacitor;
pub mod choke;
pub mod heat;
pub mod protection;
pub mod rectifier;
pub mod regulator;
pub mod resistor;
pub mod transformer;
pub mod transistor;

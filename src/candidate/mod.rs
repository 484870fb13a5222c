//! Which parts could serve: what a design is made of before anything is chosen.

pub mod bank;
pub mod pass;
pub mod price;
pub mod rectifier;
pub mod shop;
pub mod source;
pub mod stage;

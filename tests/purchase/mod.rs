//! Purchases: against brute force, exact to the last unit, and what is written of them.

mod brute;
mod lists;
mod scale;
mod substitutes;

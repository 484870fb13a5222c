//! One integration binary, one module per subject.

mod analyse;
mod architecture;
mod bad_commands;
mod bad_input;
mod browser;
mod brute_force;
mod catalog;
mod circuit_general;
mod circuit_general_laws;
mod circuit_general_second;
mod circuit_reservoir;
mod circuit_reservoir_laws;
mod command;
mod designs;
mod faults;
mod figures;
mod html;
mod joint;
mod policies;
mod purchase;
mod readme;
mod report;
mod review;
mod schema;
mod support;
mod traps;

//! One integration binary, one module per subject.

mod circuit_reservoir;
mod support;

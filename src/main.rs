//! Collects the arguments, calls the command line, returns the exit code.

fn main() {}

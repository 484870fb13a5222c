//! Collects the arguments, calls the command line, returns the exit code.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}

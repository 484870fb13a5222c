//! The command line: arguments in, files read, an answer out as bytes and an exit code.
//!
//! Declared in `main.rs`, so the library cannot see it. Alone touches disk and environment.

mod analyse;
mod args;
mod audit;
mod case;
mod catalog;
mod compare;
mod day;
mod design;
mod files;
mod order;
mod outcome;
mod output;
mod ratings;
mod show;
mod substitute;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};
use outcome::Outcome;

/// Runs one command.
pub(crate) fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return output::usage(&error),
    };
    let outcome = match &arguments.command {
        Command::Analyse(options) => analyse::run(options, &arguments.places),
        Command::Design(options) => design::run(options, &arguments.places),
        Command::Compare(options) => compare::run(options, &arguments.places),
        Command::Ratings(options) => ratings::run(options, &arguments.places),
        Command::Substitute(options) => substitute::run(options, &arguments.places),
        Command::Audit(options) => audit::run(options, &arguments.places),
        Command::Order(options) => order::run(options, &arguments.places),
        Command::Catalog(command) => catalog::run(command, &arguments.places),
    };
    match outcome {
        Ok(outcome) => outcome.code(),
        Err(error) => {
            output::complain(&error);
            Outcome::Unanswered.code()
        }
    }
}

//! Streams: standard output carries the answer alone, everything else goes to standard error.

use std::{
    io::{IsTerminal as _, Write as _},
    process::ExitCode,
};

use railwright::{document::Faults, report::terminal::Look};

/// Columns of a report that is kept in a file.
const KEPT_WIDTH: usize = 100;
/// Columns where the terminal does not tell.
const USUAL_WIDTH: usize = 100;
/// Columns below which no table can be read.
const LEAST_WIDTH: usize = 60;

/// How a report that is kept in a file looks.
pub(crate) fn kept_look() -> Look {
    Look { width: KEPT_WIDTH, colour: false }
}

/// How a report looks on standard output.
pub(crate) fn look(width: Option<u16>) -> Look {
    let terminal = std::io::stdout().is_terminal();
    let wished = width.map(usize::from);
    let told = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    let width = wished.or(if terminal { told } else { None }).unwrap_or(USUAL_WIDTH).max(LEAST_WIDTH);
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    Look { width, colour: terminal && !plain }
}

/// Writes the answer; a closed pipe is nobody's fault.
pub(crate) fn answer(text: &str) -> anyhow::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(anyhow::anyhow!("cannot write the answer: {error}")),
        Ok(()) => Ok(()),
    }
}

/// Writes what the answer's format has no place for to standard error, a line each.
pub(crate) fn remark(lines: &[String]) {
    let text: String = lines.iter().flat_map(|line| ["note: ", line, "\n"]).collect();
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Whether standard error takes colour.
fn coloured() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()) && std::io::stderr().is_terminal()
}

/// Writes faults or any other error to standard error.
pub(crate) fn complain(error: &anyhow::Error) {
    let text = error
        .downcast_ref::<Faults>()
        .map_or_else(|| format!("error: {error:#}\n"), |faults| faults.render(coloured()));
    // Nothing is left to tell if standard error is closed.
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Help and version go to standard output, anything else the argument parser says to standard error.
pub(crate) fn usage(error: &clap::Error) -> ExitCode {
    let text = error.render().to_string();
    if error.use_stderr() {
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
        return ExitCode::from(2);
    }
    match answer(&text) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(2),
    }
}

//! Streams: standard output carries the answer alone, everything else goes to standard error.

use std::{
    io::{IsTerminal as _, Write as _},
    process::ExitCode,
};

use railwright::document::Faults;

/// Writes the answer; a closed pipe is nobody's fault.
pub(crate) fn answer(text: &str) -> anyhow::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(anyhow::anyhow!("cannot write the answer: {error}")),
        Ok(()) => Ok(()),
    }
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

//! Pages as text in the format asked for.

use std::io::IsTerminal as _;

use railwright::report::{
    Page, markdown,
    terminal::{self, Look},
};

use super::args::{Format, Places};

/// Columns where the terminal does not tell.
const USUAL_WIDTH: usize = 100;

/// Pages one after another; JSON is not for pages.
pub(crate) fn pages(pages: &[Page], format: Format, places: &Places) -> String {
    let look = look(places.width);
    let texts: Vec<String> = pages
        .iter()
        .map(|page| match format {
            Format::Terminal | Format::Json => terminal::render(page, look),
            Format::Markdown => markdown::render(page),
        })
        .collect();
    texts.join("\n")
}

/// How a page looks on standard output.
fn look(width: Option<u16>) -> Look {
    let terminal = std::io::stdout().is_terminal();
    let told = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    let width = width.map(usize::from).or(told.filter(|_| terminal)).unwrap_or(USUAL_WIDTH);
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    Look { width, colour: terminal && !plain }
}

//! Pages as text in the format asked for.

use railwright::report::{Page, markdown, terminal};

use super::{
    args::{Format, Places},
    output,
};

/// Pages one after another; JSON is not for pages.
pub(crate) fn pages(pages: &[Page], format: Format, places: &Places) -> String {
    let look = output::look(places.width);
    let texts: Vec<String> = pages
        .iter()
        .map(|page| match format {
            Format::Terminal | Format::Json => terminal::render(page, look),
            Format::Markdown => markdown::render(page),
        })
        .collect();
    texts.join("\n")
}

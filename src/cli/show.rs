//! Pages with their figures as text in the format asked for: on standard output, as one HTML file, or in a folder.

use std::path::Path;

use railwright::report::{Figures, Page, csv, html, markdown, terminal};

use super::{
    args::{Format, ListFormat, Places},
    files, output,
};

/// A page with its figures.
#[derive(Debug)]
pub(crate) struct Sheet {
    /// Page.
    pub(crate) page: Page,
    /// Its figures.
    pub(crate) figures: Figures,
}

impl From<Page> for Sheet {
    fn from(page: Page) -> Self {
        Self { page, figures: Figures::default() }
    }
}

impl From<Format> for ListFormat {
    fn from(format: Format) -> Self {
        match format {
            Format::Terminal => Self::Terminal,
            Format::Markdown => Self::Markdown,
            Format::Json => Self::Json,
            Format::Html => Self::Html,
        }
    }
}

/// What a command has to show.
pub(crate) struct Answer<'a> {
    /// Pages.
    pub(crate) sheets: &'a [Sheet],
    /// The same as JSON or CSV.
    pub(crate) data: &'a dyn Fn(ListFormat) -> anyhow::Result<String>,
}

impl Answer<'_> {
    /// Writes it where `--output` says, and to standard output unless it is a page that was written.
    pub(crate) fn give(
        &self,
        format: impl Into<ListFormat>,
        output: Option<&Path>,
        places: &Places,
    ) -> anyhow::Result<()> {
        let format = format.into();
        match output {
            Some(page) if page.extension().is_some_and(|ext| ext == "html") => {
                files::write(page, &self.html())?;
            }
            Some(folder) => self.keep(folder, format)?,
            None => {}
        }
        if format == ListFormat::Html && output.is_some() {
            return Ok(());
        }
        output::answer(&self.text(format, output::look(places.width))?)
    }

    fn html(&self) -> String {
        let pages: Vec<(&Page, &Figures)> =
            self.sheets.iter().map(|sheet| (&sheet.page, &sheet.figures)).collect();
        html::render_all(&pages)
    }

    fn text(&self, format: ListFormat, look: terminal::Look) -> anyhow::Result<String> {
        let join = |render: &dyn Fn(&Page) -> String| {
            let texts: Vec<String> = self.sheets.iter().map(|sheet| render(&sheet.page)).collect();
            texts.join("\n")
        };
        Ok(match format {
            ListFormat::Terminal => join(&|page| terminal::render(page, look)),
            ListFormat::Markdown => join(&markdown::render),
            ListFormat::Html => self.html(),
            ListFormat::Json | ListFormat::Csv => (self.data)(format)?,
        })
    }

    /// Writes it in a folder under a name that says its format.
    fn keep(&self, folder: &Path, format: ListFormat) -> anyhow::Result<()> {
        // A kept report has the same bytes whatever the terminal.
        let text = |format| self.text(format, output::kept_look());
        match format {
            ListFormat::Terminal => files::write(&folder.join("report.txt"), &text(format)?),
            ListFormat::Json => files::write(&folder.join("report.json"), &text(format)?),
            ListFormat::Csv => files::write(&folder.join("report.csv"), &text(format)?),
            ListFormat::Html => files::write(&folder.join("report.html"), &text(format)?),
            ListFormat::Markdown => {
                for (number, sheet) in (1..).zip(self.sheets) {
                    let (name, prefix) = match number {
                        1 => (String::from("report.md"), String::new()),
                        _ => (format!("report-{number}.md"), format!("p{number}-")),
                    };
                    for picture in &sheet.figures.pictures {
                        files::write(&folder.join(format!("{prefix}{}", picture.file())), &picture.alone())?;
                        if let Some(table) = &picture.table {
                            let name = format!("{prefix}{}", picture.numbers_file());
                            files::write(&folder.join(name), &csv::table_text(table))?;
                        }
                    }
                    let text = markdown::render_with(&sheet.page, &sheet.figures, &prefix);
                    files::write(&folder.join(name), &text)?;
                }
                Ok(())
            }
        }
    }
}

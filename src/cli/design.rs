//! `design`: from a requirements file to a record and its report.

use std::path::Path;

use railwright::{
    document,
    flow::{self, Answer, Asked},
    report::{self, Figures, Page},
    requirement,
};

use super::{
    args::{DesignFormat, DesignOptions, Places},
    files,
    outcome::Outcome,
    output,
};

/// Runs `design`.
pub(crate) fn run(options: &DesignOptions, places: &Places) -> anyhow::Result<Outcome> {
    let file = files::read(&options.requirements)?;
    let requirement = requirement::read(&file.source)?;
    let (catalog, policy) = files::shelves(&places.catalogs, &requirement)?;
    let answer = flow::design(Asked {
        requirement: &requirement,
        requirement_digest: &file.digest,
        catalog: &catalog,
        policy: &policy,
    });
    let report = Report::of(&answer);
    match &options.output {
        Some(page) if page.extension().is_some_and(|ext| ext == "html") => {
            files::write(page, &report.text(DesignFormat::Html, output::kept_look())?)?;
        }
        Some(folder) => write(folder, &answer, &report, options.format)?,
        None => {}
    }
    output::answer(&report.text(options.format, output::look(places.width))?)?;
    Ok(match answer {
        Answer::Designed { dossier, .. } if dossier.passes() => Outcome::Clean,
        Answer::Designed { .. } | Answer::Infeasible(_) => Outcome::Negative,
    })
}

/// An answer, ready for any renderer.
struct Report<'a> {
    answer: &'a Answer,
    page: Page,
}

impl<'a> Report<'a> {
    fn of(answer: &'a Answer) -> Self {
        let page = match answer {
            Answer::Designed { dossier, .. } => Page::of(dossier),
            Answer::Infeasible(answer) => Page::of_infeasible(answer),
        };
        Self { answer, page }
    }

    fn figures(&self) -> Figures {
        match self.answer {
            Answer::Designed { dossier, .. } => Figures::of(dossier),
            Answer::Infeasible(_) => Figures::default(),
        }
    }

    fn text(&self, format: DesignFormat, look: report::terminal::Look) -> anyhow::Result<String> {
        Ok(match format {
            DesignFormat::Terminal => report::terminal::render(&self.page, look),
            DesignFormat::Markdown => report::markdown::render(&self.page),
            DesignFormat::Html => report::html::render(&self.page, &self.figures()),
            DesignFormat::Json => match self.answer {
                Answer::Designed { dossier, .. } => report::json::render(dossier)?,
                Answer::Infeasible(answer) => report::json::render_infeasible(answer)?,
            },
        })
    }
}

/// Writes the record of a design, and its report under a name that says its format.
fn write(folder: &Path, answer: &Answer, report: &Report<'_>, format: DesignFormat) -> anyhow::Result<()> {
    if let Answer::Designed { record, .. } = answer {
        files::write(&folder.join("record.yaml"), &document::to_yaml(record.as_ref())?)?;
    }
    // A kept report has the same bytes whatever the terminal.
    let text = report.text(format, output::kept_look())?;
    match format {
        DesignFormat::Terminal => files::write(&folder.join("report.txt"), &text),
        DesignFormat::Json => files::write(&folder.join("report.json"), &text),
        DesignFormat::Html => files::write(&folder.join("report.html"), &text),
        DesignFormat::Markdown => {
            let figures = report.figures();
            for (name, svg) in figures.files() {
                files::write(&folder.join(name), &svg)?;
            }
            files::write(&folder.join("report.md"), &report::markdown::render_with(&report.page, &figures))
        }
    }
}

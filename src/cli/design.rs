//! `design`: from a requirements file to a record and its report.

use std::path::Path;

use railwright::{
    document,
    flow::{self, Answer, Asked},
    report::{self, Page},
    requirement,
};

use super::{
    args::{DesignOptions, Format, Places},
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
    let text = text(&answer, options.format, places)?;
    if let Some(folder) = &options.output {
        write(folder, &answer, &text, options.format)?;
    }
    output::answer(&text)?;
    Ok(match answer {
        Answer::Designed { dossier, .. } if dossier.passes() => Outcome::Clean,
        Answer::Designed { .. } | Answer::Infeasible(_) => Outcome::Negative,
    })
}

/// The report in a format.
fn text(answer: &Answer, format: Format, places: &Places) -> anyhow::Result<String> {
    let page = || match answer {
        Answer::Designed { dossier, .. } => Page::of(dossier),
        Answer::Infeasible(answer) => Page::of_infeasible(answer),
    };
    Ok(match format {
        Format::Terminal => report::terminal::render(&page(), output::look(places.width)),
        Format::Markdown => report::markdown::render(&page()),
        Format::Json => match answer {
            Answer::Designed { dossier, .. } => report::json::render(dossier)?,
            Answer::Infeasible(answer) => report::json::render_infeasible(answer)?,
        },
    })
}

/// Writes the record of a design, and its report under a name that says its format.
fn write(folder: &Path, answer: &Answer, text: &str, format: Format) -> anyhow::Result<()> {
    let name = match format {
        Format::Terminal => "report.txt",
        Format::Markdown => "report.md",
        Format::Json => "report.json",
    };
    let report = match format {
        // The kept report has the same bytes whatever the terminal.
        Format::Terminal => match answer {
            Answer::Designed { dossier, .. } => {
                report::terminal::render(&Page::of(dossier), output::kept_look())
            }
            Answer::Infeasible(answer) => {
                report::terminal::render(&Page::of_infeasible(answer), output::kept_look())
            }
        },
        Format::Markdown | Format::Json => text.to_owned(),
    };
    if let Answer::Designed { record, .. } = answer {
        files::write(&folder.join("record.yaml"), &document::to_yaml(record.as_ref())?)?;
    }
    files::write(&folder.join(name), &report)
}

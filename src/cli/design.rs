//! `design`: from a requirements file to a record and its report.

use railwright::{
    document,
    flow::{self, Answer, Asked},
    report::{self, Figures, Page},
    requirement,
};

use super::{
    args::{DesignOptions, Places},
    files,
    outcome::Outcome,
    show::{self, Sheet},
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
    if let (Some(folder), Answer::Designed { record, .. }) = (&options.output, &answer)
        && folder.extension().is_none_or(|ext| ext != "html")
    {
        files::write(&folder.join("record.yaml"), &document::to_yaml(record.as_ref())?)?;
    }
    let sheet = match &answer {
        Answer::Designed { dossier, .. } => Sheet { page: Page::of(dossier), figures: Figures::of(dossier) },
        Answer::Infeasible(found) => Page::of_infeasible(found).into(),
    };
    let data = |_| {
        Ok(match &answer {
            Answer::Designed { dossier, .. } => report::json::render(dossier)?,
            Answer::Infeasible(found) => report::json::render_infeasible(found)?,
        })
    };
    show::Answer { sheets: &[sheet], data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(match answer {
        Answer::Designed { dossier, .. } if dossier.passes() => Outcome::Clean,
        Answer::Designed { .. } | Answer::Infeasible(_) => Outcome::Negative,
    })
}

//! `analyse` of a circuit file with several rails on one core.

use anyhow::Context as _;
use railwright::{
    analysis::{CoreFile, analyse_core},
    document::neutralise,
    report::{
        analysis::{core, plot},
        markdown, terminal,
    },
};

use super::{AnalyseOptions, AnalysisFormat};
use crate::cli::{args::Places, files, outcome::Outcome, output};

/// Runs it.
pub(super) fn run(options: &AnalyseOptions, places: &Places, file: &CoreFile) -> anyhow::Result<Outcome> {
    let beyond = [
        ("--sweep", !options.sweep.is_empty()),
        ("--samples", options.samples.is_some()),
        ("--tolerance", options.tolerance.is_some()),
        ("--switch-on", options.switch_on),
        ("--figures", !options.figures.is_empty()),
        ("--write-circuit", options.write_circuit.is_some()),
    ];
    if let Some((option, _)) = beyond.iter().find(|(_, asked)| *asked) {
        anyhow::bail!("`{option}` is for a circuit of one winding; this file has several rails on one core");
    }
    let drawn = options.plot || options.waveforms.is_some();
    let found = analyse_core(file, if drawn { options.points } else { 0 })
        .with_context(|| format!("`{}` has no figures", neutralise(&file.name)))?;
    if let Some(path) = &options.waveforms {
        files::write(path, &core::waveform(file, &found))?;
    }
    let plotted = if options.plot { plot::render(&found.waveform) } else { String::new() };
    let text = match options.format {
        AnalysisFormat::Terminal => {
            let text = terminal::render(&core::compose(file, &found), output::look(places.width));
            if plotted.is_empty() { text } else { format!("{text}\n{plotted}") }
        }
        AnalysisFormat::Markdown => {
            let text = markdown::render(&core::compose(file, &found));
            if plotted.is_empty() { text } else { format!("{text}\n```text\n{plotted}```\n") }
        }
        AnalysisFormat::Json => core::json(file, &found)?,
        AnalysisFormat::Csv => core::figures_csv(file, &found),
    };
    output::answer(&text)?;
    Ok(Outcome::Clean)
}

//! `analyse` of a circuit file with several rails on one core.

use anyhow::Context as _;
use railwright::{
    analysis::{CoreFile, analyse_core},
    document::neutralise,
    report::{
        Figures,
        analysis::{core, figures::core_figures, plot},
    },
};

use super::{AnalyseOptions, PAGE_POINTS, plots_in_text, with_plot};
use crate::cli::{
    args::{ListFormat, Places},
    files,
    outcome::Outcome,
    show::{self, Sheet},
};

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
    let page = options.format == ListFormat::Html || options.output.is_some();
    let points = match (drawn, page) {
        (true, _) => options.points,
        (false, true) => PAGE_POINTS,
        (false, false) => 0,
    };
    let found =
        analyse_core(file, points).with_context(|| format!("`{}` has no figures", neutralise(&file.name)))?;
    if let Some(path) = &options.waveforms {
        files::write(path, &core::waveform(file, &found))?;
    }
    if plots_in_text(options) {
        return with_plot(
            &core::compose(file, &found),
            &plot::render(&found.waveform),
            options.format,
            places,
        );
    }
    let figures = if page { core_figures(file, &found) } else { Figures::default() };
    let sheets = [Sheet { page: core::compose(file, &found), figures }];
    let data = |format| {
        Ok(if format == ListFormat::Csv {
            core::figures_csv(file, &found)
        } else {
            core::json(file, &found)?
        })
    };
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(Outcome::Clean)
}

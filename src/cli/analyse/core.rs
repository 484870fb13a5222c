//! `analyse` of a circuit file with several rails on one core.

use railwright::{
    analysis::{
        CoreAxis, CoreFigure, CoreFile, CoreWish, analyse_core, bearable::core_borne, core_sweep,
        monte_carlo::Plan, read_core_bounds, write::core_text,
    },
    report::{
        Figures,
        analysis::{core, figures::core_figures, plot, sweep::Swept},
    },
};

use super::{AnalyseOptions, PAGE_POINTS, plots_in_text, progress::Progress, with_plot};
use crate::cli::{
    args::{ListFormat, Places},
    files,
    outcome::Outcome,
    show::{self, Sheet},
};

/// Runs it.
pub(super) fn run(options: &AnalyseOptions, places: &Places, file: CoreFile) -> anyhow::Result<Outcome> {
    let mut file = file;
    if let Some(path) = &options.tolerance {
        file.bounds = read_core_bounds(&files::read(path)?.source, &file)?;
    }
    let figures = options
        .figures
        .iter()
        .map(|key| CoreFigure::named(key.trim(), &file.rails))
        .collect::<Result<Vec<_>, _>>()?;
    if let Some(path) = &options.write_circuit {
        files::write(path, &core_text(&file))?;
    }
    if !options.sweep.is_empty() {
        return swept(options, places, &file, figures);
    }
    if options.samples.is_some() && file.bounds.tolerances.is_empty() {
        anyhow::bail!(super::NOTHING_TO_DRAW);
    }
    let drawn = options.plot || options.waveforms.is_some();
    let page = options.format == ListFormat::Html || options.output.is_some();
    let points = match (drawn, page) {
        (true, _) => options.points,
        (false, true) => PAGE_POINTS,
        (false, false) => 0,
    };
    let samples = options.samples.map(|samples| Plan { samples, seed: options.seed });
    let progress = Progress::of(options.samples.map_or(0, u64::from));
    let wish = CoreWish { points, switch_on: options.switch_on, samples, figures };
    let found = analyse_core(&file, &wish, &|count| progress.add(count));
    progress.end();
    let found = found.map_err(|why| super::no_figures(&file.name, why, core_borne(&file.core(), why)))?;
    if let Some(path) = &options.waveforms {
        files::write(path, &core::waveform(&file, &found))?;
    }
    if plots_in_text(options) {
        return with_plot(
            &core::compose(&file, &found),
            &plot::render(&found.waveform),
            options.format,
            places,
        );
    }
    let figures = if page { core_figures(&file, &found) } else { Figures::default() };
    let sheets = [Sheet { page: core::compose(&file, &found), figures }];
    let data = |format| {
        Ok(if format == ListFormat::Csv {
            core::figures_csv(&file, &found)
        } else {
            core::json(&file, &found)?
        })
    };
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(Outcome::Clean)
}

/// Runs a sweep.
fn swept(
    options: &AnalyseOptions,
    places: &Places,
    file: &CoreFile,
    mut figures: Vec<CoreFigure>,
) -> anyhow::Result<Outcome> {
    super::sweeps_alone(options)?;
    let axes = options.sweep.iter().map(|text| CoreAxis::parse(text, file)).collect::<Result<Vec<_>, _>>()?;
    if figures.is_empty() {
        // Two figures of each rail fit beside each other.
        figures = CoreFigure::usual(&file.rails);
        figures.retain(|one| ["load_mean_v", "ripple_pp_v"].contains(&one.figure.key().as_str()));
    }
    let progress = Progress::of(axes.iter().map(|one| u64::from(one.axis.points)).product());
    let points = core_sweep(file, &axes, &figures, &|count| progress.add(count));
    progress.end();
    let points = points?;
    let found = Swept::of_core(file, &axes, &figures, &points);
    let sheets = [found.page().into()];
    let data = |format| Ok(if format == ListFormat::Csv { found.csv() } else { found.json()? });
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(Outcome::Clean)
}

//! `analyse`: what a given circuit does, or a corner of a recorded rail.

mod core;
mod options;
mod progress;

use std::path::Path;

use railwright::{
    analysis::{
        self, AnyFile, CircuitFile, FigureName, Wish,
        bearable::borne,
        monte_carlo::Plan,
        sweep::{Axis, sweep},
        write::circuit_text,
    },
    circuit::figures::NoSteadyState,
    document, flow, record,
    report::{
        Figures, Page,
        analysis::{csv, figures::figures as drawings, json, page, plot, sweep::Swept},
        markdown, terminal,
    },
    requirement,
};

pub(crate) use options::AnalyseOptions;
use progress::Progress;

use super::{
    args::{ListFormat, Places},
    files,
    outcome::Outcome,
    output,
    show::{self, Sheet},
};

/// Runs `analyse`.
pub(crate) fn run(options: &AnalyseOptions, places: &Places) -> anyhow::Result<Outcome> {
    let any = match (&options.circuit, &options.record) {
        (Some(path), _) => analysis::read_any(&files::read(path)?.source)?,
        (None, Some(record)) => recorded(options, record, places)?,
        (None, None) => anyhow::bail!("name a circuit file or a record"),
    };
    let mut file = match any {
        AnyFile::One(file) => *file,
        AnyFile::Core(file) => return core::run(options, places, file),
    };
    if let Some(path) = &options.tolerance {
        (file.tolerances, file.limits) = analysis::read_tolerances(&files::read(path)?.source, &file.spec)?;
    }
    let figures =
        options.figures.iter().map(|key| FigureName::named(key.trim())).collect::<Result<Vec<_>, _>>()?;
    if let Some(path) = &options.write_circuit {
        files::write(path, &circuit_text(&file))?;
    }
    if !options.sweep.is_empty() {
        return swept(options, places, &file, figures);
    }
    if options.samples.is_some() && file.tolerances.is_empty() {
        anyhow::bail!(NOTHING_TO_DRAW);
    }
    let page = options.format == ListFormat::Html || options.output.is_some();
    let drawn = options.plot || options.waveforms.is_some();
    let wish = Wish {
        switch_on: options.switch_on,
        points: if drawn {
            options.points
        } else if page {
            PAGE_POINTS
        } else {
            0
        },
        samples: options.samples.map(|samples| Plan { samples, seed: options.seed }),
        figures,
    };
    let progress = Progress::of(options.samples.map_or(0, u64::from));
    let found = analysis::analyse(&file, &wish, &|count| progress.add(count));
    progress.end();
    let found = found.map_err(|why| no_figures(&file.name, why, borne(&file.spec, why)))?;
    if let Some(path) = &options.waveforms {
        files::write(path, &csv::waveform(&found.waveform))?;
    }
    if plots_in_text(options) {
        return with_plot(
            &page::compose(&file, &found),
            &plot::render(&found.waveform),
            options.format,
            places,
        );
    }
    let figures = if page { drawings(&file, &found) } else { Figures::default() };
    let sheets = [Sheet { page: page::compose(&file, &found), figures }];
    let data = |format| {
        Ok(if format == ListFormat::Csv { csv::figures(&found) } else { json::render(&file, &found)? })
    };
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(Outcome::Clean)
}

/// Why there are no figures, and what load would have some.
fn no_figures(name: &str, why: NoSteadyState, borne: Option<String>) -> anyhow::Error {
    let borne = borne.map(|load| format!("; about {load} would be borne")).unwrap_or_default();
    anyhow::anyhow!("`{}` has no figures: {why}{borne}", document::neutralise(name))
}

/// Whether a plot in plain characters follows the text.
fn plots_in_text(options: &AnalyseOptions) -> bool {
    options.plot && matches!(options.format, ListFormat::Terminal | ListFormat::Markdown)
}

/// A page as text, and below it a plot in plain characters.
fn with_plot(page: &Page, plotted: &str, format: ListFormat, places: &Places) -> anyhow::Result<Outcome> {
    let text = if format == ListFormat::Terminal {
        format!("{}\n{plotted}", terminal::render(page, output::look(places.width)))
    } else {
        format!("{}\n```text\n{plotted}```\n", markdown::render(page))
    };
    output::answer(&text)?;
    Ok(Outcome::Clean)
}

/// Said where samples are asked for and nothing has a tolerance.
const NOTHING_TO_DRAW: &str = "`--samples` draws from tolerances, and none are stated; add a section `tolerance`, or name a file by `--tolerance`";

/// Refuses what does not go with a sweep.
fn sweeps_alone(options: &AnalyseOptions) -> anyhow::Result<()> {
    if options.samples.is_some() || options.plot || options.waveforms.is_some() {
        anyhow::bail!("`--sweep` goes with `--figures` and `--format`, not with samples, plots or waveforms");
    }
    Ok(())
}

/// Points of a period where a page draws it: 3° apart.
const PAGE_POINTS: u32 = 121;

/// Figures of a sweep where none are asked for.
const SWEPT: [&str; 4] = ["load_mean_v", "ripple_pp_v", "diode_peak_a", "winding_rms_a"];

/// Runs a sweep.
fn swept(
    options: &AnalyseOptions,
    places: &Places,
    file: &CircuitFile,
    mut figures: Vec<FigureName>,
) -> anyhow::Result<Outcome> {
    sweeps_alone(options)?;
    let axes = options.sweep.iter().map(|text| Axis::parse(text)).collect::<Result<Vec<_>, _>>()?;
    if figures.is_empty() {
        figures = SWEPT.iter().filter_map(|key| FigureName::named(key).ok()).collect();
        if options.switch_on {
            figures.extend(FigureName::all(false).into_iter().filter(FigureName::needs_switch_on));
        }
    }
    let progress = Progress::of(axes.iter().map(|axis| u64::from(axis.points)).product());
    let points = sweep(&file.spec, &file.switching, &axes, &figures, &|count| progress.add(count));
    progress.end();
    let points = points?;
    let found = Swept::of(file, &axes, &figures, &points);
    let sheets = [found.page().into()];
    let data = |format| Ok(if format == ListFormat::Csv { found.csv() } else { found.json()? });
    show::Answer { sheets: &sheets, data: &data }.give(options.format, options.output.as_deref(), places)?;
    Ok(Outcome::Clean)
}

/// The circuit of a corner of a recorded rail.
fn recorded(options: &AnalyseOptions, record: &Path, places: &Places) -> anyhow::Result<AnyFile> {
    let kept = record::read(&files::read(record)?.source)?;
    let beside = record.with_file_name("requirements.yaml");
    let asked = files::read(options.requirements.as_deref().unwrap_or(&beside))?;
    let requirement = requirement::read(&asked.source)?;
    let (catalog, policy) = files::shelves(&places.catalogs, &requirement)?;
    let rail = options.rail.as_deref().unwrap_or_default();
    let found = flow::corner::corner(
        flow::Asked {
            requirement: &requirement,
            requirement_digest: &asked.digest,
            catalog: &catalog,
            policy: &policy,
        },
        &kept,
        rail,
        options.corner.corner(),
    )?;
    Ok(found.file)
}

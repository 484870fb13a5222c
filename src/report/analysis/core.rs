//! An analysis of a core with several rails: page, JSON, CSV. No arithmetic.
//!
//! A column a rail.

use super::{
    csv, figure,
    json::{
        self, SCHEMA_VERSION, class_a, extents, inputs, ripple, rms, samples, single, switch_on, text,
        textbook,
    },
    json_value::Json,
    page, spread,
};
use crate::{
    analysis::{
        CoreAnalysed, CoreFigure, CoreFile, FigureName, analyse::Switched, file::TOPOLOGIES, input,
        limits::Limit, name::Known,
    },
    circuit::spec::Spec,
    document::neutralise,
    report::{
        json::JsonError,
        page::{Cell, Kind, Page, Place, Table},
    },
    review::figure::{Figure, Unit},
};

/// Significant digits of inputs.
const DIGITS: usize = 4;

fn topology(spec: &Spec) -> &'static str {
    TOPOLOGIES.iter().find(|(_, topology)| *topology == spec.topology).map_or("", |(word, _)| word)
}

/// Figures of the whole core that a steady state states stand under the first rail alone.
fn of_core(name: &FigureName) -> bool {
    name.of_core() && !name.needs_grid()
}

fn paths(file: &CoreFile) -> Vec<&str> {
    file.bounds.tolerances.iter().map(|(input, _)| input.path.as_str()).collect()
}

fn limits(file: &CoreFile) -> Vec<(String, &Limit)> {
    file.bounds.limits.iter().map(|(figure, limit)| (figure.key.clone(), limit)).collect()
}

/// The page of a core.
pub fn compose(file: &CoreFile, found: &CoreAnalysed) -> Page {
    let mut page = Page::new(&format!("Analysis of {}: {} rails on one core", file.name, file.rails.len()))
        .as_kind("Rectifier circuits · exact analysis");
    page.heading("circuit", "Circuit");
    let mut columns = vec![("Input", Kind::Code, Place::Key)];
    columns.extend(file.rails.iter().map(|rail| (rail.name.as_str(), Kind::Figure, Place::First)));
    let mut table = Table::new("circuit", "", &columns);
    let row =
        |of: &dyn Fn(&Spec) -> String| file.rails.iter().map(|rail| Cell::text(&of(&rail.spec))).collect();
    let mut words: Vec<Cell> = row(&|spec| topology(spec).to_owned());
    words.insert(0, Cell::text("topology"));
    table.push(words);
    for one in input::ALL.into_iter().filter(|one| *one != input::EMF_PEAK) {
        let value = |spec: &Spec| one.of(spec).filter(|value| *value != 0.0);
        if file.rails.iter().any(|rail| value(&rail.spec).is_some()) {
            let mut cells: Vec<Cell> = row(&|spec| {
                value(spec).map_or_else(|| "–".to_owned(), |value| one.measure.text(value, DIGITS))
            });
            cells.insert(0, Cell::text(one.path));
            table.push(cells);
        }
    }
    page.table(table);
    page.paragraph(&format!(
        "Resistance that all rails share, referred to one half of the first rail's winding: {}.",
        Figure::new(file.primary_resistance.0, Unit::Ohms).map(Figure::text).unwrap_or_default()
    ));
    figures(&mut page, file, found);
    let names = file.rails.iter().map(|rail| Some(rail.name.as_str()));
    page::textbook(&mut page, names.zip(found.rules.iter().map(Vec::as_slice)));
    power(&mut page, file, found);
    page::primary(&mut page, &found.grid, &found.grid_limits);
    for (rail, uses) in file.rails.iter().zip(&found.ripple_uses) {
        for one in uses {
            page::ripple(&mut page, one.as_ref(), &format!(" of {}", rail.name));
        }
    }
    if let Some(switched) = &found.switched {
        let names = file.rails.iter().map(|rail| rail.name.as_str());
        page::switch_on_of_rails(&mut page, names.zip(switched));
    }
    if !file.bounds.limits.is_empty() {
        page.heading("limits", "Limits");
        let values: Vec<Option<f64>> =
            file.bounds.limits.iter().map(|(figure, _)| value_of(figure, found)).collect();
        spread::nominal(&mut page, &limits(file), &values);
    }
    if let Some(list) = &found.vertices {
        spread::corners(&mut page, &paths(file), list, &limits(file));
    }
    if let Some(outcome) = &found.samples {
        spread::samples(&mut page, &limits(file), outcome);
    }
    page
}

/// A figure of a rail at nominal.
fn value_of(figure: &CoreFigure, found: &CoreAnalysed) -> Option<f64> {
    let switched = found.switched.as_ref().and_then(|all| all.get(figure.rail())).map(Switched::first);
    let known = Known {
        figures: found.rails.get(figure.rail()),
        grid: Some(&found.grid),
        switch_on: switched.as_ref(),
    };
    figure.figure.of(known)
}

fn figures(page: &mut Page, file: &CoreFile, found: &CoreAnalysed) {
    page.heading("figures", "Steady state, all rails loaded");
    let mut columns = vec![("Figure", Kind::Text, Place::Key), ("Key", Kind::Code, Place::Second)];
    columns.extend(file.rails.iter().map(|rail| (rail.name.as_str(), Kind::Figure, Place::First)));
    let mut table = Table::new("figures", "Figures", &columns);
    for name in FigureName::all(true).into_iter().filter(|name| !name.needs_switch_on() && !name.needs_grid())
    {
        let values: Vec<Option<f64>> = found
            .rails
            .iter()
            .enumerate()
            .map(|(nth, rail)| {
                let value = name.of(Known { figures: Some(rail), ..Known::default() });
                value.filter(|_| nth == 0 || !of_core(&name))
            })
            .collect();
        if values.iter().all(Option::is_none) {
            continue;
        }
        let label =
            if name.is_negative() { format!("negative: {}", name.label()) } else { name.label().to_owned() };
        let mut cells = vec![Cell::text(&label), Cell::text(&name.key())];
        let residual = name.key() == "energy_residual";
        cells.extend(values.into_iter().map(|value| {
            Cell::figure(if residual {
                value.and_then(|value| Figure::new(value, Unit::Residual))
            } else {
                figure(&name, value)
            })
        }));
        table.push(cells);
        if name.key() == "load_mean_v" {
            let mut cells = vec![Cell::text("the same, alone on the core"), Cell::text("alone_mean_v")];
            cells.extend(found.alone_mean_v.iter().map(|value| Cell::figure(figure(&name, *value))));
            table.push(cells);
        }
    }
    page.table(table);
    page.paragraph(
        "Solved by the general engine, all rails at once: the pulses of one lower the EMF that the others see. Primary current, its power factor and the energy balance are those of the whole core, referred to one half of the first winding.",
    );
}

fn power(page: &mut Page, file: &CoreFile, found: &CoreAnalysed) {
    page.heading("energy", "Where the power goes");
    let mut columns = vec![("Taken by", Kind::Text, Place::Key)];
    columns.extend(file.rails.iter().map(|rail| (rail.name.as_str(), Kind::Figure, Place::First)));
    columns.extend([("All", Kind::Figure, Place::First), ("Share", Kind::Figure, Place::First)]);
    let mut table = Table::new("energy", "", &columns);
    let whole: f64 = found.rails.iter().map(|rail| rail.input_power_w).sum();
    let watts = |value: Option<f64>| Cell::figure(value.and_then(|value| Figure::new(value, Unit::Watts)));
    let mut push = |what: &str, by_rail: &mut dyn Iterator<Item = Option<f64>>, all: f64| {
        let share = if whole > 0.0 { Figure::new(all / whole, Unit::Percent) } else { None };
        let mut cells = vec![Cell::text(what)];
        cells.extend(by_rail.map(watts));
        cells.extend([watts(Some(all)), Cell::figure(share)]);
        table.push(cells);
    };
    for share in &found.shares {
        push(share.what, &mut share.by_rail.iter().copied(), share.power_w);
    }
    push("all, from the EMF", &mut found.rails.iter().map(|rail| Some(rail.input_power_w)), whole);
    page.table(table);
}

/// The JSON of a core.
pub fn json(file: &CoreFile, found: &CoreAnalysed) -> Result<String, JsonError> {
    let mut rails = Vec::new();
    let both = file.rails.iter().zip(&found.rails).zip(&found.alone_mean_v);
    for (nth, ((rail, figures), alone)) in both.enumerate() {
        let known = Known { figures: Some(figures), ..Known::default() };
        let mut pairs = vec![
            ("name".to_owned(), Json::text(rail.name.clone())),
            ("circuit".to_owned(), Json::Map(inputs(&rail.name, &rail.spec))),
        ];
        pairs.extend(
            FigureName::all(true)
                .iter()
                .filter(|name| !of_core(name) && !name.needs_grid() && !name.needs_switch_on())
                .map(|name| (name.key(), single(name, name.of(known)))),
        );
        pairs.push(("alone_mean_v".to_owned(), Json::number(*alone)));
        for key in ["c1", "c2"] {
            let uses = found.ripple_uses.get(nth).into_iter().flatten().flatten();
            let found = uses.into_iter().find(|one| one.capacitor == key);
            pairs.push((format!("{key}_ripple"), found.map_or(Json::Null, ripple)));
        }
        let rules = found.rules.get(nth).map(Vec::as_slice).unwrap_or_default();
        pairs.push(("textbook".to_owned(), textbook(rules)));
        let switched = found.switched.as_ref().and_then(|all| all.get(nth));
        let own = |switched| switch_on(switched, |name| !name.of_core());
        pairs.push(("switch_on".to_owned(), switched.map_or(Json::Null, own)));
        rails.push(Json::Map(pairs));
    }
    let mut pairs = vec![
        ("schema_version".to_owned(), Json::Count(SCHEMA_VERSION)),
        ("name".to_owned(), Json::text(file.name.clone())),
        ("primary_resistance_ohm".to_owned(), Json::Number(file.primary_resistance.0)),
        ("rails".to_owned(), Json::List(rails)),
    ];
    let known = Known { figures: found.rails.first(), grid: Some(&found.grid), ..Known::default() };
    pairs.extend(
        FigureName::all(false)
            .iter()
            .filter(|name| name.of_core() && !name.needs_switch_on())
            .map(|name| (name.key(), single(name, name.of(known)))),
    );
    pairs.push(("primary_harmonics_rms_a".to_owned(), rms(found.grid.harmonics.iter())));
    let odd = found.grid.harmonics.iter().filter(|one| one.order % 2 == 1);
    pairs.push(("primary_harmonics_odd_rms_a".to_owned(), rms(odd)));
    pairs.push(("class_a".to_owned(), class_a(&found.grid_limits)));
    let shares = found.shares.iter().map(|share| (share.key.to_owned(), Json::Number(share.power_w)));
    pairs.push(("energy".to_owned(), Json::Map(shares.collect())));
    let primary = found.switched.as_ref().and_then(|all| all.first());
    let primary = primary.map_or(Json::Null, |switched| switch_on(switched, FigureName::of_core));
    pairs.push(("switch_on".to_owned(), primary));
    let vertices = found.vertices.as_ref().map_or(Json::Null, |list| extents(&paths(file), list));
    let allowed = limits(file);
    let samples = found.samples.as_ref().map_or(Json::Null, |outcome| samples(&allowed, outcome));
    let values = file.bounds.limits.iter().map(|(figure, _)| value_of(figure, found));
    let each = allowed.iter().zip(values).map(|((key, limit), value)| (key.as_str(), *limit, value));
    pairs.push(("limits".to_owned(), json::limits(each)));
    pairs.extend([("vertices".to_owned(), vertices), ("samples".to_owned(), samples)]);
    text(&Json::Map(pairs))
}

/// Every figure of every rail as CSV: rail, key and value.
pub fn figures_csv(file: &CoreFile, found: &CoreAnalysed) -> String {
    let mut out = String::new();
    csv::line(&mut out, &["rail".to_owned(), "figure".to_owned(), "value".to_owned()]);
    for ((nth, rail), figures) in file.rails.iter().enumerate().zip(&found.rails) {
        let grid = (nth == 0).then_some(&found.grid);
        let switched = found.switched.as_ref().and_then(|all| all.get(nth)).map(Switched::first);
        let known = Known { figures: Some(figures), grid, switch_on: switched.as_ref() };
        for name in FigureName::all(true).iter().filter(|name| nth == 0 || !of_core(name)) {
            if let Some(value) = name.of(known) {
                csv::line(&mut out, &[head(&rail.name), name.key(), value.to_string()]);
            }
        }
    }
    out
}

/// One mains period as CSV, the heads of outputs begun with the rail's name.
pub fn waveform(file: &CoreFile, found: &CoreAnalysed) -> String {
    let names: Vec<String> = file
        .rails
        .iter()
        .flat_map(|rail| {
            let name = head(&rail.name);
            let negative = rail.spec.negative.map(|_| format!("{name}.neg_"));
            std::iter::once(format!("{name}.")).chain(negative)
        })
        .collect();
    csv::named_waveform(&found.waveform, &names)
}

/// A stranger's name as a cell of a CSV file: nothing that separates, quotes or begins a formula.
pub(super) fn head(name: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() || "-_ .".contains(c) { c } else { '_' };
    let text: String = neutralise(name).chars().map(kept).collect();
    text.trim_start_matches('-').to_owned()
}

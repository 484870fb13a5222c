//! An analysis as a page: figures, textbook column, power, primary current, switch-on, tolerances.
//!
//! No arithmetic but shares of a whole.

use super::{figure, spread};
use crate::{
    analysis::{
        Analysed, CircuitFile, FigureName,
        analyse::Switched,
        file::TOPOLOGIES,
        grid::{Grid, GridLimits},
        input,
        limits::Limit,
        name::{Known, Unit as Measured},
        ripple::RippleUse,
        textbook::Rule,
    },
    circuit::general::switch_on::SwitchOn,
    physics::domain::DomainError,
    report::page::{Cell, Kind, Page, Place, Table},
    review::figure::{Figure, Unit},
};

/// Significant digits of inputs.
const DIGITS: usize = 4;
/// Harmonics that a page lists; JSON and CSV list all.
const HARMONICS_SHOWN: u32 = 15;
/// The worst harmonics against class A that a page lists.
const CLASS_A_SHOWN: usize = 5;

/// The page of an analysis.
pub fn compose(file: &CircuitFile, found: &Analysed) -> Page {
    let word = TOPOLOGIES.iter().find(|(_, topology)| *topology == file.spec.topology);
    let mut page = Page::new(&format!("Analysis of {}: {}", file.name, word.map_or("", |(word, _)| word)))
        .as_kind("Rectifier circuit · exact analysis");
    inputs(&mut page, file);
    figures(&mut page, file, found);
    textbook(&mut page, std::iter::once((None, found.rules.as_slice())));
    power(&mut page, found);
    if let Some(grid) = &found.study.grid {
        primary(&mut page, grid, &found.grid_limits);
    }
    for one in &found.ripple_uses {
        ripple(&mut page, one.as_ref(), "");
    }
    if let Some(switched) = &found.switched {
        switch_on(&mut page, switched);
    }
    if !file.limits.is_empty() {
        page.heading("limits", "Limits");
        let known = found.study.known();
        let values: Vec<Option<f64>> = file.limits.iter().map(|limit| limit.figure.of(known)).collect();
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

/// Paths of the tolerances.
pub(super) fn paths(file: &CircuitFile) -> Vec<&str> {
    file.tolerances.iter().map(|one| one.input.path).collect()
}

/// Limits with their keys.
pub(super) fn limits(file: &CircuitFile) -> Vec<(String, &Limit)> {
    file.limits.iter().map(|limit| (limit.figure.key(), limit)).collect()
}

fn inputs(page: &mut Page, file: &CircuitFile) {
    page.heading("circuit", "Circuit");
    let mut table = Table::new(
        "circuit",
        "",
        &[("Input", Kind::Code, Place::Key), ("Value", Kind::Figure, Place::First)],
    );
    for one in input::ALL.into_iter().filter(|one| *one != input::EMF_PEAK) {
        if let Some(value) = one.of(&file.spec).filter(|value| *value != 0.0) {
            table.push(vec![Cell::text(one.path), Cell::text(&one.measure.text(value, DIGITS))]);
        }
    }
    page.table(table);
}

fn figures(page: &mut Page, file: &CircuitFile, found: &Analysed) {
    page.heading("figures", "Steady state, one mains period");
    let dual = file.spec.negative.is_some();
    let known = found.study.known();
    let mut columns = vec![
        ("Figure", Kind::Text, Place::Key),
        ("Key", Kind::Code, Place::Second),
        ("Value", Kind::Figure, Place::First),
    ];
    if dual {
        columns.push(("Negative", Kind::Figure, Place::First));
    }
    let mut table = Table::new("figures", "Figures", &columns);
    for name in
        FigureName::all(false).into_iter().filter(|name| !name.needs_switch_on() && !name.needs_grid())
    {
        let Some(value) = name.of(known) else { continue };
        let unit = if name.key() == "energy_residual" { Some(Unit::Residual) } else { None };
        let shown = unit.map_or_else(|| figure(&name, Some(value)), |unit| Figure::new(value, unit));
        let mut row = vec![Cell::text(name.label()), Cell::text(&name.key()), Cell::figure(shown)];
        if dual {
            let negative = FigureName::named(&format!("neg_{}", name.key())).ok();
            row.push(Cell::figure(negative.and_then(|name| figure(&name, name.of(known)))));
        }
        table.push(row);
    }
    page.table(table);
    let how = if found.closed_form {
        "Solved in closed form: two angles by Newton's method, the rest is algebra."
    } else {
        "Solved by the general engine, exact between events."
    };
    page.paragraph(&format!(
        "{how} Winding figures are of one half where there are two. Magnetising current and core loss are left out."
    ));
}

/// The rules of books beside the exact figures, of one circuit or, by name, of each of several rails.
pub(super) fn textbook<'r>(page: &mut Page, rails: impl Iterator<Item = (Option<&'r str>, &'r [Rule])>) {
    let rules: Vec<(Option<&str>, &Rule)> =
        rails.flat_map(|(rail, rules)| rules.iter().map(move |rule| (rail, rule))).collect();
    let Some((first, _)) = rules.first() else { return };
    page.heading("textbook", "Beside the textbook");
    let mut columns = vec![
        ("Figure", Kind::Text, Place::Key),
        ("Rule", Kind::Text, Place::First),
        ("Textbook", Kind::Figure, Place::First),
        ("Exact", Kind::Figure, Place::First),
        ("Exact / textbook", Kind::Figure, Place::First),
    ];
    if first.is_some() {
        columns.insert(0, ("Rail", Kind::Text, Place::Key));
    }
    let mut table = Table::new("textbook", "", &columns);
    for (rail, rule) in rules {
        let unit = FigureName::named(rule.figure).map_or(Measured::Volts, |name| name.unit());
        let cell = |value| Cell::figure(Figure::new(value, super::unit(unit)));
        let mut cells: Vec<Cell> = rail.map(Cell::text).into_iter().collect();
        cells.extend([
            Cell::text(&rule.label),
            Cell::text(rule.formula),
            cell(rule.textbook),
            cell(rule.exact),
            Cell::figure(Figure::new(rule.ratio(), Unit::Ratio)),
        ]);
        table.push(cells);
    }
    page.table(table);
}

fn power(page: &mut Page, found: &Analysed) {
    page.heading("energy", "Where the power goes");
    let whole = found.study.figures.input_power_w;
    let mut table = Table::new(
        "energy",
        "",
        &[
            ("Taken by", Kind::Text, Place::Key),
            ("Power", Kind::Figure, Place::First),
            ("Share", Kind::Figure, Place::First),
        ],
    );
    let mut push = |what: &str, power_w: f64| {
        let share = if whole > 0.0 { Figure::new(power_w / whole, Unit::Percent) } else { None };
        table.push(vec![
            Cell::text(what),
            Cell::figure(Figure::new(power_w, Unit::Watts)),
            Cell::figure(share),
        ]);
    };
    for share in &found.shares {
        push(share.what, share.power_w);
    }
    push("all, from the EMF", whole);
    page.table(table);
}

pub(super) fn primary(page: &mut Page, grid: &Grid, limits: &GridLimits) {
    page.heading("primary", "Primary current, turns ratio 1 to one half");
    let known = Known { grid: Some(grid), ..Known::default() };
    let pairs: Vec<(String, String)> = FigureName::all(false)
        .into_iter()
        .filter(FigureName::needs_grid)
        .filter_map(|name| Some((name.label().to_owned(), figure(&name, name.of(known))?.text())))
        .collect();
    page.blocks.push(crate::report::page::Block::Pairs(pairs));
    let mut table = Table::new(
        "harmonics",
        "",
        &[
            ("n", Kind::Count, Place::Key),
            ("rms", Kind::Figure, Place::First),
            ("of the first", Kind::Figure, Place::First),
        ],
    );
    let first = grid.rms_a(1);
    let floor = 1e-9 * first;
    for one in grid.harmonics.iter().filter(|one| one.order <= HARMONICS_SHOWN && one.rms_a() > floor) {
        let share = if first > 0.0 { Figure::new(one.rms_a() / first, Unit::Percent) } else { None };
        table.push(vec![
            Cell::count(one.order),
            Cell::figure(Figure::new(one.rms_a(), Unit::Amps)),
            Cell::figure(share),
        ]);
    }
    page.table(table);
    match limits {
        GridLimits::NoMains => page.paragraph(
            "No comparison with limits of mains currents: state `mains_rms` under `winding` to have one.",
        ),
        GridLimits::BelowFloor | GridLimits::LowMains(_) | GridLimits::LargeCurrent(_) => {
            page.paragraph(&why_unlimited(limits).unwrap_or_default());
        }
        GridLimits::Compared(list) => {
            let mut table = Table::new(
                "class-a",
                "Harmonics at the mains against IEC 61000-3-2 class A, worst first",
                &[
                    ("n", Kind::Count, Place::Key),
                    ("Found, rms", Kind::Figure, Place::First),
                    ("Limit", Kind::Figure, Place::First),
                    ("Used", Kind::Figure, Place::First),
                ],
            );
            for one in list.iter().take(CLASS_A_SHOWN) {
                table.push(vec![
                    Cell::count(one.order),
                    Cell::figure(Figure::new(one.found_a, Unit::Amps)),
                    Cell::figure(Figure::new(one.limit_a, Unit::Amps)),
                    Cell::figure(Figure::new(one.found_a / one.limit_a, Unit::Percent)),
                ]);
            }
            page.table(table);
            page.paragraph(
                "An estimate from the winding's current alone, for a first look; conformity is found by measurement on the built supply to the current edition.",
            );
        }
    }
}

/// Why class A says nothing of a current, where the mains is known.
pub(super) fn why_unlimited(limits: &GridLimits) -> Option<String> {
    let text = |value, unit| Figure::new(value, unit).map(Figure::text).unwrap_or_default();
    match limits {
        GridLimits::BelowFloor => Some(String::from(
            "IEC 61000-3-2 sets no class A limit at and below 75 W of input power; the power here excludes the core's loss.",
        )),
        GridLimits::LowMains(volts) => Some(format!(
            "IEC 61000-3-2 sets no limits for mains below 220 V; here {} are stated.",
            text(*volts, Unit::Volts)
        )),
        GridLimits::LargeCurrent(amps) => Some(format!(
            "IEC 61000-3-2 ends at 16 A a phase; here the mains carries {} rms, and another standard may apply.",
            text(*amps, Unit::Amps)
        )),
        GridLimits::NoMains | GridLimits::Compared(_) => None,
    }
}

/// A capacitor's current by harmonic, weighted by its maker's multipliers, against its rating; `of` names its rail.
pub(super) fn ripple(page: &mut Page, found: Result<&RippleUse, &DomainError>, of: &str) {
    let found = match found {
        Ok(found) => found,
        Err(error) => {
            page.paragraph(&format!(
                "The frequency multipliers do not cover the capacitor's current: {error}."
            ));
            return;
        }
    };
    let which = if found.capacitor == "c1" { "first" } else { "second" };
    page.heading("ripple", &format!("Ripple current of the {which} capacitor{of} against its rating"));
    let mut table = Table::new(
        "ripple",
        "",
        &[
            ("n", Kind::Count, Place::Key),
            ("rms", Kind::Figure, Place::First),
            ("Multiplier", Kind::Figure, Place::First),
            ("rms / multiplier", Kind::Figure, Place::First),
        ],
    );
    for one in found.harmonics.iter().filter(|one| one.order <= HARMONICS_SHOWN) {
        table.push(vec![
            Cell::count(one.order),
            Cell::figure(Figure::new(one.rms_a, Unit::Amps)),
            Cell::figure(Figure::new(one.multiplier, Unit::Ratio)),
            Cell::figure(Figure::new(one.weighted_a, Unit::Amps)),
        ]);
    }
    page.table(table);
    let text = |value, unit| Figure::new(value, unit).map(Figure::text).unwrap_or_default();
    page.paragraph(&format!(
        "Equivalent at the rating's frequency, √(Σ(I_h/k_h)²) over all harmonics: {}, rated {}: {} of the rating. The current is that of the whole bank: the rating is to be that of all its capacitors together.",
        text(found.equivalent_a, Unit::Amps),
        text(found.rated_a, Unit::Amps),
        text(found.equivalent_a / found.rated_a, Unit::Percent),
    ));
}

fn switch_on(page: &mut Page, switched: &Switched) {
    page.heading("switch-on", "Switch-on at the worst phase");
    switch_on_table(page, &[(None, switched)]);
    page.paragraph(
        "The worst phase is found to 0.0001 rad. Each I²t and the primary have a worst phase of their own. The primary is at turns ratio 1, without the inrush of the core itself.",
    );
}

/// Switch-on of every rail of a core.
pub(super) fn switch_on_of_rails<'a>(page: &mut Page, rails: impl Iterator<Item = (&'a str, &'a Switched)>) {
    page.heading("switch-on", "Switch-on at the worst phase, all rails together");
    switch_on_table(page, &rails.map(|(name, switched)| (Some(name), switched)).collect::<Vec<_>>());
    page.paragraph(
        "The worst phase is found to 0.0001 rad, for each rail by itself. Each I²t and the primary have a worst phase of their own. The primary is at turns ratio 1, without the inrush of the core itself.",
    );
}

/// A row a figure; behind the rail's name where there are several.
fn switch_on_table(page: &mut Page, rails: &[(Option<&str>, &Switched)]) {
    let mut columns = Vec::new();
    if rails.iter().any(|(name, _)| name.is_some()) {
        columns.push(("Rail", Kind::Code, Place::Key));
    }
    columns.extend([("Figure", Kind::Text, Place::Key), ("Without limiter", Kind::Figure, Place::First)]);
    if rails.iter().any(|(_, switched)| switched.limited.is_some()) {
        columns.push(("Limiter cold", Kind::Figure, Place::First));
        columns.push(("Limiter hot", Kind::Figure, Place::First));
    }
    let mut table = Table::new("switch-on", "", &columns);
    let mut listed: Vec<(Option<&str>, &Switched, bool)> =
        rails.iter().map(|&(name, switched)| (name, switched, false)).collect();
    if let Some(&(Some(_), switched)) = rails.first() {
        // What all rails share stands once, after them.
        listed.push((Some("all"), switched, true));
    }
    for (rail, switched, of_core) in listed {
        let cases: Vec<&SwitchOn> = std::iter::once(&switched.bare)
            .chain(switched.limited.iter().flat_map(|(cold, hot)| [cold, hot]))
            .collect();
        let several = rail.is_some();
        let here = |name: &FigureName| name.needs_switch_on() && (!several || name.of_core() == of_core);
        for name in FigureName::all(false).into_iter().filter(here) {
            let mut row: Vec<Cell> = rail.iter().map(|rail| Cell::text(rail)).collect();
            row.push(Cell::text(name.label()));
            row.extend(cases.iter().map(|case| {
                let known = Known { switch_on: Some(case), ..Known::default() };
                Cell::figure(figure(&name, name.of(known)))
            }));
            table.push(row);
        }
    }
    page.table(table);
}

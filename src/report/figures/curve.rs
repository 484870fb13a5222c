//! Figures with curves: waveforms, switch-on, raw voltage and heat over the mains.

use super::Picture;
use crate::{
    report::{
        page::{Cell, Kind, Place, Table, clean},
        plot::curves::{self, Extras},
    },
    review::{
        Figure,
        pictures::model::{Curves, Level, SwitchOnCurves, Waves, Window},
    },
};

fn level_words(levels: &[Level]) -> String {
    let words: Vec<String> =
        levels.iter().map(|level| format!("{}, {}", level.name, level.at.text())).collect();
    match words.len() {
        0 => String::new(),
        1 => format!(" Level: {}.", words.join("")),
        _ => format!(" Levels: {}.", words.join("; ")),
    }
}

/// Raw voltage over the mains.
pub(super) fn raw_window(number: usize, name: &str, window: &Window) -> Picture {
    let extras = Extras { levels: &window.levels, first_class: 1, ..Extras::default() };
    Picture {
        name: format!("window-{number}"),
        section: "points",
        title: format!("Raw voltage from the lowest to the highest mains, rail {name}"),
        text: format!(
            "Valley, crest and no-load peak, each at the ends of the box that are worst for it. Headroom is what the valley \
             keeps above what is needed.{}",
            level_words(&window.levels)
        ),
        drawing: curves::draw(&window.curves, extras),
        table: Some(curve_table("window", "Raw voltage over mains", &window.curves, &window.levels)),
    }
}

/// Heat in the regulator over the mains.
pub(super) fn heat_window(number: usize, name: &str, heat: &Window) -> Picture {
    let extras = Extras { levels: &heat.levels, from_zero: true, first_class: 1, ..Extras::default() };
    Picture {
        name: format!("heat-{number}"),
        section: "points",
        title: format!("Heat in the regulator from the lowest to the highest mains, rail {name}"),
        text: format!(
            "At the ends of the box that make its junction hottest, full load.{}",
            level_words(&heat.levels)
        ),
        drawing: curves::draw(&heat.curves, extras),
        table: Some(curve_table(
            "heat-over-mains",
            "Heat in the regulator over mains",
            &heat.curves,
            &heat.levels,
        )),
    }
}

/// What is said where no pause could be shaded.
const CONTINUOUS: &str = "Conduction is continuous";

/// Whether a diode conducts at every angle of the period, but for what rounding takes.
fn continuous(waves: &Waves) -> bool {
    let angles = &waves.voltages.over.values;
    let (Some(first), Some(last)) = (angles.first(), angles.last()) else { return false };
    let conducts: f64 = waves.conducts.iter().map(|(on, off)| off - on).sum();
    last > first && conducts > (last - first) * (1.0 - 1e-9)
}

/// Voltages and currents over two mains periods; `number` and `whose` tell them from those of other rails.
pub(in crate::report) fn waveforms(
    number: &str,
    whose: &str,
    section: &'static str,
    waves: &Waves,
    at: &str,
) -> [Picture; 2] {
    let unbroken = continuous(waves);
    let shaded: &[(f64, f64)] = if unbroken { &[] } else { &waves.conducts };
    let note = if unbroken { CONTINUOUS } else { "" };
    let extras = Extras { shaded, note, repeats: 2, from_zero: true, step: 90.0, ..Extras::default() };
    let conduction: Vec<String> =
        waves.conducts.iter().map(|(on, off)| format!("{on:.1}° to {off:.1}°")).collect();
    let conducts = if unbroken {
        format!(" {CONTINUOUS}: at every angle a diode carries current.")
    } else if conduction.is_empty() {
        String::new()
    } else {
        format!(" A diode conducts from {}.", conduction.join(" and from "))
    };
    let text = format!("Two mains periods at {at}, from the exact solution.{conducts}");
    let names = |curves: &Curves| {
        let names: Vec<String> = curves.rows.iter().map(|row| clean(&row.name)).collect();
        names.join(", ")
    };
    [
        Picture {
            name: format!("voltages-{number}"),
            section,
            title: format!("Voltages: {}{whose}", names(&waves.voltages)),
            text: text.clone(),
            drawing: curves::draw(&waves.voltages, extras),
            table: None,
        },
        Picture {
            name: format!("currents-{number}"),
            section,
            title: format!("Currents: {}{whose}", names(&waves.currents)),
            text,
            drawing: curves::draw(&waves.currents, Extras { first_class: 1, ..extras }),
            table: Some(both_table("waveforms", "One mains period", &waves.voltages, &waves.currents, &[])),
        },
    ]
}

/// Load voltages of several rails over two mains periods.
pub(in crate::report) fn core_waveform(curves: &Curves) -> Picture {
    let extras = Extras { repeats: 2, from_zero: true, step: 90.0, ..Extras::default() };
    Picture {
        name: String::from("voltages"),
        section: "figures",
        title: String::from("Load voltages of the rails"),
        text: String::from("Two mains periods, all rails loaded, from the exact solution."),
        drawing: curves::draw(curves, extras),
        table: Some(curve_table("waveforms", "Load voltages over one mains period", curves, &[])),
    }
}

/// The first periods after switch-on.
pub(in crate::report) fn switch_on(
    number: &str,
    whose: &str,
    section: &'static str,
    switched: &SwitchOnCurves,
) -> [Picture; 2] {
    let text = format!("{}{}", switched.words, level_words(&switched.levels));
    let extras = Extras { levels: &switched.levels, from_zero: true, first_class: 1, ..Extras::default() };
    [
        Picture {
            name: format!("switch-on-current-{number}"),
            section,
            title: format!("Switch-on: diode current{whose}"),
            text: text.clone(),
            drawing: curves::draw(&switched.currents, extras),
            table: None,
        },
        Picture {
            name: format!("switch-on-voltage-{number}"),
            section,
            title: format!("Switch-on: reservoir voltage{whose}"),
            text,
            drawing: curves::draw(&switched.voltages, Extras { levels: &[], ..extras }),
            table: Some(both_table(
                "switch-on-curves",
                "The first periods after switch-on",
                &switched.currents,
                &switched.voltages,
                &switched.levels,
            )),
        },
    ]
}

/// Numbers of two figures over the same axis.
fn both_table(name: &'static str, caption: &str, one: &Curves, other: &Curves, levels: &[Level]) -> Table {
    let rows = one.rows.iter().chain(&other.rows).cloned().collect();
    curve_table(name, caption, &Curves { over: one.over.clone(), rows }, levels)
}

/// Numbers of curves; levels have columns of their own, alike in every row.
fn curve_table(name: &'static str, caption: &str, curves: &Curves, levels: &[Level]) -> Table {
    let names = curves.rows.iter().map(|row| &row.name).chain(levels.iter().map(|level| &level.name));
    let names: Vec<String> = names.map(|name| clean(name)).collect();
    let mut heads = vec![(curves.over.name.as_str(), Kind::Figure, Place::Key)];
    heads.extend(names.iter().map(|name| (name.as_str(), Kind::Figure, Place::First)));
    let mut table = Table::new(name, caption, &heads);
    for (index, over) in curves.over.values.iter().enumerate() {
        let mut cells = vec![Cell::figure(Figure::new(*over, curves.over.unit))];
        cells.extend(
            curves.rows.iter().map(|row| {
                Cell::figure(row.values.get(index).and_then(|value| Figure::new(*value, row.unit)))
            }),
        );
        cells.extend(levels.iter().map(|level| Cell::figure(Some(level.at))));
        table.push(cells);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::waveforms;
    use crate::review::{
        figure::Unit,
        pictures::model::{Curves, Series, Waves},
    };

    /// Waves in which a diode conducts over some stretches of the period.
    fn waves(conducts: &[(f64, f64)]) -> Waves {
        let over = || Series::new("mains angle", Unit::Degrees, vec![0.0, 180.0, 360.0]).expect("finite");
        let row = |name: &str, unit| Series::new(name, unit, vec![1.0, 2.0, 1.0]).expect("finite");
        Waves {
            voltages: Curves { over: over(), rows: vec![row("load", Unit::Volts)] },
            currents: Curves { over: over(), rows: vec![row("choke", Unit::Amps)] },
            conducts: conducts.to_vec(),
        }
    }

    /// Words and drawing of both figures.
    fn drawn(conducts: &[(f64, f64)]) -> [(String, String); 2] {
        waveforms("1", "", "figures", &waves(conducts), "rest").map(|one| (one.text.clone(), one.alone()))
    }

    #[test]
    fn conduction_that_never_pauses_is_said_and_not_shaded() {
        for (text, drawing) in drawn(&[(0.0, 200.0), (200.0, 360.0)]) {
            assert!(text.contains("Conduction is continuous"), "{text}");
            assert!(!text.contains("from 0.0°"), "{text}");
            // Said in the drawing too, which may stand alone.
            assert!(drawing.contains(">Conduction is continuous</text>"), "{drawing}");
            assert!(!drawing.contains("class=\"shade\""), "{drawing}");
        }
    }

    #[test]
    fn conduction_that_pauses_for_an_instant_is_shaded() {
        for (text, drawing) in drawn(&[(0.0, 179.9), (180.0, 360.0)]) {
            assert!(
                text.contains("A diode conducts from 0.0° to 179.9° and from 180.0° to 360.0°."),
                "{text}"
            );
            assert!(!drawing.contains("Conduction is continuous"), "{drawing}");
            // Twice in each of two periods, and once in the legend.
            assert_eq!(drawing.matches("class=\"shade\"").count(), 5, "{drawing}");
        }
    }
}

//! What is plotted: laws that hold between the curves, and between them and what is judged.

use railwright::report::{Figures, schematic};
use railwright::review::{Figure, audit};

use crate::review::bench::{designed, sound};

/// Law: while no diode conducts the capacitor feeds the whole load; over a period it neither gains nor loses charge.
#[test]
fn the_capacitor_gives_what_the_load_takes_and_gets_it_back() {
    let dossier = sound().audited();
    let waves = dossier.pictures[0].waves.as_ref().expect("solved");
    let angle = &waves.currents.over.values;
    let row = |name: &str| {
        &waves.currents.rows.iter().find(|row| row.name == name).unwrap_or_else(|| panic!("no {name}")).values
    };
    let (rectifier, capacitor) = (row("rectifier"), row("reservoir capacitor"));
    let drawn =
        dossier.nominal.iter().find(|row| row.figure == "current drawn from the reservoir").expect("solved");
    for (rectifier, capacitor) in rectifier.iter().zip(capacitor) {
        assert!((rectifier - capacitor - drawn.value.value()).abs() < 1e-9 * drawn.value.value());
    }
    let charge: f64 = angle
        .windows(2)
        .zip(capacitor.windows(2))
        .map(|(angle, current)| (angle[1] - angle[0]) * (current[0] + current[1]) / 2.0)
        .sum();
    // The trapezoid rule on steps of 3° misses up to h²/12 of the pulse's curvature: about 2 % of its charge.
    assert!(charge.abs() < 0.02 * drawn.value.value() * 360.0, "{charge}");
}

/// Law: the window's ends are the worst valley and the no-load peak that the stresses are judged by.
#[test]
fn the_window_ends_at_the_worst_valley_and_at_the_no_load_peak() {
    let dossier = sound().audited();
    let window = dossier.pictures[0].window.as_ref().expect("solved");
    let row =
        |name: &str| &window.curves.rows.iter().find(|row| row.name.starts_with(name)).expect("drawn").values;
    let least = dossier
        .points
        .iter()
        .filter(|point| point.corner.starts_with("mains low"))
        .filter_map(|point| point.reservoir_min)
        .map(Figure::value)
        .fold(f64::INFINITY, f64::min);
    assert!((row("least valley")[0] - least).abs() < 1e-9 * least);
    let idle = dossier.points.iter().find(|point| point.corner.starts_with("no load")).expect("listed");
    let last = *row("peak without load").last().expect("drawn");
    assert!((last - idle.reservoir_max.value()).abs() < 1e-9 * last);
    assert!(row("least valley").is_sorted() && row("greatest crest").is_sorted());
}

/// Law: the junction's rise over the air is nearly in proportion to all heat, so the heat at which it reaches its limit is to the
/// heat that it has as the rise that is allowed to the rise that it has. A sink's resistance falls as it warms: 3 % are left to it.
#[test]
fn the_level_of_heat_counts_what_pass_transistors_bring_to_the_sink() {
    let dossier = audit(designed("print-shop").inputs(), None);
    let heat = dossier.pictures[0].heat.as_ref().expect("a regulator");
    let most = heat.curves.rows[0].values.iter().copied().fold(0.0, f64::max);
    let junction =
        dossier.heat.iter().find(|row| row.place.contains("junction of the regulator")).expect("listed");
    assert!((junction.power.expect("its heat").value() / most - 1.0).abs() < 1e-9);
    let stress =
        dossier.stresses.iter().find(|row| row.stress == "regulator-junction-temperature").expect("judged");
    let rise = junction.rise.expect("its rise").value();
    let allowed = rise + stress.limit.value() - stress.applied.value();
    let ratio = heat.levels[0].at.value() / most;
    assert!((ratio / (allowed / rise) - 1.0).abs() < 0.03, "{ratio} against {}", allowed / rise);
}

/// Law: a sum of currents is no greater than the sum of their magnitudes; fundamentals in step with one mains nearly reach it.
#[test]
fn the_mains_current_of_three_transformers_is_drawn_once_and_is_their_sum() {
    let dossier = audit(designed("modular-rack").inputs(), None);
    let drawn =
        Figures::of(&dossier).pictures.into_iter().filter(|one| one.name.starts_with("harmonics")).count();
    assert_eq!(drawn, 1);
    assert_eq!(dossier.pictures.len(), 3);
    for (index, row) in dossier.grid.harmonics.iter().enumerate() {
        let apart: f64 = dossier.pictures.iter().map(|rail| rail.harmonics[index].current_rms.value()).sum();
        assert!(row.current_rms.value() <= apart * (1.0 + 1e-9), "order {}", row.order);
        assert!(row.order > 1 || row.current_rms.value() > 0.98 * apart, "{apart}");
    }
    let (taken, totals) = (dossier.grid.taken.expect("solved").value(), &dossier.totals);
    let both = totals.output.expect("solved").value() + totals.loss.expect("solved").value();
    assert!((taken / both - 1.0).abs() < 1e-12 && !dossier.grid.limited);
    // Below the floor, and a mains for which nothing is set. Source: IEC 61000-3-2 (from memory).
    assert_eq!(dossier.grid.why, "no limit is set up to 75 W");
    let american = audit(designed("print-shop").inputs(), None).grid;
    assert!(american.taken.expect("solved").value() > 75.0 && !american.limited);
    assert_eq!(american.why, "no limit is set for mains below 220 V");
}

/// Law: two rails on one core draw one current; it is not counted twice.
#[test]
fn rails_on_one_core_are_one_current_at_the_mains() {
    let dossier = audit(designed("tide-gauge").inputs(), None);
    assert_eq!(dossier.pictures.len(), 2);
    for (index, row) in dossier.grid.harmonics.iter().enumerate().filter(|(_, row)| row.order % 2 == 1) {
        for rail in &dossier.pictures {
            let alone = rail.harmonics[index].current_rms.value();
            assert!((row.current_rms.value() / alone - 1.0).abs() < 1e-3, "order {}", row.order);
        }
    }
}

/// Every curve of a window stands in its numbers with the levels that it is drawn against.
#[test]
fn numbers_of_a_figure_hold_its_levels() {
    let dossier = sound().audited();
    let found = Figures::of(&dossier);
    for name in ["window-1", "heat-1", "switch-on-voltage-1"] {
        let table = found.pictures.iter().find(|one| one.name == name).and_then(|one| one.table.clone());
        let table = table.expect("numbers");
        let rail = &dossier.pictures[0];
        let levels = match name {
            "window-1" => &rail.window.as_ref().expect("solved").levels,
            "heat-1" => &rail.heat.as_ref().expect("solved").levels,
            _ => &rail.switch_on.as_ref().expect("solved").levels,
        };
        assert!(!levels.is_empty(), "{name}");
        for level in levels {
            let column = table.columns.iter().position(|one| one.head == level.name).expect("a column");
            assert!(table.rows.iter().all(|row| row[column].text == level.at.text()), "{name}");
        }
    }
}

/// Fact of the trade: an electrolytic is drawn with the sign of its positive plate, film and ceramic without. Common practice, no
/// source.
#[test]
fn capacitors_that_must_not_be_reversed_carry_a_sign_and_no_others() {
    let dossier = audit(designed("modular-rack").inputs(), None);
    for rail in &dossier.pictures {
        let told: Vec<(&str, bool)> = rail
            .drawing
            .parts
            .iter()
            .filter(|part| part.designators[0].starts_with('C'))
            .map(|part| (part.position.as_str(), part.polarised))
            .collect();
        assert_eq!(told, [("reservoir", true), ("input-capacitor", false), ("output-capacitor", true)]);
    }
    let (signed, mut bare) = (dossier.pictures.clone(), dossier.pictures.clone());
    for part in bare.iter_mut().flat_map(|rail| &mut rail.drawing.parts) {
        part.polarised &= part.position == "reservoir";
    }
    let strokes = |rails: &[_]| schematic::draw(rails).element("x", "", "", false).matches("<path").count();
    // Two strokes a sign, an output capacitor in each of three rails.
    assert_eq!(strokes(&signed), strokes(&bare) + 6);
}

/// Law: two capacitors in series bear twice what one does; what the stress says is used of one is used of both.
#[test]
fn the_level_of_a_doublers_reservoirs_is_that_of_both_in_series() {
    let dossier = audit(designed("valve-bias").inputs(), None);
    let window = dossier.pictures[0].window.as_ref().expect("solved");
    let level = window.levels.iter().find(|level| level.name.contains("reservoir")).expect("a limit");
    let idle = window.curves.rows.iter().find(|row| row.name == "peak without load").expect("drawn");
    let stress = dossier.stresses.iter().find(|row| row.stress == "reservoir-voltage").expect("judged");
    let used = stress.applied.value() / stress.limit.value();
    let drawn = idle.values.iter().copied().fold(0.0, f64::max) / level.at.value();
    assert!(used < 1.0 && (drawn / used - 1.0).abs() < 1e-9, "{drawn} against {used}");
}

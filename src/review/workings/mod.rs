//! The formulas that carry a design, each with what went in and what came out.
//!
//! Computes with the laws beside the formulas, at the vertices where they are worst. Judges nothing.

mod pass;
mod regulator;
mod reservoir;
mod section;

use super::{
    dossier::WorkingRow,
    figure::{Figure, Unit},
    recompute::RailReview,
};
use crate::{
    circuit::{corner::Thermal, operate::OperatingPoint},
    numeric::tie::first_greatest,
    physics::{
        copper, diode,
        formula::{Formula, Working},
        mains,
        transformer::{core, resistance, temperature},
    },
    quantity::{Amps, Celsius, Kelvins, Ohms, Ratio, Volts, Watts},
    stress::bench::Bench,
};

/// A value as it is printed.
fn text(value: f64, unit: Unit) -> String {
    Figure::new(value, unit).map_or_else(|| String::from("no finite value"), Figure::text)
}

/// Workings of one rail as they are collected.
struct Sheet<'r, 'a> {
    rail: &'r RailReview<'a>,
    rows: Vec<WorkingRow>,
}

impl Sheet<'_, '_> {
    fn put(
        &mut self,
        purpose: &str,
        formula: &'static Formula,
        values: &[(&'static str, f64, Unit)],
        (result, unit): (f64, Unit),
    ) {
        let values: Vec<(&'static str, String)> =
            values.iter().map(|&(name, value, unit)| (name, text(value, unit))).collect();
        self.put_text(purpose, formula, &values, text(result, unit));
    }

    fn put_text(
        &mut self,
        purpose: &str,
        formula: &'static Formula,
        values: &[(&'static str, String)],
        result: String,
    ) {
        let working: Working = formula.working(values, result);
        self.rows.push(WorkingRow {
            rail: self.rail.record.rail.clone(),
            formula: formula.id.to_owned(),
            purpose: purpose.to_owned(),
            equation: working.equation(),
            substituted: working.substituted(),
            result: working.result,
            symbols: formula
                .symbols
                .iter()
                .map(|symbol| (symbol.name.to_owned(), symbol.meaning.to_owned()))
                .collect(),
            domain: formula.domain.to_owned(),
            source: formula.source.to_string(),
        });
    }
}

/// Workings of one rail.
pub(super) fn workings(rail: &RailReview<'_>) -> Vec<WorkingRow> {
    let mut sheet = Sheet { rail, rows: Vec::new() };
    transformer(&mut sheet);
    rectifier(&mut sheet);
    reservoir::reservoir(&mut sheet);
    section::section(&mut sheet);
    regulator::regulator(&mut sheet);
    reservoir::discharge(&mut sheet);
    sheet.rows
}

/// The point at which a figure is greatest among the hot ones.
fn hottest<'b>(bench: &'b Bench<'_>, figure: impl Fn(&OperatingPoint) -> f64) -> Option<&'b OperatingPoint> {
    let hot = bench.points.iter().filter(|point| point.vertex.thermal == Thermal::Hot);
    first_greatest(hot, |point| figure(point))
}

fn transformer(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let asked = &bench.asked.requirement.mains;
    let part = bench.assembly.transformer;
    let source = &bench.supply.source;
    let high_v = bench.supply.mains_v.high;
    let Some(one) = bench.assembly.winding() else { return };
    sheet.put(
        "Highest mains",
        &mains::MAINS_CORNER,
        &[("V_nom", asked.voltage.0, Unit::Volts), ("δ", asked.high.0, Unit::Percent)],
        (high_v, Unit::Volts),
    );
    let k = 1.0 + one.regulation.0;
    let ratio = high_v / source.primary_rated_v;
    let factor = 1.0 + one.tolerance.0;
    let emf = resistance::open_emf(one.rated, Ratio(k), Ratio(ratio), Ratio(factor));
    sheet.put(
        "Greatest open-circuit voltage of one secondary, rms",
        &resistance::OPEN_EMF,
        &[
            ("k", k, Unit::Ratio),
            ("V", one.rated.0, Unit::Volts),
            ("m", ratio, Unit::Ratio),
            ("t", factor, Unit::Ratio),
        ],
        (emf.0, Unit::Volts),
    );
    // Of unlike secondaries k is that of all together.
    let of_all = Ratio(1.0 + part.regulation().0);
    sheet.put(
        "Copper loss at rating",
        &resistance::COPPER_LOSS_RATED,
        &[("k", of_all.0, Unit::Ratio), ("S", part.rating.0, Unit::VoltAmps)],
        (resistance::copper_loss_rated(of_all, part.rating).0, Unit::Watts),
    );
    let Some(point) = hottest(bench, |point| point.winding_c) else { return };
    sheet.put(
        "Resistance of the secondary in the path, windings at their hottest",
        &copper::COPPER_RESISTANCE,
        &[
            ("R_20", source.secondary_20_ohm, Unit::Ohms),
            ("α", 0.00393, Unit::Fine),
            ("T", point.winding_c, Unit::Celsius),
        ],
        (copper::resistance_at(Ohms(source.secondary_20_ohm), Celsius(point.winding_c)).0, Unit::Ohms),
    );
    let iron = core::core_loss(
        Watts(source.iron_rated_w),
        Ratio(point.mains_v / source.primary_rated_v),
        Ratio(point.frequency_hz / source.iron_frequency_hz),
    );
    sheet.put(
        "Core loss there",
        &core::CORE_LOSS,
        &[
            ("P_r", source.iron_rated_w, Unit::Watts),
            ("V", point.mains_v, Unit::Volts),
            ("V_r", source.primary_rated_v, Unit::Volts),
            ("f_r", source.iron_frequency_hz, Unit::Hertz),
            ("f", point.frequency_hz, Unit::Hertz),
        ],
        (iron.0, Unit::Watts),
    );
    let rated_w = source.copper_rated_w + source.iron_rated_w;
    let thermal = temperature::thermal_resistance(Kelvins(source.rated_rise_k), Watts(rated_w));
    let cold_w = point.copper_w / copper::factor(Celsius(point.winding_c));
    sheet.put(
        "Hottest mean winding temperature",
        &temperature::WINDING_TEMPERATURE,
        &[
            ("T_air", point.air_c, Unit::Celsius),
            ("G", thermal.0, Unit::KelvinsPerWatt),
            ("P_20", cold_w, Unit::Watts),
            ("α", 0.00393, Unit::Fine),
            ("P_fe", point.iron_w, Unit::Watts),
        ],
        (point.winding_c, Unit::Celsius),
    );
}

fn rectifier(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let Some(point) = hottest(bench, |point| point.junction_c) else { return };
    let line = diode::Line { threshold: Volts(point.threshold_v), slope: Ohms(point.slope_ohm) };
    sheet.put(
        "Loss of one diode where its junction is hottest",
        &diode::DIODE_LOSS,
        &[
            ("V_0", point.threshold_v, Unit::Volts),
            ("I_avg", point.diode_avg_a, Unit::Amps),
            ("r", point.slope_ohm, Unit::Ohms),
            ("I_rms", point.diode_rms_a, Unit::Amps),
        ],
        (line.loss(Amps(point.diode_avg_a), Amps(point.diode_rms_a)).0, Unit::Watts),
    );
}

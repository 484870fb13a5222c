//! The formulas that carry a design, each with what went in and what came out.
//!
//! Computes with the laws beside the formulas, at the vertices where they are worst. Judges nothing.

use super::{
    dossier::WorkingRow,
    figure::{Figure, Unit},
    recompute::RailReview,
};
use crate::{
    catalog::family::{capacitor::LifeBasis, regulator::Setting},
    circuit::{corner::Thermal, operate::OperatingPoint, supply::HeatPath},
    physics::{
        bleeder, copper, diode,
        formula::{Formula, Working},
        heat, mains,
        regulator::{self, accuracy, dropout},
        reservoir::{corner, life, ripple},
        transformer::{core, resistance, temperature},
    },
    quantity::{Amps, Celsius, Farads, Kelvins, Ohms, Ratio, Volts, Watts},
    stress::{
        bench::Bench,
        regulator_point::{RegulatorStage, least},
        resistor, stage,
        verdict::Verdict,
    },
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
    reservoir(&mut sheet);
    regulator(&mut sheet);
    discharge(&mut sheet);
    sheet.rows
}

/// The point at which a figure is greatest among the hot ones.
fn hottest<'b>(bench: &'b Bench<'_>, figure: impl Fn(&OperatingPoint) -> f64) -> Option<&'b OperatingPoint> {
    bench
        .points
        .iter()
        .filter(|point| point.vertex.thermal == Thermal::Hot)
        .reduce(|worst, point| if figure(point) > figure(worst) { point } else { worst })
}

fn transformer(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let asked = &bench.asked.requirement.mains;
    let part = bench.assembly.transformer;
    let source = &bench.supply.source;
    let high_v = bench.supply.mains_v.high;
    let Some(one) = part.secondaries.first() else { return };
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
    sheet.put(
        "Copper loss at rating",
        &resistance::COPPER_LOSS_RATED,
        &[("k", k, Unit::Ratio), ("S", part.rating.0, Unit::VoltAmps)],
        (resistance::copper_loss_rated(Ratio(k), part.rating).0, Unit::Watts),
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

fn reservoir(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let bank = &bench.assembly.reservoir;
    let part = bank.part;
    let (tolerance, end) = (1.0 - part.tolerance_minus.0, 1.0 - part.end_capacitance_loss.0);
    let least = corner::capacitance(part.capacitance, bank.count, Ratio(tolerance), Ratio(end));
    sheet.put(
        "Least capacitance of the bank, at the end of life",
        &corner::CAPACITANCE_CORNER,
        &[
            ("n", f64::from(bank.count), Unit::Count),
            ("C", part.capacitance.0, Unit::Farads),
            ("δ", part.tolerance_minus.0, Unit::Percent),
            ("e", part.end_capacitance_loss.0, Unit::Percent),
        ],
        (least.0, Unit::Farads),
    );
    let equivalent = sheet.rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == "reservoir-ripple-current" => Some(stress.applied),
        _ => None,
    });
    let Some(equivalent_a) = equivalent else { return };
    let rise = ripple::core_rise(part.core_rise, Amps(equivalent_a), part.ripple);
    sheet.put(
        "Core rise of the most loaded reservoir",
        &ripple::CORE_RISE,
        &[
            ("ΔT_0", part.core_rise.0, Unit::Kelvins),
            ("I_eq", equivalent_a, Unit::Amps),
            ("I_R", part.ripple.0, Unit::Amps),
        ],
        (rise.0, Unit::Kelvins),
    );
    let air_c = bench.supply.air.hot_c;
    let basis = match part.life_basis {
        LifeBasis::WithRipple => life::LifeBasis::WithRipple,
        LifeBasis::WithoutRipple => life::LifeBasis::WithoutRipple,
    };
    let hours = life::life(part.life, basis, part.t_max, Celsius(air_c), part.core_rise, rise);
    let mut values = vec![
        ("L_0", text(part.life.0, Unit::Hours)),
        ("T_max", text(part.t_max.0, Unit::Celsius)),
        ("T_air", text(air_c, Unit::Celsius)),
        ("ΔT", text(rise.0, Unit::Kelvins)),
    ];
    if part.life_basis == LifeBasis::WithRipple {
        values.push(("ΔT_0", text(part.core_rise.0, Unit::Kelvins)));
    }
    let claimed = life::claim(hours);
    let mut result = text(hours.0, Unit::Hours);
    if claimed.capped {
        result.push_str(", of which the model proves no more than ");
        result.push_str(&text(claimed.hours.0, Unit::Hours));
    }
    sheet.put_text(
        "Life of the reservoir at the greatest ambient and full load throughout",
        basis.formula(),
        &values,
        result,
    );
}

fn regulator(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let Some(Ok(stage)) = RegulatorStage::of(bench) else { return };
    output(sheet, &stage);
    let Ok(path) = stage.heat_path(bench) else { return };
    let worst = least(bench, |point| stage.headroom_v(Some(&path), point));
    let point = worst.and_then(|worst| bench.points.iter().find(|point| point.vertex == worst.vertex));
    if let Some((point, drop)) = point.and_then(|point| Some((point, stage.drop_out(Some(&path), point)?))) {
        let high = Volts(stage.output.high_v);
        sheet.put(
            "Least headroom",
            &dropout::HEADROOM,
            &[
                ("V_in_min", point.valley_v, Unit::Volts),
                ("V_out_max", high.0, Unit::Volts),
                ("V_do", drop.volts, Unit::Volts),
            ],
            (dropout::headroom(Volts(point.valley_v), high, Volts(drop.volts)).0, Unit::Volts),
        );
    }
    let Some(point) = hottest(bench, |point| stage.dissipation_w(point)) else { return };
    let (through_a, ground_a) = (stage.through_a(point.vertex.load), bench.auxiliary.ground_a);
    let watts = stage.dissipation_w(point);
    sheet.put(
        "Greatest heat of the regulator",
        &regulator::heat::REGULATOR_DISSIPATION,
        &[
            ("V_in", point.mean_v, Unit::Volts),
            ("V_out", stage.output.low_v, Unit::Volts),
            ("I", through_a, Unit::Amps),
            ("I_gnd", ground_a, Unit::Amps),
        ],
        (watts, Unit::Watts),
    );
    let Some(cooling) = stage.regulation.cooling else { return };
    let rise_k = path.sink_rise_k(watts);
    let altitude = heat::altitude_factor(bench.asked.requirement.ambient.altitude).unwrap_or(Ratio(1.0));
    sheet.put(
        "Rise of the regulator's heat sink",
        &heat::SINK_RISE,
        &[
            ("P", watts, Unit::Watts),
            ("R_r", cooling.sink.resistance.0, Unit::KelvinsPerWatt),
            ("ΔT_r", cooling.sink.rise.0, Unit::Kelvins),
            ("n", cooling.sink.exponent, Unit::Ratio),
            ("a", altitude.0, Unit::Ratio),
        ],
        (rise_k, Unit::Kelvins),
    );
    let case = stage.part().junction_case.0;
    let pad = match path {
        HeatPath::Sink { to_sink, .. } => to_sink - case,
        HeatPath::Direct(_) => 0.0,
    };
    sheet.put(
        "Hottest junction of the regulator",
        &heat::JUNCTION_CHAIN,
        &[
            ("T_air", point.air_c, Unit::Celsius),
            ("P", watts, Unit::Watts),
            ("R_jc", case, Unit::KelvinsPerWatt),
            ("R_cs", pad, Unit::KelvinsPerWatt),
            ("R_sa", rise_k / watts, Unit::KelvinsPerWatt),
        ],
        (stage.junction_c(&path, point), Unit::Celsius),
    );
}

/// Output of an adjustable regulator, and the sum of its accuracy.
fn output(sheet: &mut Sheet<'_, '_>, stage: &RegulatorStage<'_>) {
    if let (Setting::Adjustable { .. }, Some((upper, lower)), Some((reference, adjust))) =
        (stage.part().setting, stage.regulation.set, stage::reference_of(stage.part()))
    {
        sheet.put(
            "Output with nominal set resistors",
            &accuracy::ADJUSTABLE_OUTPUT,
            &[
                ("V_ref", reference.nom.0, Unit::Volts),
                ("R_2", lower.value.0, Unit::Ohms),
                ("R_1", upper.value.0, Unit::Ohms),
                ("I_adj", adjust.nom.0, Unit::Amps),
            ],
            (stage.output.set_v, Unit::Volts),
        );
    }
    let terms = &stage.output.terms;
    let named = [
        ("reference", terms.reference),
        ("resistors", terms.resistors),
        ("adjust current", terms.adjust_current),
        ("line", terms.line),
        ("load", terms.load),
    ];
    let listed: Vec<String> = named
        .iter()
        .filter(|(_, volts)| *volts > 0.0)
        .map(|(name, volts)| format!("{name} {}", text(*volts, Unit::Volts)))
        .collect();
    sheet.put_text(
        "Spread of the output about its set value",
        &accuracy::ACCURACY_SUM,
        &[("ΔV_i", listed.join(" + "))],
        text(terms.spread(), Unit::Volts),
    );
}

fn discharge(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let peak = Volts(bench.no_load_peak_v());
    let farads = Farads(bench.supply.bank.farad.high);
    sheet.put(
        "Energy in the reservoir without load at mains high",
        &bleeder::STORED_ENERGY,
        &[("C", farads.0, Unit::Farads), ("V", peak.0, Unit::Volts)],
        (bleeder::stored_energy(farads, peak).0, Unit::Joules),
    );
    let Some(choice) = bench.assembly.bleeder else { return };
    let most = Ohms(resistor::greatest_ohm(bench.asked, choice));
    let target = bench.asked.policy.parameters.discharge_voltage;
    if target < peak {
        sheet.put(
            "Time in which the bleeder alone discharges it",
            &bleeder::DISCHARGE_TIME,
            &[
                ("R", most.0, Unit::Ohms),
                ("C", farads.0, Unit::Farads),
                ("V", peak.0, Unit::Volts),
                ("V_low", target.0, Unit::Volts),
            ],
            (bleeder::discharge_time(most, farads, peak, target).0, Unit::Seconds),
        );
    }
    let least = Ohms(resistor::least_ohm(bench.asked, choice));
    sheet.put(
        "Greatest heat of the bleeder",
        &bleeder::BLEEDER_POWER,
        &[("V", peak.0, Unit::Volts), ("R", least.0, Unit::Ohms)],
        (bleeder::power(peak, least).0, Unit::Watts),
    );
}

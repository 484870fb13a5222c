//! Workings of the regulator: output, accuracy, headroom, heat, sink, junction.
//!
//! Computes with the laws beside the formulas; judges nothing.

use super::{Sheet, hottest, text};
use crate::{
    catalog::family::regulator::Setting,
    circuit::supply::{Body, HeatPath},
    physics::{
        heat,
        regulator::{self, accuracy, dropout, rejection},
    },
    quantity::{Ratio, Volts},
    review::figure::Unit,
    stress::{
        regulator_point::{RegulatorStage, least},
        stage,
    },
};

/// The stage at its worst vertices.
pub(super) fn regulator(sheet: &mut Sheet<'_, '_>) {
    let bench = &sheet.rail.bench;
    let Some(Ok(stage)) = RegulatorStage::of(bench) else { return };
    output(sheet, &stage);
    let Ok(path) = stage.heat_path(bench) else { return };
    let worst = least(bench, |point| stage.headroom_v(Some(&path), point));
    let point = worst.and_then(|worst| bench.points.iter().find(|point| point.vertex == worst.vertex));
    if let Some((point, drop)) = point.and_then(|point| Some((point, stage.drop_out(Some(&path), point)?))) {
        let high = Volts(stage.output.high_v);
        // Ballast and drive resistors of pass transistors count as drop-out.
        let dropped_v = drop.volts + stage.lift_v(point.vertex.load);
        sheet.put(
            "Least headroom",
            &dropout::HEADROOM,
            &[
                ("V_in_min", point.valley_v, Unit::Volts),
                ("V_out_max", high.0, Unit::Volts),
                ("V_do", dropped_v, Unit::Volts),
            ],
            (dropout::headroom(Volts(point.valley_v), high, Volts(dropped_v)).0, Unit::Volts),
        );
    }
    let worst = least(bench, |point| stage.output_ripple_v(Some(&path), point).map(|volts| -volts));
    let point = worst.and_then(|worst| bench.points.iter().find(|point| point.vertex == worst.vertex));
    if let (Some(point), Some(worst)) = (point, worst) {
        let (raw_v, out_v) = (point.crest_v - point.valley_v, -worst.value);
        sheet.put(
            "Greatest output ripple, peak to peak; the rejection is what its headroom leaves of the rating",
            &rejection::OUTPUT_RIPPLE,
            &[("V_r_in", raw_v, Unit::Volts), ("A", 20.0 * (raw_v / out_v).log10(), Unit::Decibels)],
            (out_v, Unit::Volts),
        );
    }
    let Some(point) = hottest(bench, |point| stage.dissipation_w(point)) else { return };
    let (through_a, before_v) = stage.own_share(Body::Instant, point.vertex.load);
    let ground_a = bench.auxiliary.ground_a;
    let watts = stage.dissipation_w(point);
    sheet.put(
        "Greatest heat of the regulator",
        &regulator::heat::REGULATOR_DISSIPATION,
        &[
            ("V_in", point.mean_v - before_v, Unit::Volts),
            ("V_out", stage.output.low_v, Unit::Volts),
            ("I", through_a, Unit::Amps),
            ("I_gnd", ground_a, Unit::Amps),
        ],
        (watts, Unit::Watts),
    );
    let Some(cooling) = stage.regulation.cooling else { return };
    let all_w = stage.sink_heat_w(Body::Instant, point);
    let rise_k = path.sink_rise_k(all_w);
    let altitude = heat::altitude_factor(bench.asked.requirement.ambient.altitude).unwrap_or(Ratio(1.0));
    sheet.put(
        "Rise of the regulator's heat sink",
        &heat::SINK_RISE,
        &[
            ("P", all_w, Unit::Watts),
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
    super::pass::pass(sheet, &stage, point);
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

//! The textbook column: ideal constants and rules of thumb against the exact solution at nominal, with the ratio.
//!
//! Chooses and judges nothing by them. Figures of a tapped winding are of one half.

use super::{
    dossier::TextbookRow,
    figure::{Figure, Unit},
    recompute::RailReview,
};
use crate::{
    circuit::spec::Topology,
    physics::{rule_of_thumb, textbook::Ideal},
    quantity::{Amps, Farads, Hertz, Volts, Watts},
};

/// Rows of one rail; empty where the textbooks print no such circuit.
pub(super) fn textbook(rail: &RailReview<'_>) -> Vec<TextbookRow> {
    let (Some(point), Some(ideal)) = (&rail.nominal, ideal(rail.bench.assembly.topology)) else {
        return Vec::new();
    };
    let found = point.state.figures();
    let out = &found.output;
    let emf_v = point.emf_peak_v / std::f64::consts::SQRT_2;
    let load_a = point.load_a;
    let drops = if ideal == Ideal::Bridge { 2.0 } else { 1.0 };
    let peak_v = point.emf_peak_v - drops * point.threshold_v;
    let load = Amps(load_a);
    let thumb_ripple = rule_of_thumb::ripple_pp(ideal, load, Hertz(point.frequency_hz), Farads(point.farad));
    let reverse = match ideal {
        Ideal::Bridge => 1.0,
        Ideal::HalfWave | Ideal::CentreTap => 2.0,
    };
    let ripple_factor = out.ripple_rms_v / out.load_mean_v;
    let form_factor = (1.0 + ripple_factor * ripple_factor).sqrt();
    let secondary = out.load_power_w / found.va_emf_va;
    let primary = out.load_power_w / (emf_v * found.primary_rms_a);
    let mean = 2.0 / (1.0 / secondary + 1.0 / primary);
    let formula = |text: &str| text.to_owned();
    let full = ideal != Ideal::HalfWave;
    let pick = |one: &str, other: &str| formula(if full { other } else { one });
    let rows: Vec<(&str, String, f64, f64, Unit)> = vec![
        (
            "average output, no reservoir",
            pick("√2/π · E", "2√2/π · E"),
            ideal.output_per_emf().0 * emf_v,
            out.load_mean_v,
            Unit::Volts,
        ),
        (
            "average output, reservoir",
            formula("V_pk − ΔV/2"),
            rule_of_thumb::mean_output(Volts(peak_v), thumb_ripple).0,
            out.load_mean_v,
            Unit::Volts,
        ),
        ("ripple, peak to peak", pick("I/(f C)", "I/(2 f C)"), thumb_ripple.0, out.ripple_pp_v, Unit::Volts),
        (
            "ripple, rms",
            formula("ΔV/(2√3)"),
            rule_of_thumb::ripple_rms(thumb_ripple).0,
            out.ripple_rms_v,
            Unit::Volts,
        ),
        (
            "form factor, no reservoir",
            pick("π/2", "π/(2√2)"),
            ideal.form_factor().0,
            form_factor,
            Unit::Ratio,
        ),
        (
            "ac component over average, no reservoir",
            formula("√(F² − 1)"),
            ideal.ripple_factor().0,
            ripple_factor,
            Unit::Ratio,
        ),
        (
            "efficiency of rectification, no reservoir",
            pick("4/π²", "8/π²"),
            ideal.efficiency().0,
            1.0 / (form_factor * form_factor),
            Unit::Percent,
        ),
        ("diode, average", pick("I", "I/2"), ideal.diode_average().0 * load_a, out.diode_avg_a, Unit::Amps),
        (
            "diode rms, no reservoir",
            pick("π/2 · I", "π/4 · I"),
            ideal.diode_rms().0 * load_a,
            out.diode_rms_a,
            Unit::Amps,
        ),
        (
            "diode peak, reservoir",
            formula("I (1 + 2π √(2 V_pk/(n² ΔV)))"),
            rule_of_thumb::diode_peak(ideal, load, Volts(peak_v), thumb_ripple).0,
            out.diode_peak_a,
            Unit::Amps,
        ),
        (
            "peak reverse voltage, reservoir",
            formula(if ideal == Ideal::Bridge { "V_pk" } else { "2 V_pk" }),
            reverse * point.emf_peak_v,
            out.diode_piv_v,
            Unit::Volts,
        ),
        (
            "winding rms, no reservoir",
            formula(match ideal {
                Ideal::HalfWave => "π/2 · I",
                Ideal::CentreTap => "π/4 · I",
                Ideal::Bridge => "π/(2√2) · I",
            }),
            ideal.winding_rms().0 * load_a,
            found.winding_rms_a,
            Unit::Amps,
        ),
        (
            "winding rms, reservoir",
            formula("maker's factor · I"),
            rule_of_thumb::winding_rms(ideal, load).0,
            found.winding_rms_a,
            Unit::Amps,
        ),
        (
            "apparent power of the secondary, reservoir",
            formula("maker's factor · (P + d I)"),
            rule_of_thumb::rating(ideal, Watts(out.load_power_w), load).0,
            found.va_emf_va,
            Unit::VoltAmps,
        ),
        (
            "utilisation of the secondary, no reservoir",
            formula(match ideal {
                Ideal::HalfWave => "2√2/π²",
                Ideal::CentreTap => "4√2/π²",
                Ideal::Bridge => "8/π²",
            }),
            ideal.utilisation_secondary().0,
            secondary,
            Unit::Percent,
        ),
        (
            "utilisation of the primary, no reservoir",
            formula("P_dc/(E I_p)"),
            ideal.utilisation_primary().0,
            primary,
            Unit::Percent,
        ),
        (
            "utilisation, mean of both, no reservoir",
            formula("2/(1/TUF_s + 1/TUF_p)"),
            ideal.utilisation_mean().0,
            mean,
            Unit::Percent,
        ),
    ];
    rows.into_iter()
        .filter_map(|(figure, expression, textbook, exact, unit)| {
            Some(TextbookRow {
                rail: rail.record.rail.clone(),
                figure: figure.to_owned(),
                expression,
                textbook: Figure::new(textbook, unit)?,
                exact: Figure::new(exact, unit)?,
                ratio: Figure::new(exact / textbook, Unit::Ratio),
            })
        })
        .collect()
}

const fn ideal(topology: Topology) -> Option<Ideal> {
    match topology {
        Topology::HalfWave => Some(Ideal::HalfWave),
        Topology::CentreTap => Some(Ideal::CentreTap),
        Topology::Bridge => Some(Ideal::Bridge),
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler | Topology::DualComplementary => None,
    }
}

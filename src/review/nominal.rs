//! Figures at nominal mains and full load, with the energy balance over every vertex.
//!
//! Knows no limit; definitions of the figures stand at [`crate::circuit::figures::Figures`].

use rayon::prelude::*;

use super::{
    dossier::NominalRow,
    figure::{Figure, Unit},
    recompute::RailReview,
};
use crate::stress::loss;

/// Rows of one rail; empty where nominal has no steady state.
pub(super) fn nominal(rail: &RailReview<'_>) -> Vec<NominalRow> {
    let Some(point) = &rail.nominal else {
        return Vec::new();
    };
    let found = point.state.figures();
    let out = &found.output;
    let load_a = rail.bench.asked.rail.current_max.0;
    let residual = rail
        .bench
        .points
        .par_iter()
        .chain(rayon::iter::once(point))
        .map(|point| point.state.figures().energy_residual.abs())
        // A greatest is the same in any order.
        .reduce(|| 0.0, f64::max);
    let sectioned = rail.bench.supply.second_bank().is_some();
    let [mean, least, greatest] = if sectioned {
        ["second bank, mean", "second bank, least", "second bank, greatest"]
    } else {
        ["reservoir, mean", "reservoir, least", "reservoir, greatest"]
    };
    let rows = [
        ("EMF of the conducting path, rms", point.emf_peak_v / std::f64::consts::SQRT_2, Unit::Volts),
        ("current drawn from the reservoir", point.load_a, Unit::Amps),
        (mean, out.load_mean_v, Unit::Volts),
        (least, out.load_min_v, Unit::Volts),
        (greatest, out.load_max_v, Unit::Volts),
        ("raw ripple, peak to peak", out.ripple_pp_v, Unit::Volts),
        ("raw ripple, rms", out.ripple_rms_v, Unit::Volts),
        ("one diode, average", out.diode_avg_a, Unit::Amps),
        ("one diode, rms", out.diode_rms_a, Unit::Amps),
        ("one diode, peak", out.diode_peak_a, Unit::Amps),
        ("one diode, conduction angle", out.diode_conduction_deg, Unit::Degrees),
        ("one diode, peak reverse voltage", out.diode_piv_v, Unit::Volts),
        ("reservoir, ripple current rms", point.bank_rms_a, Unit::Amps),
        ("winding (of a tapped one, a half), rms", found.winding_rms_a, Unit::Amps),
        ("apparent power by EMF", found.va_emf_va, Unit::VoltAmps),
        ("apparent power by terminal voltage", found.va_terminal_va, Unit::VoltAmps),
        ("primary current from the load, rms", point.primary_load_rms_a, Unit::Amps),
        ("input power behind the core", found.input_power_w, Unit::Watts),
        ("power factor by EMF", found.power_factor_emf, Unit::Ratio),
        ("copper loss", point.copper_w, Unit::Watts),
        ("core loss", point.iron_w, Unit::Watts),
        ("loss of all diodes", point.diode_w, Unit::Watts),
        ("loss in the reservoir", point.bank_w, Unit::Watts),
        ("loss of the whole rail", loss::at(&rail.bench, point, load_a), Unit::Watts),
        ("winding temperature", point.winding_c, Unit::Celsius),
        ("rectifier junction temperature", point.junction_c, Unit::Celsius),
        ("energy balance, greatest residual over all vertices", residual, Unit::Residual),
    ];
    let section = point.section.map(|section| {
        let before = section.reservoir_v.map(|[least, greatest]| {
            [
                ("reservoir before the section, least", least, Unit::Volts),
                ("reservoir before the section, greatest", greatest, Unit::Volts),
            ]
        });
        let own = [
            ("choke or resistor of the section, rms current", section.rms_a, Unit::Amps),
            ("loss in the choke or resistor of the section", point.section_w(), Unit::Watts),
        ];
        before.into_iter().flatten().chain(own)
    });
    rows.into_iter()
        .chain(section.into_iter().flatten())
        .filter_map(|(figure, value, unit)| {
            Some(NominalRow {
                rail: rail.record.rail.clone(),
                figure: figure.to_owned(),
                value: Figure::new(value, unit)?,
            })
        })
        .collect()
}

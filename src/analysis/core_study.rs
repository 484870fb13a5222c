//! A core with several rails looked at: each rail as the others load it, each alone, and the current they share.

use super::{analyse::GridLimits, core_file::CoreFile, grid::Grid};
use crate::{
    circuit::{
        figures::{Figures, NoSteadyState},
        general::{
            Sample,
            core::{self, Core},
        },
        spec::Topology,
    },
    physics::grid::HARMONIC_MAX,
    quantity::{Ohms, Watts},
};

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreAnalysed {
    /// Figures of each rail with all rails loaded; primary, power factor and balance are those of the whole core.
    pub rails: Vec<Figures>,
    /// Mean voltage of each rail alone on the core, V; `None` where it has no steady state alone.
    pub alone_mean_v: Vec<Option<f64>>,
    /// Primary current, referred to one half of the first rail's winding.
    pub grid: Grid,
    /// Class A.
    pub grid_limits: GridLimits,
    /// A mains period, where asked for.
    pub waveform: Vec<Sample>,
}

/// Analyses a core; `points` samples of a mains period, none where zero.
pub fn analyse_core(file: &CoreFile, points: u32) -> Result<CoreAnalysed, NoSteadyState> {
    let core = file.core();
    let Some(first) = core.rails.first().copied() else {
        return Err(NoSteadyState::NotACircuit { why: "a core without a winding" });
    };
    let solved = core::solve(&core)?;
    let rails = solved.rails();
    let gain = |volts: f64| volts / first.winding.emf_peak.0;
    let alone_mean_v = core
        .rails
        .iter()
        .map(|spec| {
            let ratio = gain(spec.winding.emf_peak.0);
            let primary_resistance = Ohms(core.primary_resistance.0 * ratio * ratio);
            let alone = core::solve(&Core { rails: vec![*spec], primary_resistance }).ok()?;
            Some(alone.rails().first()?.output.load_mean_v)
        })
        .collect();
    // Only half-wave rails leave a mean in the windings.
    let mean_a: f64 = core
        .rails
        .iter()
        .zip(&rails)
        .filter(|(spec, _)| spec.topology == Topology::HalfWave)
        .map(|(spec, figures)| gain(spec.winding.emf_peak.0) * figures.winding_mean_a)
        .sum();
    let rms_a = rails.first().map_or(0.0, |figures| figures.primary_rms_a);
    let peak_a = super::grid::peak_of(&solved.waveform(super::grid::POINTS), mean_a);
    let grid = Grid::from_parts(solved.harmonics(HARMONIC_MAX), rms_a, peak_a);
    let input = rails.iter().map(|figures| figures.input_power_w).sum();
    let grid_limits = match file.mains_rms {
        None => GridLimits::NoMains,
        Some(mains) => {
            grid.class_a(&first, mains, Watts(input)).map_or(GridLimits::BelowFloor, GridLimits::Compared)
        }
    };
    let waveform = if points > 0 { solved.waveform(points) } else { Vec::new() };
    Ok(CoreAnalysed { rails, alone_mean_v, grid, grid_limits, waveform })
}

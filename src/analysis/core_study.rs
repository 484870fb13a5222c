//! A core with several rails looked at: each rail as the others load it, each alone, and the current they share.

use super::{
    analyse::{self, Switched},
    balance::{CoreShare, core_balance},
    core_file::CoreFile,
    core_name::CoreFigure,
    core_spread::{core_samples, core_vertices},
    grid::{Grid, GridLimits},
    monte_carlo::{Outcome, Plan},
    ripple::RippleUse,
    study::knee_of,
    textbook::{self, Rule},
    vertices::Box as VertexBox,
};
use crate::{
    circuit::{
        figures::{Figures, NoSteadyState},
        general::{
            Sample,
            core::{self, Core, CoreSteady},
            switch_on::{Outset, SwitchOn},
        },
        spec::Topology,
    },
    physics::{domain::DomainError, grid::HARMONIC_MAX},
    quantity::{Amps, Ohms, Watts},
};

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreAnalysed {
    /// Figures of each rail with all rails loaded; primary, power factor and balance are those of the whole core.
    pub rails: Vec<Figures>,
    /// Mean voltage of each rail alone on the core, V; `None` where it has no steady state alone.
    pub alone_mean_v: Vec<Option<f64>>,
    /// Where the power goes.
    pub shares: Vec<CoreShare>,
    /// The textbook beside each rail.
    pub rules: Vec<Vec<Rule>>,
    /// Ripple currents of each rail against their ratings, as of one winding.
    pub ripple_uses: Vec<Vec<Result<RippleUse, DomainError>>>,
    /// Primary current, referred to one half of the first rail's winding.
    pub grid: Grid,
    /// Class A.
    pub grid_limits: GridLimits,
    /// A mains period, where asked for.
    pub waveform: Vec<Sample>,
    /// Switch-on of each rail, all switched on together, where asked for.
    pub switched: Option<Vec<Switched>>,
    /// Tolerances at their vertices, where the file states some.
    pub vertices: Option<VertexBox>,
    /// Samples, where asked for and the file states tolerances.
    pub samples: Option<Outcome>,
}

/// What is asked of a core beside its steady state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CoreWish {
    /// Samples over a period; none where zero.
    pub points: u32,
    /// Switch-on.
    pub switch_on: bool,
    /// Cores drawn from the tolerances.
    pub samples: Option<Plan>,
    /// Figures whose tolerance is asked for; the usual ones where empty.
    pub figures: Vec<CoreFigure>,
}

/// Analyses a core; `done` is told of samples as they are solved.
pub fn analyse_core(
    file: &CoreFile,
    wish: &CoreWish,
    done: &(impl Fn(u64) + Sync),
) -> Result<CoreAnalysed, NoSteadyState> {
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
    let grid = grid_of(&core, &solved, &rails);
    let input = rails.iter().map(|figures| figures.input_power_w).sum();
    let primary = Amps(rails.first().map_or(0.0, |figures| figures.primary_rms_a));
    let grid_limits = grid.class_a(&first, file.mains_rms, Watts(input), primary);
    let shares = core_balance(&solved.powers());
    let waveform = if wish.points > 0 { solved.waveform(wish.points) } else { Vec::new() };
    let switched = if wish.switch_on { Some(switched(file, &core)?) } else { None };
    let mut list =
        if wish.figures.is_empty() { CoreFigure::usual(&file.rails) } else { wish.figures.clone() };
    if wish.figures.is_empty() {
        for (figure, _) in &file.bounds.limits {
            if !list.contains(figure) {
                list.push(figure.clone());
            }
        }
    }
    let toleranced = !file.bounds.tolerances.is_empty();
    let vertices = if toleranced { Some(core_vertices(file, &list)?) } else { None };
    let samples = wish.samples.filter(|_| toleranced).map(|plan| core_samples(file, &list, plan, done));
    let ripple_uses = ripple_uses(file, &solved, &rails);
    let rules = core.rails.iter().zip(&rails).map(|(spec, figures)| textbook::rules(spec, figures)).collect();
    Ok(CoreAnalysed {
        rails,
        alone_mean_v,
        shares,
        rules,
        ripple_uses,
        grid,
        grid_limits,
        waveform,
        switched,
        vertices,
        samples,
    })
}

/// Ripple currents of each rail; outputs count over all rails.
fn ripple_uses(
    file: &CoreFile,
    solved: &CoreSteady,
    rails: &[Figures],
) -> Vec<Vec<Result<RippleUse, DomainError>>> {
    let mut output = 0;
    let mut all = Vec::new();
    for (rail, figures) in file.rails.iter().zip(rails) {
        let here = output;
        let harmonics = |second| solved.capacitor_harmonics(here, second, HARMONIC_MAX);
        let frequency = rail.spec.winding.frequency;
        all.push(analyse::ripple_uses(&rail.ripple_ratings, figures, frequency, harmonics));
        output += 1 + usize::from(rail.spec.negative.is_some());
    }
    all
}

/// Switch-on of each rail without and with the limiter.
fn switched(file: &CoreFile, core: &Core) -> Result<Vec<Switched>, NoSteadyState> {
    let with = |ohms| switched_with(file, core, ohms);
    let bare = with(Ohms(0.0))?.into_iter();
    let limited = match file.limiter {
        Some((cold, hot)) => Some(with(cold)?.into_iter().zip(with(hot)?)),
        None => None,
    };
    Ok(match limited {
        Some(both) => bare.zip(both).map(|(bare, both)| Switched { bare, limited: Some(both) }).collect(),
        None => bare.map(|bare| Switched { bare, limited: None }).collect(),
    })
}

/// Switch-on of each rail behind a limiter of some resistance; `core` may be the file's with other values.
pub(super) fn switched_with(
    file: &CoreFile,
    core: &Core,
    limiter: Ohms,
) -> Result<Vec<SwitchOn>, NoSteadyState> {
    core::switch_on(core, limiter, &outsets(file, core))
}

/// How every output stands when it is switched on.
pub fn outsets(file: &CoreFile, core: &Core) -> Vec<Outset> {
    file.rails
        .iter()
        .zip(&core.rails)
        .flat_map(|(rail, spec)| {
            let outputs = 1 + usize::from(spec.negative.is_some());
            let otherwise = knee_of(spec);
            let residual = rail.residual;
            rail.knees
                .into_iter()
                .take(outputs)
                .map(move |knee| Outset { knee: knee.unwrap_or(otherwise), residual })
        })
        .collect()
}

/// The primary current of a solved core, referred to one half of the first rail's winding.
pub(super) fn grid_of(core: &Core, solved: &CoreSteady, rails: &[Figures]) -> Grid {
    // Only half-wave rails leave a mean, and share it with the windings beside them.
    let half_wave = core.rails.iter().any(|spec| spec.topology == Topology::HalfWave);
    let mean_a = if half_wave { solved.powers().primary_mean_a } else { 0.0 };
    let rms_a = rails.first().map_or(0.0, |figures| figures.primary_rms_a);
    let peak_a = super::grid::peak_of(&solved.waveform(super::grid::POINTS), mean_a);
    Grid::from_parts(solved.harmonics(HARMONIC_MAX), rms_a, peak_a)
}

//! One circuit looked at: steady state, primary current, switch-on, as far as asked.
//!
//! The one function that sweeps and tolerances call for each of their circuits.

use super::{
    file::Switching,
    grid::Grid,
    name::{FigureName, Known},
};
use crate::{
    circuit::{
        figures::{Figures, NoSteadyState},
        general::switch_on::{self, Conditions, SwitchOn},
        solve::solve,
        spec::Spec,
    },
    quantity::{Ohms, Volts},
};

/// What is asked beside the steady state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Depth {
    /// The primary current.
    pub grid: bool,
    /// Switch-on.
    pub switch_on: bool,
}

impl Depth {
    /// Deep enough for these figures.
    pub fn for_figures(figures: &[FigureName]) -> Self {
        Self {
            grid: figures.iter().any(FigureName::needs_grid),
            switch_on: figures.iter().any(FigureName::needs_switch_on),
        }
    }
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Study {
    /// The steady state.
    pub figures: Figures,
    /// The primary current.
    pub grid: Option<Grid>,
    /// Switch-on, limiter (if any) cold.
    pub switch_on: Option<SwitchOn>,
}

/// Share of the EMF peak at which a regulator is taken to start where no knee is stated.
const KNEE_SHARE: f64 = 0.5;

/// The knee of a load where none is stated.
pub(super) fn knee_of(spec: &Spec) -> Volts {
    Volts(KNEE_SHARE * spec.winding.emf_peak.0)
}

/// Conditions of a switch-on with a limiter of some resistance.
pub fn conditions(spec: &Spec, switching: &Switching, limiter: Ohms) -> Conditions {
    let otherwise = knee_of(spec);
    Conditions {
        extra_resistance: limiter,
        knee: switching.knee.unwrap_or(otherwise),
        negative_knee: switching.negative_knee.unwrap_or(otherwise),
        residual: switching.residual,
    }
}

/// Switch-on at its worst phase with a limiter of some resistance.
pub fn switched_on(spec: &Spec, switching: &Switching, limiter: Ohms) -> Result<SwitchOn, NoSteadyState> {
    switch_on::worst_under(spec, &conditions(spec, switching, limiter))
}

/// Looks at a circuit.
pub fn study(spec: &Spec, switching: &Switching, depth: Depth) -> Result<Study, NoSteadyState> {
    let solution = solve(spec)?;
    let figures = solution.figures();
    let grid = depth.grid.then(|| Grid::of(spec, &solution, &figures));
    let cold = switching.limiter.map_or(Ohms(0.0), |(cold, _)| cold);
    let switch_on = if depth.switch_on { Some(switched_on(spec, switching, cold)?) } else { None };
    Ok(Study { figures, grid, switch_on })
}

impl Study {
    /// For reading figures by name.
    pub fn known(&self) -> Known<'_> {
        Known { figures: Some(&self.figures), grid: self.grid.as_ref(), switch_on: self.switch_on.as_ref() }
    }
}

//! Several rails on one core: each winding with its rectifier, coupled through what they share.
//!
//! The primary (and the source before it) carries the instantaneous sum of the referred currents, so the pulse of one rail
//! lowers the EMF that the others see. Leakage between secondaries is left out: each winding's leakage is its own.

use super::network::Network;
use super::steady;
use super::switch_on::{Outset, Surge, SwitchOn};
use super::switch_on_bench::Bench;
use super::{Heating, Sample, Steady, settled};
use crate::circuit::figures::{Figures, NoSteadyState};
use crate::circuit::reservoir::Harmonic;
use crate::circuit::spec::Spec;
use crate::quantity::Ohms;

/// A core with its secondaries.
#[derive(Clone, Debug, PartialEq)]
pub struct Core {
    /// The rails; the EMF peak of each states its turns ratio to the first. Their own `common_resistance` is zero.
    pub rails: Vec<Spec>,
    /// Resistance of primary and source, referred to one half of the first rail's winding.
    pub primary_resistance: Ohms,
}

/// Diode paths on one core.
const PATHS_MAX: usize = 24;

/// The steady state of a whole core.
#[derive(Clone, Debug)]
pub struct CoreSteady {
    pub(super) steady: Steady,
}

/// Finds the steady state of all rails together.
pub fn solve(core: &Core) -> Result<CoreSteady, NoSteadyState> {
    solve_near(core, None)
}

/// The same, sought from the steady state of a core that differs in values only: fewer steps to the same answer.
pub fn solve_near(core: &Core, near: Option<&CoreSteady>) -> Result<CoreSteady, NoSteadyState> {
    if core.rails.iter().any(|spec| spec.winding.common_resistance.0 != 0.0) {
        return Err(NoSteadyState::NotACircuit {
            why: "the resistance that the rails of a core share is stated once, with the core",
        });
    }
    let net = Network::of(&core.rails, core.primary_resistance.0)?;
    if net.diodes.len() > PATHS_MAX {
        return Err(NoSteadyState::NotACircuit { why: "more than 24 diode paths on one core" });
    }
    let found = steady::seek_from(net, near.map(|near| &near.steady))?;
    Ok(CoreSteady { steady: settled(found)? })
}

/// Switch-on of a whole core at the worst phase of each rail, the others switched on with it. `limiter` is referred to one
/// half of the first rail's winding; `outsets` tells how every output stands, counted over all rails. The primary, the same for
/// every rail, stands with each.
///
/// Equations, phases and tolerance are those of [`super::switch_on`].
pub fn switch_on(core: &Core, limiter: Ohms, outsets: &[Outset]) -> Result<Vec<SwitchOn>, NoSteadyState> {
    let common = core.primary_resistance.0 + limiter.0;
    let mut bench = Bench::of_rails(&core.rails, common, outsets)?;
    let outputs: Vec<Vec<usize>> = bench.net.rails.iter().map(|rail| rail.outputs.clone()).collect();
    let diodes = bench.diodes_of_rails();
    let settled = bench.settle(&core.rails, common, &outputs)?;
    let (worst, primary) = bench.worst_with_primary(&diodes)?;
    Ok(worst
        .into_iter()
        .zip(settled)
        .map(|(one, settle_cycles)| SwitchOn { settle_cycles, primary: Some(primary), ..one })
        .collect())
}

/// Switched on at one phase of the first rail's EMF: the surge of every diode, rail by rail, and of the primary.
pub fn switched_on_at(
    core: &Core,
    limiter: Ohms,
    outsets: &[Outset],
    phase_rad: f64,
) -> Result<(Vec<Surge>, Surge), NoSteadyState> {
    let common = core.primary_resistance.0 + limiter.0;
    Bench::of_rails(&core.rails, common, outsets)?.at_phase(phase_rad)
}

impl CoreSteady {
    /// The figures of each rail. `primary_rms_a`, `power_factor_primary` and `energy_residual` are those of the whole core,
    /// the primary current referred to one half of the first rail's winding.
    pub fn rails(&self) -> Vec<Figures> {
        self.steady.rail_figures(true)
    }

    /// Means and rms values of what heats, alone.
    pub fn heating(&self) -> Heating {
        self.steady.heating()
    }

    /// Harmonics of the primary current, orders 1 to `last`.
    pub fn harmonics(&self, last: u32) -> Vec<Harmonic> {
        self.steady.harmonics(last)
    }

    /// Harmonics of the current of the first or second capacitor of an output, outputs counted over all rails.
    pub fn capacitor_harmonics(&self, output: usize, second: bool, last: u32) -> Option<Vec<Harmonic>> {
        self.steady.capacitor_harmonics(output, second, last)
    }

    /// Diode paths that feed an output, by their place in the samples; outputs counted over all rails.
    pub fn diodes_of(&self, output: usize) -> Vec<usize> {
        self.steady.net.outputs.get(output).map_or_else(Vec::new, |one| one.diodes.clone())
    }

    /// A mains period as samples; windings, diodes and outputs in the order of the rails.
    pub fn waveform(&self, points: u32) -> Vec<Sample> {
        self.steady.waveform(points)
    }
}

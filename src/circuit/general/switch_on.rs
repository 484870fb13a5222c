//! Switch-on: the surge from discharged or residual charge, at the worst phase of the mains, and how long settling takes.
//!
//! Every run is exact; the worst phase is found by a scan and then by golden section. Knows nothing of fuses or ratings.
//!
//! Below a knee voltage loads of constant current or power are resistances, `i = I v / V_knee` and `i = P v / V_knee²`:
//! a regulator that has not started cannot draw its full current.

use super::switch_on_bench::Bench;
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::Spec;
use crate::quantity::{Ohms, Volts};

/// How the circuit is switched on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Resistance of an inrush limiter, referred to one half: the current of the whole core flows through it.
    pub extra_resistance: Ohms,
    /// Load voltage below which a load of constant current or power is a resistance.
    pub knee: Volts,
    /// The same of the negative output.
    pub negative_knee: Volts,
    /// Voltage left on the capacitors, as seen at the load.
    pub residual: Volts,
}

/// How one output stands when it is switched on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outset {
    /// Load voltage below which a load of constant current or power is a resistance.
    pub knee: Volts,
    /// Voltage left on the capacitors, as seen at the load.
    pub residual: Volts,
}

impl Surge {
    /// The greatest of each over some of the diodes.
    pub(super) fn over(each: &[Self], which: &[usize]) -> Self {
        which.iter().filter_map(|&diode| each.get(diode)).fold(Self::default(), |most, one| Self {
            peak_a: most.peak_a.max(one.peak_a),
            i2t_half_cycle_a2s: most.i2t_half_cycle_a2s.max(one.i2t_half_cycle_a2s),
            i2t_cycle_a2s: most.i2t_cycle_a2s.max(one.i2t_cycle_a2s),
        })
    }
}

impl Conditions {
    /// From discharged, one knee for both outputs.
    pub fn discharged(extra_resistance: Ohms, knee: Volts) -> Self {
        Self { extra_resistance, knee, negative_knee: knee, residual: Volts(0.0) }
    }

    /// How both outputs stand.
    pub(super) fn outsets(&self) -> [Outset; 2] {
        [self.knee, self.negative_knee].map(|knee| Outset { knee, residual: self.residual })
    }
}

/// A surge: of one run over all diodes, or of the primary at its worst.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surge {
    /// Greatest current of a diode, or of the primary either way, A.
    pub peak_a: f64,
    /// Greatest integral of the square of that current over the first half period, A²s.
    pub i2t_half_cycle_a2s: f64,
    /// The same over the first period, A²s.
    pub i2t_cycle_a2s: f64,
}

/// Switch-on at its worst.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SwitchOn {
    /// Greatest current of a diode at the worst phase, A.
    pub peak_a: f64,
    /// Phase of the EMF at that switch-on, rad; phase 0 is its rising zero.
    pub peak_phase_rad: f64,
    /// Greatest I²t of a diode over the first half period, at its own worst phase, A²s.
    pub i2t_half_cycle_a2s: f64,
    /// Greatest I²t of a diode over the first period, at its own worst phase, A²s.
    pub i2t_cycle_a2s: f64,
    /// First period, counted from 0 and switched on at phase 0, from which the mean load voltage stays within 1 % of its
    /// steady value; `None` where that takes more than [`SETTLE_PERIODS_MAX`].
    pub settle_cycles: Option<u32>,
    /// Current of the primary at turns ratio 1 to one half of the (first) winding, each figure at its own worst phase; the
    /// core's own inrush is not in it. `None` where it was not sought.
    pub primary: Option<Surge>,
}

/// Periods over which the peak is watched.
pub const PERIODS_WATCHED: u32 = 5;
/// Periods after which settling is no longer waited for.
pub const SETTLE_PERIODS_MAX: u32 = 20_000;
/// Phases of the scan over a full turn.
pub(super) const SCAN: u32 = 48;
/// The worst phase is known to this many radians, its peak to about the square of it.
pub const PHASE_TOLERANCE_RAD: f64 = 1e-4;
/// Settled: the mean of a period within this share of the steady mean.
pub(super) const SETTLED: f64 = 0.01;
/// Surely settled: the departure shrinks from period to period, so that nothing beyond this share returns.
pub(super) const SURELY_SETTLED: f64 = 0.001;

/// Switch-on from discharged at the worst phase. `extra_resistance` is an inrush limiter referred to the secondary.
pub fn worst(spec: &Spec, extra_resistance: Ohms, knee: Volts) -> Result<SwitchOn, NoSteadyState> {
    worst_under(spec, &Conditions::discharged(extra_resistance, knee))
}

/// Switch-on at the worst phase under stated conditions.
pub fn worst_under(spec: &Spec, conditions: &Conditions) -> Result<SwitchOn, NoSteadyState> {
    let settle_cycles = settle_cycles(spec, conditions)?;
    let mut bench = Bench::of(spec, conditions)?;
    let every = (0..bench.net.diodes.len()).collect();
    let (mut found, primary) = bench.worst_with_primary(&[every])?;
    Ok(SwitchOn { settle_cycles, primary: Some(primary), ..found.pop().unwrap_or_default() })
}

/// The same without the time to settle and the primary, which are not sought.
pub fn worst_surge(spec: &Spec, conditions: &Conditions) -> Result<SwitchOn, NoSteadyState> {
    let mut bench = Bench::of(spec, conditions)?;
    let every = (0..bench.net.diodes.len()).collect();
    Ok(bench.worst(&[every])?.pop().unwrap_or_default())
}

/// Switch-on at one phase of the EMF.
pub fn at_phase(spec: &Spec, conditions: &Conditions, phase_rad: f64) -> Result<Surge, NoSteadyState> {
    let each = Bench::of(spec, conditions)?.surges(phase_rad, PERIODS_WATCHED)?;
    Ok(Surge::over(&each, &(0..each.len()).collect::<Vec<_>>()))
}

/// Periods until the mean load voltage stays within 1 % of the steady one, switched on at phase 0.
pub fn settle_cycles(spec: &Spec, conditions: &Conditions) -> Result<Option<u32>, NoSteadyState> {
    let mut bench = Bench::of(spec, conditions)?;
    let common = spec.winding.common_resistance.0 + conditions.extra_resistance.0;
    let every = (0..bench.net.outputs.len()).collect();
    Ok(bench.settle(std::slice::from_ref(spec), common, &[every])?.pop().flatten())
}

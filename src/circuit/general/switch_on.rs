//! Switch-on: the surge from discharged or residual charge, at the worst phase of the mains, and how long settling takes.
//!
//! Every run is exact; the worst phase is found by a scan and then by golden section. Knows nothing of fuses or ratings.
//!
//! Below a knee voltage loads of constant current or power are resistances, `i = I v / V_knee` and `i = P v / V_knee²`:
//! a regulator that has not started cannot draw its full current.

use super::cache::{Cache, Instant};
use super::matrix::Matrix;
use super::mode::Key;
use super::network::Network;
use super::propagate::{Place, Stretch, run};
use super::signal;
use super::steady;
use super::tally::{Tally, Wish, gather};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Load, Spec, Topology};
use crate::quantity::{Ohms, Volts};
use std::f64::consts::{PI, TAU};

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

impl Surge {
    /// The greatest of each over some of the diodes.
    fn over(each: &[Self], which: &[usize]) -> Self {
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
}

/// The surge of one run, over all diodes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surge {
    /// Greatest current of a diode, A.
    pub peak_a: f64,
    /// Greatest integral of the square of a diode's current over the first half period, A²s.
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
}

/// Periods over which the peak is watched.
pub const PERIODS_WATCHED: u32 = 5;
/// Periods after which settling is no longer waited for.
pub const SETTLE_PERIODS_MAX: u32 = 20_000;
/// Phases of the scan over a full turn.
const SCAN: u32 = 48;
/// The worst phase is known to this many radians, its peak to about the square of it.
pub const PHASE_TOLERANCE_RAD: f64 = 1e-4;
/// Settled: the mean of a period within this share of the steady mean.
const SETTLED: f64 = 0.01;
/// Surely settled: the departure shrinks from period to period, so that nothing beyond this share returns.
const SURELY_SETTLED: f64 = 0.001;

/// Switch-on from discharged at the worst phase. `extra_resistance` is an inrush limiter referred to the secondary.
pub fn worst(spec: &Spec, extra_resistance: Ohms, knee: Volts) -> Result<SwitchOn, NoSteadyState> {
    worst_under(spec, &Conditions::discharged(extra_resistance, knee))
}

/// Switch-on at the worst phase under stated conditions.
pub fn worst_under(spec: &Spec, conditions: &Conditions) -> Result<SwitchOn, NoSteadyState> {
    Ok(SwitchOn { settle_cycles: settle_cycles(spec, conditions)?, ..worst_surge(spec, conditions)? })
}

/// The same without the time to settle, which is not sought.
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

/// A network with its loads' knees, ready to be switched on again and again.
pub(super) struct Bench {
    pub(super) net: Network,
    pub(super) cache: Cache,
    start: Place,
    chokes: bool,
}

impl Bench {
    pub(super) fn of(spec: &Spec, conditions: &Conditions) -> Result<Self, NoSteadyState> {
        let common = spec.winding.common_resistance.0 + conditions.extra_resistance.0;
        let knees = [conditions.knee, conditions.negative_knee];
        Self::of_rails(std::slice::from_ref(spec), common, &knees, conditions.residual)
    }

    /// Rails behind a common resistance, with a knee for every output.
    pub(super) fn of_rails(
        rails: &[Spec],
        common: f64,
        knee_of: &[Volts],
        residual: Volts,
    ) -> Result<Self, NoSteadyState> {
        let net = Network::of(rails, common)?;
        let mut knees = Vec::new();
        let mut below_knee = 0;
        for (index, output) in net.outputs.iter().enumerate() {
            let knee = knee_of.get(index).map_or(0.0, |knee| knee.0);
            let (least, most) = (1e-6 * net.emf_peak, 2.0 * net.emf_peak);
            match output.load {
                Load::Resistance(_) => knees.push(0.0),
                Load::Current(amps) if amps.0 == 0.0 => knees.push(0.0),
                Load::Current(_) | Load::Power(_) if !(knee >= least && knee <= most) => {
                    let what = "knee voltage of the load in V";
                    return Err(NoSteadyState::OutsideDomain { what, value: knee, low: least, high: most });
                }
                Load::Current(_) | Load::Power(_) => {
                    knees.push(knee);
                    below_knee |= u32::from(residual.0 < knee) << index;
                }
            }
        }
        let mut full = vec![0.0; net.order()];
        let inductors = net.inductors.len();
        for (spec, rail) in rails.iter().zip(&net.rails) {
            for output in rail.outputs.iter().filter_map(|&output| net.outputs.get(output)) {
                let stacked = if spec.topology == Topology::FullWaveDoubler { 0.5 } else { 1.0 };
                for (nth, &cap) in output.first_caps.iter().enumerate() {
                    // The coupling capacitor of a cascade holds half of what the reservoir does.
                    let share =
                        if spec.topology == Topology::HalfWaveDoubler && nth == 1 { 0.5 } else { stacked };
                    full[inductors + cap] = share * residual.0;
                }
                if let Some(cap) = output.second_cap {
                    full[inductors + cap] = residual.0;
                }
            }
        }
        let chokes = net.outputs.iter().any(|output| output.choke.is_some());
        let reference = steady::reference(&net);
        let cache = Cache::new(&net, knees, reference);
        let start = Place { full, key: Key { diodes: 0, below_knee } };
        Ok(Self { net, cache, start, chokes })
    }

    /// The worst of every group of diodes over all phases, each at its own worst phase; settling is not sought.
    pub(super) fn worst(&mut self, groups: &[Vec<usize>]) -> Result<Vec<SwitchOn>, NoSteadyState> {
        let turn = if self.net.mirror.is_some() { PI } else { TAU };
        let count = if self.net.mirror.is_some() { SCAN / 2 } else { SCAN };
        // With chokes the current may still grow from period to period; without, the first pulse is the greatest.
        let watched = if self.chokes { PERIODS_WATCHED } else { 1 };
        let step = turn / f64::from(count);
        let mut scan = Vec::new();
        for k in 0..count {
            scan.push(self.surges(f64::from(k) * step, watched)?);
        }
        let objectives: [fn(&Surge) -> f64; 3] =
            [|s| s.peak_a, |s| s.i2t_half_cycle_a2s, |s| s.i2t_cycle_a2s];
        let mut all = Vec::new();
        for group in groups {
            let mut found = [(0.0, 0.0); 3];
            for (best, of) in found.iter_mut().zip(objectives) {
                let objective = |each: &[Surge]| of(&Surge::over(each, group));
                let top = scan
                    .iter()
                    .map(|each| objective(each))
                    .enumerate()
                    .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
                let Some((at, value)) = top else { continue };
                let middle = at as f64 * step;
                *best = self.golden(middle - step, middle + step, watched, objective)?;
                if value > best.1 {
                    *best = (middle, value);
                }
            }
            let [(phase, peak), (_, half), (_, cycle)] = found;
            let long = if self.chokes {
                peak
            } else {
                Surge::over(&self.surges(phase, PERIODS_WATCHED)?, group).peak_a
            };
            all.push(SwitchOn {
                peak_a: peak.max(long),
                peak_phase_rad: phase.rem_euclid(turn),
                i2t_half_cycle_a2s: half,
                i2t_cycle_a2s: cycle,
                settle_cycles: None,
            });
        }
        Ok(all)
    }

    /// The state just after switch-on.
    pub(super) fn begin(&mut self, time: f64) -> Result<Place, NoSteadyState> {
        let now = Instant { full: &self.start.full, time, departures: &[] };
        let key = self
            .cache
            .place_loads(&self.net, self.start.key, now)
            .ok_or(NoSteadyState::NotFound { residual: f64::NAN, iterations: 0 })?;
        Ok(Place { full: self.start.full.clone(), key })
    }

    pub(super) fn run(
        &mut self,
        place: &mut Place,
        from: f64,
        to: f64,
    ) -> Result<Vec<Stretch>, NoSteadyState> {
        let mut stretches = Vec::new();
        run(&self.net, &mut self.cache, place, (from, to), None, |stretch| stretches.push(stretch))
            .ok_or(NoSteadyState::NotFound { residual: f64::NAN, iterations: 0 })?;
        Ok(stretches)
    }

    fn diodes(&self, stretches: &[Stretch]) -> Tally {
        let count = self.net.diodes.len();
        let rows = |mode: usize| {
            let entry = self.cache.entry(mode);
            let mut rows = Matrix::zeros(count, entry.equations.mesh.cols);
            for d in 0..count {
                rows.row_mut(d).copy_from_slice(entry.equations.mesh.row(d));
            }
            rows
        };
        let extremes: Vec<usize> = (0..count).collect();
        gather(
            &self.cache,
            self.net.omega,
            stretches,
            &Wish { rows: &rows, extremes: &extremes, products: &[] },
        )
    }

    /// Switches on at `phase` and watches for some periods: the surge of every diode.
    fn surges(&mut self, phase: f64, periods: u32) -> Result<Vec<Surge>, NoSteadyState> {
        let period = self.net.period();
        let start = phase / self.net.omega;
        let mut place = self.begin(start)?;
        let stretches = self.run(&mut place, start, start + 0.5 * period)?;
        let first = self.diodes(&stretches);
        let stretches = self.run(&mut place, start + 0.5 * period, start + period)?;
        let second = self.diodes(&stretches);
        let later = if periods > 1 {
            let stretches = self.run(&mut place, start + period, start + f64::from(periods) * period)?;
            self.diodes(&stretches).max
        } else {
            Vec::new()
        };
        let halves = first.square.iter().zip(&second.square).zip(first.max.iter().zip(&second.max));
        Ok(halves
            .enumerate()
            .map(|(diode, ((&half, &other), (&a, &b)))| Surge {
                peak_a: a.max(b).max(later.get(diode).copied().unwrap_or(0.0)).max(0.0),
                i2t_half_cycle_a2s: half,
                i2t_cycle_a2s: half + other,
            })
            .collect())
    }

    /// Golden section for the greatest value between two phases: where and how much.
    fn golden(
        &mut self,
        mut low: f64,
        mut high: f64,
        periods: u32,
        objective: impl Fn(&[Surge]) -> f64,
    ) -> Result<(f64, f64), NoSteadyState> {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let mut left = high - GOLDEN * (high - low);
        let mut right = low + GOLDEN * (high - low);
        let mut at_left = objective(&self.surges(left, periods)?);
        let mut at_right = objective(&self.surges(right, periods)?);
        while high - low > PHASE_TOLERANCE_RAD {
            if at_left < at_right {
                low = left;
                (left, at_left) = (right, at_right);
                right = low + GOLDEN * (high - low);
                at_right = objective(&self.surges(right, periods)?);
            } else {
                high = right;
                (right, at_right) = (left, at_left);
                left = high - GOLDEN * (high - low);
                at_left = objective(&self.surges(left, periods)?);
            }
        }
        Ok(if at_left < at_right { (right, at_right) } else { (left, at_left) })
    }

    /// Periods until the mean of every output of a group stays within 1 % of its steady value; `None` for a group that takes
    /// longer than is waited for.
    pub(super) fn settle(
        &mut self,
        rails: &[Spec],
        common: f64,
        groups: &[Vec<usize>],
    ) -> Result<Vec<Option<u32>>, NoSteadyState> {
        let steady = steady::seek(Network::of(rails, common)?)?;
        let means: Vec<f64> = steady
            .rail_figures(false)
            .iter()
            .flat_map(|figures| std::iter::once(&figures.output).chain(&figures.negative))
            .map(|output| output.load_mean_v)
            .collect();
        let period = self.net.period();
        let mut place = self.begin(0.0)?;
        let mut all: Vec<(Option<u32>, u32)> = vec![(None, 0); groups.len()];
        for n in 0..SETTLE_PERIODS_MAX {
            let from = f64::from(n) * period;
            let stretches = self.run(&mut place, from, from + period)?;
            let sums = self.load_voltages(&stretches).sum;
            let apart: Vec<f64> = sums
                .iter()
                .zip(&means)
                .map(|(sum, mean)| (sum / period - mean).abs() / mean.abs().max(f64::MIN_POSITIVE))
                .collect();
            for ((settled_since, surely), group) in all.iter_mut().zip(groups) {
                let apart = group.iter().filter_map(|&output| apart.get(output)).copied().fold(0.0, f64::max);
                if apart > SETTLED {
                    *settled_since = None;
                } else if settled_since.is_none() {
                    *settled_since = Some(n);
                }
                *surely = if apart < SURELY_SETTLED { *surely + 1 } else { 0 };
            }
            if all.iter().all(|(_, surely)| *surely >= 3) {
                return Ok(all.into_iter().map(|(since, _)| since).collect());
            }
        }
        Ok(all.into_iter().map(|(since, surely)| since.filter(|_| surely >= 3)).collect())
    }

    fn load_voltages(&self, stretches: &[Stretch]) -> Tally {
        let rows = |mode: usize| {
            let equations = &self.cache.entry(mode).equations;
            let mut rows = Matrix::zeros(self.net.outputs.len(), equations.mesh.cols);
            for (o, output) in self.net.outputs.iter().enumerate() {
                rows.row_mut(o).copy_from_slice(&signal::load_voltage(&self.net, equations, output));
            }
            rows
        };
        gather(&self.cache, self.net.omega, stretches, &Wish { rows: &rows, extremes: &[], products: &[] })
    }
}

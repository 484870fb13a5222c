//! A network that is switched on again and again: its start, its surges, its settling.
//!
//! Every run is exact; the worst phase is found by a scan and then by golden section. Knows nothing of fuses or ratings.

use super::cache::{Cache, Instant};
use super::matrix::Matrix;
use super::mode::Key;
use super::network::Network;
use super::propagate::{Place, Stretch, run};
use super::signal;
use super::steady;
use super::switch_on::{
    Conditions, Outset, PERIODS_WATCHED, PHASE_TOLERANCE_RAD, SCAN, SETTLE_PERIODS_MAX, SETTLED,
    SURELY_SETTLED, Surge, SwitchOn,
};
use super::tally::{Tally, Wish, gather};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Load, Spec, Topology};
use std::f64::consts::{PI, TAU};

/// Looks within a step of the scan on either side of its greatest value.
const FINER: u32 = 4;

/// A network with its loads' knees, ready to be switched on again and again.
pub(super) struct Bench {
    pub(super) net: Network,
    pub(super) cache: Cache,
    start: Place,
    chokes: bool,
    /// Whether the primary is watched beside the diodes.
    primary: bool,
}

impl Bench {
    pub(super) fn of(spec: &Spec, conditions: &Conditions) -> Result<Self, NoSteadyState> {
        let common = spec.winding.common_resistance.0 + conditions.extra_resistance.0;
        Self::of_rails(std::slice::from_ref(spec), common, &conditions.outsets())
    }

    /// Rails behind a common resistance; how every output stands, counted over all rails.
    pub(super) fn of_rails(rails: &[Spec], common: f64, outsets: &[Outset]) -> Result<Self, NoSteadyState> {
        let net = Network::of(rails, common)?;
        // A rail of a core may have many times the turns of the first.
        let peaks = || rails.iter().map(|spec| spec.winding.emf_peak.0);
        let (lowest, highest) = (peaks().fold(f64::INFINITY, f64::min), peaks().fold(0.0, f64::max));
        let mut knees = Vec::new();
        let mut below_knee = 0;
        for (index, output) in net.outputs.iter().enumerate() {
            let (knee, residual) = outsets.get(index).map_or((0.0, 0.0), |one| (one.knee.0, one.residual.0));
            let (least, most) = (1e-6 * lowest, 2.0 * highest);
            match output.load {
                Load::Resistance(_) => knees.push(0.0),
                Load::Current(amps) if amps.0 == 0.0 => knees.push(0.0),
                Load::Current(_) | Load::Power(_) if !(knee >= least && knee <= most) => {
                    let what = "knee voltage of the load in V";
                    return Err(NoSteadyState::OutsideDomain { what, value: knee, low: least, high: most });
                }
                Load::Current(_) | Load::Power(_) => {
                    knees.push(knee);
                    below_knee |= u32::from(residual < knee) << index;
                }
            }
        }
        let mut full = vec![0.0; net.order()];
        let inductors = net.inductors.len();
        for (spec, rail) in rails.iter().zip(&net.rails) {
            for &index in &rail.outputs {
                let Some(output) = net.outputs.get(index) else { continue };
                let residual = outsets.get(index).map_or(0.0, |one| one.residual.0);
                let stacked = if spec.topology == Topology::FullWaveDoubler { 0.5 } else { 1.0 };
                for (nth, &cap) in output.first_caps.iter().enumerate() {
                    // The coupling capacitor of a cascade holds half of what the reservoir does.
                    let share =
                        if spec.topology == Topology::HalfWaveDoubler && nth == 1 { 0.5 } else { stacked };
                    full[inductors + cap] = share * residual;
                }
                if let Some(cap) = output.second_cap {
                    full[inductors + cap] = residual;
                }
            }
        }
        let chokes = net.outputs.iter().any(|output| output.choke.is_some());
        let reference = steady::reference(&net);
        let cache = Cache::new(&net, knees, reference);
        let start = Place { full, key: Key { diodes: 0, below_knee } };
        Ok(Self { net, cache, start, chokes, primary: false })
    }

    /// The same as [`Self::worst`], and the primary's.
    pub(super) fn worst_with_primary(
        &mut self,
        groups: &[Vec<usize>],
    ) -> Result<(Vec<SwitchOn>, Surge), NoSteadyState> {
        self.primary = true;
        let primary = vec![self.net.diodes.len()];
        let mut all = self.worst(&[groups, &[primary]].concat())?;
        let one = all.pop().unwrap_or_default();
        let surge = Surge {
            peak_a: one.peak_a,
            i2t_half_cycle_a2s: one.i2t_half_cycle_a2s,
            i2t_cycle_a2s: one.i2t_cycle_a2s,
        };
        Ok((all, surge))
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
                // Within a step there may be two crests: a finer look tells which is higher.
                let fine = step / f64::from(FINER);
                let (mut middle, mut most) = (at as f64 * step, value);
                for k in (1..FINER).flat_map(|k| [-f64::from(k), f64::from(k)]) {
                    let phase = at as f64 * step + k * fine;
                    let here = objective(&self.surges(phase, watched)?);
                    if here > most {
                        (middle, most) = (phase, here);
                    }
                }
                *best = self.golden(middle - fine, middle + fine, watched, objective)?;
                if most > best.1 {
                    *best = (middle, most);
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
                ..SwitchOn::default()
            });
        }
        Ok(all)
    }

    /// Places of the diodes of each rail.
    pub(super) fn diodes_of_rails(&self) -> Vec<Vec<usize>> {
        let of =
            |output: &usize| self.net.outputs.get(*output).map_or_else(Vec::new, |one| one.diodes.clone());
        self.net.rails.iter().map(|rail| rail.outputs.iter().flat_map(of).collect()).collect()
    }

    /// Switched on at one phase: the surge of every diode, and of the primary.
    pub(super) fn at_phase(&mut self, phase_rad: f64) -> Result<(Vec<Surge>, Surge), NoSteadyState> {
        self.primary = true;
        let mut each = self.surges(phase_rad, PERIODS_WATCHED)?;
        let primary = each.pop().unwrap_or_default();
        Ok((each, primary))
    }

    /// The state just after switch-on.
    pub(super) fn begin(&mut self, time: f64) -> Result<Place, NoSteadyState> {
        let now = Instant { full: &self.start.full, time, departures: &[] };
        let key = self.cache.place_loads(&self.net, self.start.key, now).ok_or_else(|| self.lost())?;
        Ok(Place { full: self.start.full.clone(), key })
    }

    pub(super) fn run(
        &mut self,
        place: &mut Place,
        from: f64,
        to: f64,
    ) -> Result<Vec<Stretch>, NoSteadyState> {
        let mut stretches = Vec::new();
        run(&self.net, &mut self.cache, place, (from, to), (&[], false), |stretch| stretches.push(stretch))
            .ok_or_else(|| self.lost())?;
        Ok(stretches)
    }

    /// Why a run after switch-on did not come to its end.
    fn lost(&self) -> NoSteadyState {
        match (self.cache.restless, self.cache.collapsed || self.net.draws_power()) {
            (true, _) => NoSteadyState::Restless,
            (false, true) => NoSteadyState::Collapsed,
            (false, false) => NoSteadyState::NotFound { residual: f64::NAN, iterations: 0 },
        }
    }

    /// Every diode's current, and the primary's behind them where it is watched.
    fn currents(&self, stretches: &[Stretch]) -> Tally {
        let diodes = self.net.diodes.len();
        let count = diodes + usize::from(self.primary);
        let rows = |mode: usize| {
            let entry = self.cache.entry(mode);
            let mut rows = Matrix::zeros(count, entry.equations.mesh.cols);
            for d in 0..diodes {
                rows.row_mut(d).copy_from_slice(entry.equations.mesh.row(d));
            }
            if self.primary {
                rows.row_mut(diodes)
                    .copy_from_slice(&signal::current(&entry.equations, &self.net.primary_row));
            }
            rows
        };
        let extremes: Vec<usize> = (0..count).collect();
        gather(
            &self.cache,
            self.net.omega,
            stretches,
            &Wish { rows: &rows, integrals: &extremes, extremes: &extremes, products: &[] },
        )
    }

    /// Switches on at `phase` and watches for some periods: the surge of every diode.
    pub(super) fn surges(&mut self, phase: f64, periods: u32) -> Result<Vec<Surge>, NoSteadyState> {
        let period = self.net.period();
        let start = phase / self.net.omega;
        let mut place = self.begin(start)?;
        let stretches = self.run(&mut place, start, start + 0.5 * period)?;
        let first = self.currents(&stretches);
        let stretches = self.run(&mut place, start + 0.5 * period, start + period)?;
        let second = self.currents(&stretches);
        let later = if periods > 1 {
            let stretches = self.run(&mut place, start + period, start + f64::from(periods) * period)?;
            peaks(&self.currents(&stretches))
        } else {
            Vec::new()
        };
        let halves =
            first.square.iter().zip(&second.square).zip(peaks(&first).into_iter().zip(peaks(&second)));
        Ok(halves
            .enumerate()
            .map(|(diode, ((&half, &other), (a, b)))| Surge {
                peak_a: a.max(b).max(later.get(diode).copied().unwrap_or(0.0)),
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
        let integrals: Vec<usize> = (0..self.net.outputs.len()).collect();
        let wish = Wish { rows: &rows, integrals: &integrals, extremes: &[], products: &[] };
        gather(&self.cache, self.net.omega, stretches, &wish)
    }
}

/// The greatest of each current, either way.
fn peaks(tally: &Tally) -> Vec<f64> {
    tally.max.iter().zip(&tally.min).map(|(&most, &least)| most.max(-least).max(0.0)).collect()
}

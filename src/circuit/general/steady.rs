//! The periodic steady state: the state that a mains period (of a full-wave circuit, half of one) leads back to itself.
//!
//! Newton on the cycle map with its exact derivative; where a step does not help, the circuit is simply let run, which
//! cannot lead away: the network only dissipates differences.

use super::cache::{Cache, Instant};
use super::detour::settle;
use super::guess;
use super::matrix::{Matrix, dot};
use super::mode::Key;
use super::network::Network;
use super::power;
use super::propagate::{Met, Place, Stretch, run};
use super::raise;
use super::starved;
use super::tangent::jacobian;
use crate::circuit::figures::NoSteadyState;

/// Residual, relative to the EMF peak, at which the search ends well.
const RESIDUAL_GOOD: f64 = 1e-15;
/// Residual with which an answer is still given.
const RESIDUAL_ACCEPTED: f64 = 1e-10;
/// Residual below which a step that does not halve it ends the search.
const FLOOR: f64 = 1e-11;
/// A run that knows of none before it.
const AFRESH: (&[Met], bool) = (&[], false);
/// Residual above which the events of the last run are no guide to the next.
const GUIDED: f64 = 1e-2;
/// Newton steps that may pass without halving the energy of the residual.
const PATIENCE: u32 = 8;
/// Drain per cycle lent to a capacitor that nothing feeds.
const DRAIN: f64 = 1e-9;
/// A step of so many EMF peaks was divided by rounding: such a capacitor is among the states.
const STEP_OF_ROUNDING: f64 = 1e3;
/// Greatest change of a capacitor voltage in one Newton step, in EMF peaks.
const STEP_MAX: f64 = 0.7;
/// Runs of the cycle map before the search is given up.
pub(super) const RUNS_MAX: u32 = 600;

/// A steady state in closed form, stretch by stretch.
#[derive(Clone, Debug)]
pub struct Steady {
    pub(super) net: Network,
    pub(super) cache: Cache,
    /// Stretches over `span`.
    pub(super) stretches: Vec<Stretch>,
    /// A mains period, or half of one where the rest is its mirror image.
    pub(super) span: f64,
    pub(super) residual: f64,
    pub(super) iterations: u32,
    /// Times the circuit was let run because a Newton step did not help.
    pub(super) fallbacks: u32,
    /// Where the span starts: the place a search for a circuit much like it begins at.
    pub(super) place: Place,
}

/// One run of the cycle map.
struct Lap {
    arrived: Place,
    residual: f64,
    energy: f64,
    stretches: Vec<Stretch>,
    /// Whether it followed the events of another run where it could: no answer then.
    followed: bool,
    /// Whether it met what the run before it met.
    again: bool,
}

impl Steady {
    /// Cycle-map residual relative to the EMF peak.
    pub fn residual(&self) -> f64 {
        self.residual
    }
    /// Runs of the cycle map taken.
    pub fn iterations(&self) -> u32 {
        self.iterations
    }
    /// How often a Newton step did not help and the circuit was let run instead.
    pub fn fallbacks(&self) -> u32 {
        self.fallbacks
    }
}

/// Seeks the steady state of a network.
///
/// Where ideal diodes close a loop without resistance on the way, the search goes on with a trace of it, and ends without.
/// Loads of constant power have a search of their own: [`raise`].
pub(super) fn seek(net: Network) -> Result<Steady, NoSteadyState> {
    seek_from(net, None)
}

/// The same, from the steady state of a network that differs in values only.
pub(super) fn seek_from(net: Network, near: Option<&Steady>) -> Result<Steady, NoSteadyState> {
    if starved::is(&net) {
        return Err(NoSteadyState::Collapsed);
    }
    let mut search = Search::new(net);
    let near = near.filter(|near| near.place.full.len() == search.net.order());
    if search.net.draws_power() {
        return Ok(raise::seek(&search.net, near.map(|near| &near.place))?.finish());
    }
    if let Some(near) = near {
        search.place = near.place.clone();
        search.met = Met::of(&near.stretches);
    }
    settle(search).map(Search::finish)
}

/// A search as it goes on.
pub(super) struct Search {
    pub(super) net: Network,
    pub(super) cache: Cache,
    span: f64,
    pub(super) place: Place,
    residual: f64,
    pub(super) runs: u32,
    pub(super) runs_max: u32,
    pub(super) fallbacks: u32,
    pub(super) fallbacks_max: u32,
    /// What a run from nearly `place` met.
    met: Vec<Met>,
    /// The last run, from `place`.
    pub(super) stretches: Vec<Stretch>,
}

impl Search {
    pub(super) fn new(net: Network) -> Self {
        let cache = Cache::new(&net, Vec::new(), reference(&net));
        let span = if net.mirror.is_some() { 0.5 * net.period() } else { net.period() };
        let place = Place { full: guess::start(&net), key: Key { diodes: 0, below_knee: 0 } };
        Self {
            net,
            cache,
            span,
            place,
            residual: f64::INFINITY,
            runs: 0,
            runs_max: RUNS_MAX,
            fallbacks: 0,
            fallbacks_max: u32::MAX,
            met: Vec::new(),
            stretches: Vec::new(),
        }
    }

    fn failed(&self) -> NoSteadyState {
        if self.cache.collapsed {
            return NoSteadyState::Collapsed;
        }
        if self.cache.restless && !self.residual.is_finite() {
            return NoSteadyState::Restless;
        }
        NoSteadyState::NotFound { residual: self.residual, iterations: self.runs }
    }

    fn turn(&mut self, place: &Place, met: (&[Met], bool)) -> Option<Lap> {
        self.runs += 1;
        turn(&self.net, &mut self.cache, place, self.span, met)
    }

    /// A Newton step and the run from there, guided by the last run unless it is far away or the next may be the last.
    fn step(&mut self, place: &Place, lap: &Lap, before: f64) -> Option<(Place, Lap)> {
        let trial = newton(&self.net, &mut self.cache, place, lap)?;
        let foretold = lap.residual * lap.residual * (lap.residual / (before * before)).max(1.0);
        let guided = lap.again && lap.residual < GUIDED && foretold > RESIDUAL_GOOD;
        let met = Met::of(&lap.stretches);
        let found = self.turn(&trial, (&met, guided))?;
        let again = Met::again(&met, &found.stretches);
        Some((trial, Lap { again, ..found }))
    }

    /// Newton's steps, each taken even if the residual grows: from too high a voltage the first step always overshoots, and
    /// from below the way back is straight. Only when a patience runs out is the circuit let run from the best place so far.
    pub(super) fn converge(&mut self) -> Result<(), NoSteadyState> {
        let start = self.place.clone();
        let met = std::mem::take(&mut self.met);
        let mut lap = match self.turn(&start, (&met, true)) {
            None if !met.is_empty() => self.turn(&start, AFRESH),
            lap => lap,
        }
        .ok_or(self.failed())?;
        lap.again = Met::again(&met, &lap.stretches);
        let mut before = f64::INFINITY;
        let mut place = start;
        let mut best = (lap.energy, place.clone());
        let mut patience = PATIENCE;
        let mut let_run = 1_u32;
        loop {
            self.residual = lap.residual;
            if lap.residual < RESIDUAL_GOOD || self.runs >= self.runs_max {
                if !lap.followed {
                    break;
                }
                let met = Met::of(&lap.stretches);
                lap = self.turn(&place, (&met, false)).ok_or(self.failed())?;
                continue;
            }
            let next = if patience > 0 { self.step(&place, &lap, before) } else { None };
            if let Some((trial, found)) = next {
                // At the floor of rounding a step no longer helps.
                let at_floor = found.residual < FLOOR && lap.residual < FLOOR;
                if at_floor && found.residual >= 0.5 * lap.residual && !lap.followed {
                    break;
                }
                before = lap.residual;
                (place, lap) = (trial, found);
                patience -= 1;
            } else {
                if self.fallbacks >= self.fallbacks_max {
                    return Err(self.failed());
                }
                self.fallbacks += 1;
                place = best.1.clone();
                lap = self.turn(&place, AFRESH).ok_or(self.failed())?;
                for _ in 0..let_run {
                    place = lap.arrived;
                    lap = self.turn(&place, AFRESH).ok_or(self.failed())?;
                }
                before = f64::INFINITY;
                let_run = (let_run * 2).min(64);
                patience = PATIENCE;
                best = (lap.energy, place.clone());
            }
            if lap.energy < 0.5 * best.0 {
                best = (lap.energy, place.clone());
                patience = PATIENCE;
            }
        }
        self.place = place;
        self.stretches = lap.stretches;
        if self.residual < RESIDUAL_ACCEPTED { Ok(()) } else { Err(self.failed()) }
    }

    pub(super) fn finish(self) -> Steady {
        let Self { net, cache, span, place, residual, runs: iterations, fallbacks, stretches, .. } = self;
        Steady { net, cache, stretches, span, residual, iterations, fallbacks, place }
    }
}

/// A current about which each constant-power load departs.
pub(super) fn reference(net: &Network) -> Vec<f64> {
    (0..net.outputs.len()).map(|output| power::watts(net, output) / net.emf_peak).collect()
}

/// One run of the cycle map from `place`.
fn turn(net: &Network, cache: &mut Cache, place: &Place, span: f64, met: (&[Met], bool)) -> Option<Lap> {
    let mut arrived = place.clone();
    let mut stretches = Vec::with_capacity(met.0.len());
    run(net, cache, &mut arrived, (0.0, span), met, |stretch| stretches.push(stretch))?;
    if let Some(mirror) = &net.mirror {
        arrived = mirror.place(&arrived);
    }
    let inductors = net.inductors.len();
    let (mut residual, mut energy) = (0.0_f64, 0.0_f64);
    for (i, (after, before)) in arrived.full.iter().zip(&place.full).enumerate() {
        let apart = after - before;
        if i < inductors {
            // An inductor current counts by the voltage that turns it round within a radian.
            let henries = net.inductors[i].henries;
            residual = residual.max((apart * henries * net.omega).abs() / net.emf_peak);
            energy += henries * apart * apart;
        } else {
            residual = residual.max(apart.abs() / net.emf_peak);
            energy += net.capacitors[i - inductors].farads * apart * apart;
        }
    }
    Some(Lap { arrived, residual, energy, stretches, followed: met.1 && !met.0.is_empty(), again: false })
}

/// The Newton step, made consistent with the paths that can conduct.
fn newton(net: &Network, cache: &mut Cache, place: &Place, lap: &Lap) -> Option<Place> {
    let n = net.order();
    let mut system = Matrix::identity(n);
    let mut leads = jacobian(net, cache, &lap.stretches)?;
    if let Some(mirror) = &net.mirror {
        leads = mirror.rows(&leads);
    }
    for i in 0..n {
        system.add_to_row(i, -1.0, leads.row(i));
    }
    let right: Vec<f64> =
        lap.arrived.full.iter().zip(&place.full).map(|(after, before)| after - before).collect();
    let longest =
        |step: &[f64]| step[net.inductors.len()..].iter().fold(0.0_f64, |top, volts| top.max(volts.abs()));
    let sound = |step: &Vec<f64>| {
        step.iter().all(|value| value.is_finite()) && longest(step) < STEP_OF_ROUNDING * net.emf_peak
    };
    // A capacitor that a constant current drains and nothing feeds has no cycle of its own: down, until it is fed again.
    let step = system.solve_vector(&right).filter(sound).or_else(|| {
        for i in 0..n {
            system[(i, i)] += DRAIN;
        }
        system.solve_vector(&right)
    })?;
    let share = (STEP_MAX * net.emf_peak / longest(&step)).min(1.0);
    let full: Vec<f64> = place.full.iter().zip(&step).map(|(value, step)| value + share * step).collect();
    if full.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mut next = Place { full, key: place.key };
    consistent(net, cache, &mut next, lap.arrived.key)?;
    Some(next)
}

/// Inductor currents that the conducting paths can carry: no path current below zero.
fn consistent(net: &Network, cache: &mut Cache, place: &mut Place, key: Key) -> Option<()> {
    place.key = key;
    let at = cache.find(net, key)?;
    let equations = &cache.entry(at).equations;
    let z = super::cache::inputs(equations, &place.full, net.inductors.len(), 0.0, &[]);
    let mut mesh = equations.mesh.apply(&z);
    for current in mesh.iter_mut().take(net.diodes.len()) {
        *current = current.max(0.0);
    }
    for (i, inductor) in net.inductors.iter().enumerate() {
        place.full[i] = dot(&inductor.row, &mesh);
    }
    let now = Instant { full: &place.full, time: 0.0, departures: &[] };
    let at = cache.select(net, key, now, None)?;
    place.key = cache.entry(at).key;
    Some(())
}

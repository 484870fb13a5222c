//! The periodic steady state: the state that a mains period (of a full-wave circuit, half of one) leads back to itself.
//!
//! Newton on the cycle map with its exact derivative; where a step does not help, the circuit is simply let run, which
//! cannot lead away: the network only dissipates differences.

use super::cache::{Cache, Instant};
use super::guess;
use super::matrix::{Matrix, dot};
use super::mode::Key;
use super::network::Network;
use super::propagate::{Place, Stretch, run};
use crate::circuit::figures::NoSteadyState;

/// Residual, relative to the EMF peak, at which the search ends well.
const RESIDUAL_GOOD: f64 = 1e-13;
/// Residual with which an answer is still given.
const RESIDUAL_ACCEPTED: f64 = 1e-10;
/// Runs of the cycle map before the search is given up.
const RUNS_MAX: u32 = 400;

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
}

/// One run of the cycle map.
struct Lap {
    arrived: Place,
    jacobian: Matrix,
    residual: f64,
    energy: f64,
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
pub(super) fn seek(net: Network) -> Result<Steady, NoSteadyState> {
    let mut cache = Cache::new(&net, Vec::new(), Vec::new());
    let span = if net.mirror.is_some() { 0.5 * net.period() } else { net.period() };
    let full = guess::start(&net);
    let mut place = Place { full, key: Key { diodes: 0, below_knee: 0 } };
    let mut runs = 0;
    let mut fallbacks = 0;
    let failed = |residual: f64, runs: u32| NoSteadyState::NotFound { residual, iterations: runs };
    let mut lap = turn(&net, &mut cache, &place, span).ok_or(failed(f64::INFINITY, 0))?;
    let mut let_run = 1_u32;
    while runs < RUNS_MAX {
        runs += 1;
        if lap.residual < RESIDUAL_GOOD {
            break;
        }
        let trial = newton(&net, &mut cache, &place, &lap);
        let next = trial.and_then(|trial| {
            let lap = turn(&net, &mut cache, &trial, span)?;
            Some((trial, lap))
        });
        match next {
            Some((trial, found)) if found.energy < 0.5 * lap.energy => {
                place = trial;
                lap = found;
            }
            // At the floor of rounding a step no longer helps.
            Some((trial, found)) if found.residual < 1e-11 && lap.residual < 1e-11 => {
                if found.residual < lap.residual {
                    place = trial;
                    lap = found;
                }
                break;
            }
            _ => {
                fallbacks += 1;
                for _ in 0..let_run {
                    place = lap.arrived.clone();
                    lap = turn(&net, &mut cache, &place, span).ok_or(failed(lap.residual, runs))?;
                }
                runs += let_run;
                let_run = (let_run * 2).min(32);
            }
        }
    }
    if lap.residual.is_nan() || lap.residual > RESIDUAL_ACCEPTED {
        return Err(failed(lap.residual, runs));
    }
    let mut stretches = Vec::new();
    run(&net, &mut cache, &mut place, (0.0, span), None, |stretch| stretches.push(stretch.clone()))
        .ok_or(failed(lap.residual, runs))?;
    Ok(Steady { net, cache, stretches, span, residual: lap.residual, iterations: runs, fallbacks })
}

/// One run of the cycle map from `place`.
fn turn(net: &Network, cache: &mut Cache, place: &Place, span: f64) -> Option<Lap> {
    let mut arrived = place.clone();
    let mut jacobian = Matrix::identity(net.order());
    run(net, cache, &mut arrived, (0.0, span), Some(&mut jacobian), |_| {})?;
    if let Some(mirror) = &net.mirror {
        arrived = mirror.place(&arrived);
        jacobian = mirror.rows(&jacobian);
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
    Some(Lap { arrived, jacobian, residual, energy })
}

/// The Newton step, made consistent with the paths that can conduct.
fn newton(net: &Network, cache: &mut Cache, place: &Place, lap: &Lap) -> Option<Place> {
    let n = net.order();
    let mut system = Matrix::identity(n);
    for i in 0..n {
        system.add_to_row(i, -1.0, lap.jacobian.row(i));
    }
    let right: Vec<f64> =
        lap.arrived.full.iter().zip(&place.full).map(|(after, before)| after - before).collect();
    let step = system.solve_vector(&right)?;
    let full: Vec<f64> = place.full.iter().zip(&step).map(|(value, step)| value + step).collect();
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
    let mut z = super::cache::reduce(equations, &place.full, net.inductors.len());
    z.push(0.0);
    z.push(1.0);
    z.resize(equations.mesh.cols, 0.0);
    let mut mesh = equations.mesh.apply(&z);
    for current in mesh.iter_mut().take(net.diodes.len()) {
        *current = current.max(0.0);
    }
    for (i, inductor) in net.inductors.iter().enumerate() {
        place.full[i] = dot(&inductor.row, &mesh);
    }
    let now = Instant { full: &place.full, time: 0.0, departures: &[] };
    let at = cache.select(net, key, now)?;
    place.key = cache.entry(at).key;
    Some(())
}

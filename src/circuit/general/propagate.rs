//! From one instant to another through every mode on the way, and how the arrival depends on the start.
//!
//! Knows nothing of what is sought.

use super::cache::{Cache, Instant, expand, reduce};
use super::event::Guards;
use super::matrix::{Matrix, dot};
use super::modal::Amplitudes;
use super::mode::Key;
use super::network::{Mirror, Network};

/// A time during which one mode holds.
#[derive(Clone, Debug)]
pub(super) struct Stretch {
    /// The mode's place in the cache.
    pub(super) mode: usize,
    /// When it starts, s from the zero of the EMF.
    pub(super) start: f64,
    pub(super) length: f64,
    pub(super) amplitudes: Amplitudes,
}

/// State of everything at one instant.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// Inductor currents, then capacitor voltages.
    pub(super) full: Vec<f64>,
    /// The mode that held last.
    pub(super) key: Key,
}

/// Events in one run beyond which it is given up.
const EVENTS_MAX: usize = 3_000;

/// A stretch shorter than this share of a period is an instant; so many in a row lead nowhere.
const INSTANT: f64 = 1e-9;
const INSTANTS_MAX: u32 = 100;

/// After a few instants in a row two modes contradict each other within rounding: a moment, as a share of a period, during
/// which events are not looked for, lets the circuit itself decide. It grows until it does.
fn blind(instants: u32) -> f64 {
    if instants < 8 { 0.0 } else { 1e-15 * f64::from(2_u32.pow((instants - 8).min(20))) }
}

/// Runs from `start` to `end` (s), hands every stretch to `visit`; `jacobian`, if any, is carried along.
/// `None` where no mode is right or the events never end.
pub(super) fn run(
    net: &Network,
    cache: &mut Cache,
    place: &mut Place,
    (start, end): (f64, f64),
    mut jacobian: Option<&mut Matrix>,
    mut visit: impl FnMut(&Stretch),
) -> Option<()> {
    let mut time = start;
    let inductors = net.inductors.len();
    // Slope of the full state just before the last event, and the shift of the event with the start.
    let mut pending: Option<(Vec<f64>, Vec<f64>)> = None;
    let mut fresh = None;
    let mut instant = 0;
    for _ in 0..EVENTS_MAX {
        let at = cache.select(net, place.key, Instant { full: &place.full, time, departures: &[] }, fresh)?;
        cache.prepare(net, at)?;
        let entry = cache.entry(at);
        place.key = entry.key;
        let equations = &entry.equations;
        let state = reduce(equations, &place.full, inductors);
        if let (Some(jacobian), Some((before, shift))) = (jacobian.as_deref_mut(), pending.take()) {
            let after = full_slope(equations, &state, net.omega * time);
            for (i, (b, a)) in before.iter().zip(&after).enumerate() {
                jacobian.add_to_row(i, b - a, &shift);
            }
        }
        let ready = cache.ready(at)?;
        let theta = net.omega * time;
        let amplitudes = ready.modal.start(&state, theta);
        let guards = Guards::new(&ready.modal, &ready.guard, &amplitudes, theta, net.omega);
        let left = end - time;
        let event = guards.first(left);
        let length = event.map_or(left, |(when, _)| when.max(blind(instant) * net.period()).min(left));

        let mut basis = vec![0.0; ready.modal.basis_len()];
        ready.modal.basis(length, theta + net.omega * length, &mut basis);
        let mut curve = vec![0.0; basis.len()];
        let arrived: Vec<f64> = (0..state.len())
            .map(|i| {
                ready.modal.curve(ready.state.row(i), &amplitudes, &mut curve);
                dot(&curve, &basis)
            })
            .collect();
        place.full = expand(equations, &arrived);
        if place.full.iter().any(|value| !value.is_finite()) {
            return None;
        }
        if let Some(jacobian) = jacobian.as_deref_mut() {
            let moved = carry(equations, &ready.modal.transition(length), jacobian, inductors);
            if let Some((when, guard)) = event {
                let slope = guards.slope(guard, when);
                let row = &ready.gradient.row(guard)[..state.len()];
                let mut shift = vec![0.0; moved.cols];
                for (i, &share) in row.iter().enumerate() {
                    for (into, &from) in shift.iter_mut().zip(moved.row(i)) {
                        *into -= share * from / slope;
                    }
                }
                if shift.iter().all(|value| value.is_finite()) {
                    pending = Some((full_slope(equations, &arrived, theta + net.omega * length), shift));
                }
            }
            *jacobian = spread(equations, &moved, inductors);
        }
        visit(&Stretch { mode: at, start: time, length, amplitudes });
        let Some((_, guard)) = event else { return Some(()) };
        time += length;
        instant = if length > INSTANT * net.period() { 0 } else { instant + 1 };
        if time >= end {
            return Some(());
        }
        if instant > INSTANTS_MAX {
            return None;
        }
        fresh = Some(guard);
        if guard < net.diodes.len() {
            place.key = place.key.toggled(guard);
        } else if let Some(output) = cache.knee_of_guard(net, guard) {
            place.key.below_knee ^= 1 << output;
        }
    }
    None
}

/// Time derivative of the full state.
fn full_slope(equations: &super::mode::Equations, state: &[f64], theta: f64) -> Vec<f64> {
    let mut z = state.to_vec();
    z.push(theta.sin());
    z.push(1.0);
    z.resize(equations.rate.cols, 0.0);
    let nq = equations.free.len();
    let mut slope = equations.inductor_rate.apply(&z);
    slope.extend((nq..state.len()).map(|i| dot(equations.rate.row(i), &z)));
    slope
}

/// Rows of the free state after the stretch.
fn carry(equations: &super::mode::Equations, transition: &Matrix, full: &Matrix, inductors: usize) -> Matrix {
    let mut free = Matrix::zeros(equations.order(), full.cols);
    let nq = equations.free.len();
    for (i, &inductor) in equations.free.iter().enumerate() {
        free.row_mut(i).copy_from_slice(full.row(inductor));
    }
    for i in nq..equations.order() {
        free.row_mut(i).copy_from_slice(full.row(inductors + i - nq));
    }
    transition.times(&free)
}

/// Rows of the full state out of those of the free one.
fn spread(equations: &super::mode::Equations, free: &Matrix, inductors: usize) -> Matrix {
    let nq = equations.free.len();
    let mut full = Matrix::zeros(inductors + equations.order() - nq, free.cols);
    for i in 0..inductors {
        for j in 0..nq {
            full.add_to_row(i, equations.embed[(i, j)], free.row(j));
        }
    }
    for i in nq..equations.order() {
        full.row_mut(inductors + i - nq).copy_from_slice(free.row(i));
    }
    full
}

impl Mirror {
    /// The place half a period later, seen in the mirror: the same as now in the steady state.
    pub(super) fn place(&self, place: &Place) -> Place {
        let nl = self.inductors.len();
        let full = self
            .inductors
            .iter()
            .map(|&(from, sign)| sign * place.full[from])
            .chain(self.capacitors.iter().map(|&from| place.full[nl + from]))
            .collect();
        let mut diodes = 0;
        for (diode, &from) in self.diodes.iter().enumerate() {
            diodes |= u32::from(place.key.conducts(from)) << diode;
        }
        Place { full, key: Key { diodes, ..place.key } }
    }

    /// The same for the rows of a jacobian.
    pub(super) fn rows(&self, jacobian: &Matrix) -> Matrix {
        let nl = self.inductors.len();
        let mut turned = Matrix::zeros(jacobian.rows, jacobian.cols);
        for (i, &(from, sign)) in self.inductors.iter().enumerate() {
            turned.add_to_row(i, sign, jacobian.row(from));
        }
        for (i, &from) in self.capacitors.iter().enumerate() {
            turned.row_mut(nl + i).copy_from_slice(jacobian.row(nl + from));
        }
        turned
    }
}

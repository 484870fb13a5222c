//! How the arrival of a run depends on its start: the exact derivative, carried through every stretch and every event.
//!
//! An event at which a guard `h` turns negative shifts with the start; the state jumps in slope there, so the derivative takes
//! on `(f⁻ − f⁺) ∇h/ḣ`. Knows nothing of what is sought.

use super::angle::sin_cos;
use super::cache::{Cache, Ready};
use super::matrix::{Matrix, dot};
use super::modal::SMALL;
use super::mode::Equations;
use super::network::Network;
use super::power;
use super::propagate::Stretch;

/// Derivative of the full state at the end of the stretches by that at their start.
pub(super) fn jacobian(net: &Network, cache: &Cache, stretches: &[Stretch]) -> Option<Matrix> {
    let inductors = net.inductors.len();
    let mut full = Matrix::identity(net.order());
    let mut free = Matrix::default();
    let mut moved = Matrix::default();
    let mut room = Matrix::default();
    let (mut before, mut after, mut z) = (Vec::<f64>::new(), Vec::<f64>::new(), Vec::<f64>::new());
    // Shift of the last event with the start.
    let mut shift = vec![0.0; net.order()];
    let mut pending = false;
    for (nth, stretch) in stretches.iter().enumerate() {
        let equations = &cache.entry(stretch.mode).equations;
        let ready = cache.ready(stretch.mode)?;
        let theta = net.omega * stretch.start;
        if pending {
            let departures = departures_at(stretch, 0.0);
            full_slope(equations, &stretch.from, theta, &departures, &mut z, &mut after);
            for (i, (b, a)) in before.iter().zip(&after).enumerate() {
                full.add_to_row(i, b - a, &shift);
            }
            pending = false;
        }
        let end = theta + net.omega * stretch.length;
        gather(equations, &full, inductors, &mut free);
        if equations.departing.is_empty() {
            ready.modal.carry(&stretch.basis, &free, &mut room, &mut moved);
        } else {
            let mut transition = ready.modal.transition(&stretch.basis);
            for (load, &output) in equations.departing.iter().enumerate() {
                let span = (theta, stretch.length);
                power::lean(net, output, ready, load, span, &mut transition, &stretch.amplitudes);
            }
            transition.times_into(&free, &mut moved);
        }
        if let Some(guard) = stretch.event.filter(|_| nth + 1 < stretches.len()) {
            let slope = guard_slope(ready, stretch, guard);
            let row = &ready.gradient.row(guard)[..stretch.to.len()];
            shift.fill(0.0);
            for (i, &share) in row.iter().enumerate() {
                if share != 0.0 {
                    for (into, &from) in shift.iter_mut().zip(moved.row(i)) {
                        *into -= share * from / slope;
                    }
                }
            }
            if shift.iter().all(|value| value.is_finite()) {
                let departures = departures_at(stretch, net.omega * stretch.length);
                full_slope(equations, &stretch.to, end, &departures, &mut z, &mut before);
                pending = true;
            }
        }
        spread(equations, &moved, inductors, &mut full);
    }
    Some(full)
}

/// Time derivative of a guard at the end of a stretch.
fn guard_slope(ready: &Ready, stretch: &Stretch, guard: usize) -> f64 {
    let (mut small, mut large) = ([0.0; 2 * SMALL], Vec::new());
    let len = stretch.basis.len();
    let room = if len <= SMALL {
        &mut small[..2 * len]
    } else {
        large.resize(2 * len, 0.0);
        &mut large[..]
    };
    let (curve, slope) = room.split_at_mut(len);
    ready.modal.curve(ready.guard.row(guard), &stretch.amplitudes, curve);
    ready.modal.derivative(curve, slope);
    dot(slope, &stretch.basis)
}

/// Departures of the load currents at a phase passed.
fn departures_at(stretch: &Stretch, phase: f64) -> Vec<f64> {
    let powers = &stretch.amplitudes.departures;
    (0..powers.rows).map(|load| power::value(powers.row(load), phase)).collect()
}

/// Time derivative of the full state.
fn full_slope(
    equations: &Equations,
    state: &[f64],
    theta: f64,
    departures: &[f64],
    z: &mut Vec<f64>,
    slope: &mut Vec<f64>,
) {
    z.clear();
    z.extend_from_slice(state);
    z.push(sin_cos(theta).0);
    z.push(1.0);
    z.extend_from_slice(departures);
    z.resize(equations.rate.cols, 0.0);
    slope.clear();
    slope.extend((0..equations.inductor_rate.rows).map(|i| dot(equations.inductor_rate.row(i), z)));
    slope.extend((equations.free.len()..state.len()).map(|i| dot(equations.rate.row(i), z)));
}

/// Rows of the free state out of those of the full one.
fn gather(equations: &Equations, full: &Matrix, inductors: usize, free: &mut Matrix) {
    free.reset(equations.order(), full.cols);
    let nq = equations.free.len();
    for (i, &inductor) in equations.free.iter().enumerate() {
        free.row_mut(i).copy_from_slice(full.row(inductor));
    }
    for i in nq..equations.order() {
        free.row_mut(i).copy_from_slice(full.row(inductors + i - nq));
    }
}

/// Rows of the full state out of those of the free one.
fn spread(equations: &Equations, free: &Matrix, inductors: usize, full: &mut Matrix) {
    let nq = equations.free.len();
    full.reset(inductors + equations.order() - nq, free.cols);
    for i in 0..inductors {
        for j in 0..nq {
            full.add_to_row(i, equations.embed[(i, j)], free.row(j));
        }
    }
    for i in nq..equations.order() {
        full.row_mut(inductors + i - nq).copy_from_slice(free.row(i));
    }
}

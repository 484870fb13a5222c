//! From one instant to another through every mode on the way, and how the arrival depends on the start.
//!
//! Knows nothing of what is sought.

use super::cache::{Cache, Instant, expand, reduce};
use super::event::Guards;
use super::matrix::{Matrix, dot};
use super::modal::Amplitudes;
use super::mode::Key;
use super::network::Network;
use super::power;

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
    mut visit: impl FnMut(Stretch),
) -> Option<()> {
    let mut time = start;
    let inductors = net.inductors.len();
    // Slope of the full state just before the last event, and the shift of the event with the start.
    let mut pending: Option<(Vec<f64>, Vec<f64>)> = None;
    let mut fresh = None;
    let mut instant = 0;
    let power = net.draws_power();
    let mut departures = Vec::new();
    let mut holds = None;
    let mut stride = net.period();
    for _ in 0..EVENTS_MAX {
        let at = if let Some(at) = holds {
            at
        } else {
            if power {
                let Some(found) = power::departures(net, cache, place, time) else {
                    cache.collapsed = true;
                    return None;
                };
                departures = found;
            }
            let now = Instant { full: &place.full, time, departures: &departures };
            cache.select(net, place.key, now, fresh)?
        };
        cache.prepare(net, at)?;
        let entry = cache.entry(at);
        place.key = entry.key;
        let equations = &entry.equations;
        let state = reduce(equations, &place.full, inductors);
        if let (Some(jacobian), Some((before, shift))) = (jacobian.as_deref_mut(), pending.take()) {
            let after = full_slope(equations, &state, net.omega * time, &departures);
            for (i, (b, a)) in before.iter().zip(&after).enumerate() {
                jacobian.add_to_row(i, b - a, &shift);
            }
        }
        let ready = cache.ready(at)?;
        let theta = net.omega * time;
        let mut amplitudes = ready.modal.start(&state, theta);
        let mut left = end - time;
        let loads = &equations.departing;
        if !loads.is_empty() {
            stride = (2.0 * stride).min(power::panel(net, &ready.modal));
            let start = amplitudes.clone();
            loop {
                let length = left.min(stride);
                let Some(off) = power::fit(net, cache, loads, ready, &mut amplitudes, (theta, length)) else {
                    cache.collapsed = true;
                    return None;
                };
                if off <= power::OFF || stride < power::PANEL_LEAST * net.period() {
                    left = length;
                    break;
                }
                stride = 0.5 * length;
                amplitudes.clone_from(&start);
            }
        }
        let guards = Guards::new(&ready.modal, &ready.guard, &amplitudes, theta, net.omega);
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
            let mut transition = ready.modal.transition(length);
            for (load, &output) in loads.iter().enumerate() {
                power::lean(net, output, ready, load, (theta, length), &mut transition, &amplitudes);
            }
            let moved = carry(equations, &transition, jacobian, inductors);
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
                    let ends: Vec<f64> = (0..loads.len())
                        .map(|load| power::value(amplitudes.departures.row(load), net.omega * length))
                        .collect();
                    let slope = full_slope(equations, &arrived, theta + net.omega * length, &ends);
                    pending = Some((slope, shift));
                }
            }
            *jacobian = spread(equations, &moved, inductors);
        }
        let loads_empty = loads.is_empty();
        visit(Stretch { mode: at, start: time, length, amplitudes });
        time += length;
        let Some((_, guard)) = event else {
            if time >= end || loads_empty {
                return Some(());
            }
            holds = Some(at);
            continue;
        };
        holds = None;
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
fn full_slope(equations: &super::mode::Equations, state: &[f64], theta: f64, departures: &[f64]) -> Vec<f64> {
    let mut z = state.to_vec();
    z.push(theta.sin());
    z.push(1.0);
    z.extend_from_slice(departures);
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

//! Loads of constant power: the load current `P/v` over a short panel as a polynomial that reproduces itself.
//!
//! The polynomial is followed exactly through every motion of the mode; the load voltage that results gives the next
//! polynomial, and a few rounds end at rounding. Knows nothing of events.
//!
//! ```text
//! a' = λ a + q(x),  q a polynomial of the phase x passed
//! |λ| fast:  a = −p(0) e^(λt) + p(x),  p' = λ p + q          (polynomial solution, from the highest power down)
//! |λ| slow:  a = Σ d_k x^k,  d_(k+1) = (λ d_k + q_k)/(k+1)   (power series)
//! ```

use super::angle::sin_cos;
use super::cache::{Cache, Ready, inputs};
use super::eigen::Motion;
use super::matrix::{Matrix, axpy, dot};
use super::modal::{Amplitudes, Modal, POWERS};
use super::network::Network;
use super::propagate::Place;
use super::signal;
use crate::circuit::spec::Load;
use crate::numeric::complex::Complex;
use std::f64::consts::PI;

/// Degree of the polynomial.
const DEGREE: usize = 6;
/// Panels a mains period at least.
pub(super) const PANELS: f64 = 64.0;
/// Radians of a ringing motion that a panel may span.
const RING_REACH: f64 = 1.5;
/// Share of the load voltage below which a motion no longer rings.
const ALIVE: f64 = 1e-13;
/// Where the power is checked, as shares of the panel.
const BETWEEN: [f64; 2] = [0.035, 0.61];
/// A panel whose power is off by more, as a share of it, is too long.
pub(super) const OFF: f64 = 1e-12;
/// Panels before a longer one is tried again after it was too long.
pub(super) const HOLD: u32 = 2;
/// Panels are not halved below this share of a period.
pub(super) const PANEL_LEAST: f64 = 1e-7;
/// Panels shorter than this share of a period, so many in a row, lead a voltage down to nothing.
pub(super) const PANEL_SHORT: f64 = 1e-5;
pub(super) const SHORT_MAX: u32 = 150;
/// Rounds of one panel.
const ROUNDS_MAX: u32 = 60;
/// Change of a load current, as a share of it, at which a panel has settled.
const SETTLED: f64 = 4e-15;
/// Change below which rounds that no longer help have settled at rounding.
const ROUNDED: f64 = 1e-13;
/// Share of the last change that a round leaves at the most.
const CONTRACTS: f64 = 0.3;
/// Change of a load current, as a share of it, with which it is not drawn at all.
const UNDRAWN: f64 = 1e-9;
/// Load voltage, as a share of the EMF peak, below which a load of constant power counts as collapsed.
const COLLAPSED: f64 = 1e-3;

/// Power of a load, W; zero for others.
pub(super) fn watts(net: &Network, output: usize) -> f64 {
    match net.outputs[output].load {
        Load::Power(watts) => watts.0,
        Load::Resistance(_) | Load::Current(_) => 0.0,
    }
}

/// The longest panel: short against the mains and against every motion that the load voltage still rings with.
pub(super) fn panel(net: &Network, ready: &Ready, amplitudes: &Amplitudes, theta: f64) -> f64 {
    let modal = &ready.modal;
    let mut longest = net.period() / PANELS;
    let mut curve = vec![0.0; modal.basis_len()];
    let mut basis = curve.clone();
    modal.basis(0.0, theta, &mut basis);
    for load in 0..ready.departing.rows {
        modal.curve(ready.departing.row(load), amplitudes, &mut curve);
        let least = ALIVE * dot(&curve, &basis).abs();
        for motion in &modal.list {
            if let Motion::Ring { at, ring, .. } = *motion
                && curve[at].hypot(curve[at + 1]) > least
            {
                longest = longest.min(RING_REACH / ring.abs());
            }
        }
    }
    longest
}

/// The departures at an instant: each load voltage with the current that it gives rise to.
pub(super) fn departures(net: &Network, cache: &mut Cache, place: &Place, time: f64) -> Option<Vec<f64>> {
    let at = cache.find(net, place.key)?;
    let equations = &cache.entry(at).equations;
    let mut z = inputs(equations, &place.full, net.inductors.len(), sin_cos(net.omega * time).0, &[]);
    let fixed = equations.order() + 2;
    let mut change = f64::INFINITY;
    for _ in 0..ROUNDS_MAX {
        change = 0.0;
        for (load, &output) in equations.departing.iter().enumerate() {
            let row = signal::load_voltage(net, equations, &net.outputs[output]);
            let power = (watts(net, output), cache.reference(output));
            let (volts, next) = drawn(power, (dot(&row, &z), z[fixed + load]), row[fixed + load])
                .filter(|&(volts, _)| volts >= COLLAPSED * net.emf_peak)?;
            change = change
                .max((next - z[fixed + load]).abs() * volts / watts(net, output).max(f64::MIN_POSITIVE));
            z[fixed + load] = next;
        }
        if change <= SETTLED {
            break;
        }
    }
    // Behind a resistance of its own the last capacitor may hold less than the power asks.
    (change <= UNDRAWN).then(|| z[fixed..].to_vec())
}

/// Load voltage, and departure from the reference of the current that takes the power at it, where the voltage is known with another
/// departure and moves by `own` a unit of it: the higher root of `v² − b v − own P`; `None` where there is none.
fn drawn((power, reference): (f64, f64), (volts, with): (f64, f64), own: f64) -> Option<(f64, f64)> {
    let open = volts - own * (with + reference);
    let square = open * open + 4.0 * own * power;
    (square >= 0.0).then(|| {
        let volts = 0.5 * (open + square.sqrt());
        (volts, power / volts - reference)
    })
}

/// A polynomial at the phase `x` passed.
pub(super) fn value(powers: &[f64], x: f64) -> f64 {
    powers.iter().rev().fold(0.0, |sum, share| sum * x + share)
}

/// Lets the transition over a panel feel that the load draws less at a higher voltage: `δi = −(P/v²) δv`, taken at the middle
/// of the panel and held over it. Good to the square of the length of a panel, which is what a Newton step needs.
pub(super) fn lean(
    net: &Network,
    output: usize,
    ready: &Ready,
    load: usize,
    (theta, length): (f64, f64),
    transition: &mut Matrix,
    amplitudes: &Amplitudes,
) {
    let modal = &ready.modal;
    let half = 0.5 * length;
    let mut curve = vec![0.0; modal.basis_len()];
    modal.curve(ready.departing.row(load), amplitudes, &mut curve);
    let mut basis = vec![0.0; modal.basis_len()];
    modal.basis(half, theta + net.omega * half, &mut basis);
    let volts = dot(&curve, &basis);
    let slope = watts(net, output) / (volts * volts);
    let gradient = &ready.departing_gradient[load];
    let to_middle = modal.transition(&basis);
    let mut felt = vec![0.0; modal.order()];
    for (i, &share) in gradient.iter().enumerate() {
        axpy(&mut felt, share, to_middle.row(i));
    }
    let own = ready.departing[(load, modal.order() + 3 + load)] + dot(gradient, &modal.response(load, half));
    let factor = -slope / (1.0 + slope * own);
    let response = modal.response(load, length);
    for (i, &gain) in response.iter().enumerate() {
        transition.add_to_row(i, factor * gain, &felt);
    }
}

/// Fits the departing currents over a panel of `length` seconds: how far the power is off between the nodes, as a share of
/// it; `None` where the load collapses.
pub(super) fn fit(
    net: &Network,
    cache: &Cache,
    outputs: &[usize],
    ready: &Ready,
    amplitudes: &mut Amplitudes,
    (theta, length): (f64, f64),
) -> Option<f64> {
    let modal = &ready.modal;
    let reach = net.omega * length;
    let start = amplitudes.clone();
    let Nodes { at: nodes, spread } = cache.nodes();
    let mut bases = Vec::with_capacity(nodes.len());
    for node in nodes {
        let mut basis = vec![0.0; modal.basis_len()];
        modal.basis(node * length, theta + node * reach, &mut basis);
        bases.push(basis);
    }
    let mut curve = vec![0.0; modal.basis_len()];
    let mut last: Vec<Vec<f64>> = vec![vec![0.0; nodes.len()]; outputs.len()];
    let mut before = f64::INFINITY;
    for round in 0..ROUNDS_MAX {
        let mut change = 0.0_f64;
        for (load, &output) in outputs.iter().enumerate() {
            modal.curve(ready.departing.row(load), amplitudes, &mut curve);
            let (power, reference) = (watts(net, output), cache.reference(output));
            let own = ready.departing[(load, modal.order() + 3 + load)];
            for (value, basis) in last[load].iter_mut().zip(&bases) {
                let (volts, next) = drawn((power, reference), (dot(&curve, basis), *value), own)
                    .filter(|&(volts, _)| volts >= COLLAPSED * net.emf_peak)?;
                change = change.max((next - *value).abs() * volts / power.max(f64::MIN_POSITIVE));
                *value = next;
            }
        }
        if (change <= SETTLED || (change <= ROUNDED && change >= CONTRACTS * before)) && round > 0 {
            break;
        }
        if round > 2 && change >= CONTRACTS * before {
            // A panel over which the rounds hardly help is too long.
            return Some(f64::INFINITY);
        }
        before = change;
        amplitudes.clone_from(&start);
        for (load, values) in last.iter().enumerate() {
            let row = amplitudes.departures.row_mut(load);
            let mut scale = 1.0;
            for (power, shares) in spread.iter().enumerate() {
                row[power] = dot(shares, values) * scale;
                scale /= reach;
            }
        }
        follow(modal, amplitudes, net.omega, reach);
    }
    // Between the nodes the polynomial is checked, not trusted.
    let mut worst = 0.0_f64;
    let mut basis = vec![0.0; modal.basis_len()];
    for between in BETWEEN {
        modal.basis(between * length, theta + between * reach, &mut basis);
        for (load, &output) in outputs.iter().enumerate() {
            modal.curve(ready.departing.row(load), amplitudes, &mut curve);
            let drawn = value(amplitudes.departures.row(load), between * reach) + cache.reference(output);
            let power = watts(net, output);
            worst = worst.max((drawn * dot(&curve, &basis) - power).abs() / power.max(f64::MIN_POSITIVE));
        }
    }
    Some(worst)
}

/// Where a panel is fitted: Chebyshev nodes on 0..1, both ends included, and the rows that turn values there into powers.
#[derive(Clone, Debug, Default)]
pub(super) struct Nodes {
    at: Vec<f64>,
    spread: Vec<Vec<f64>>,
}

impl Nodes {
    pub(super) fn new() -> Self {
        let at: Vec<f64> =
            (0..=DEGREE).map(|j| 0.5 * (1.0 - (PI * j as f64 / DEGREE as f64).cos())).collect();
        // Distinct nodes: the matrix of their powers is regular.
        let spread = spread(&at).unwrap_or_default();
        Self { at, spread }
    }
}

/// Rows that turn values at the nodes into powers on 0..1.
fn spread(nodes: &[f64]) -> Option<Vec<Vec<f64>>> {
    let mut powers = Matrix::zeros(nodes.len(), nodes.len());
    for (i, node) in nodes.iter().enumerate() {
        let mut power = 1.0;
        for value in powers.row_mut(i) {
            *value = power;
            power *= node;
        }
    }
    let inverse = powers.inverse()?;
    Some((0..nodes.len()).map(|i| inverse.row(i).to_vec()).collect())
}

/// Adds the response to the departing currents.
fn follow(modal: &Modal, amplitudes: &mut Amplitudes, omega: f64, reach: f64) {
    let drive = |at: usize, power: usize, amplitudes: &Amplitudes| -> f64 {
        modal
            .departing_drive()
            .iter()
            .enumerate()
            .map(|(load, drive)| drive[at] * amplitudes.departures[(load, power)])
            .sum::<f64>()
            / omega
    };
    for motion in &modal.list {
        let (at, rate, twin) = match *motion {
            Motion::Decay { at, rate } => (at, Complex::new(rate / omega, 0.0), false),
            Motion::Ring { at, rate, ring } => (at, Complex::new(rate / omega, -ring / omega), true),
        };
        let forcing: Vec<Complex> = (0..=DEGREE)
            .map(|k| {
                Complex::new(drive(at, k, amplitudes), if twin { drive(at + 1, k, amplitudes) } else { 0.0 })
            })
            .collect();
        let mut powers = [Complex::default(); POWERS + 1];
        if rate.magnitude() * reach >= 1.0 {
            for k in (0..=DEGREE).rev() {
                let higher =
                    if k < DEGREE { powers[k + 1].scale((k + 1) as f64) } else { Complex::default() };
                powers[k] = (higher - forcing[k]) / rate;
            }
        } else {
            for k in 0..POWERS {
                let own = forcing.get(k).copied().unwrap_or_default();
                powers[k + 1] = (rate * powers[k] + own).scale(1.0 / (k + 1) as f64);
            }
        }
        for (k, power) in powers[1..].iter().enumerate() {
            amplitudes.powers[(at, k)] = power.re;
            if twin {
                amplitudes.powers[(at + 1, k)] = power.im;
            }
        }
        if twin {
            amplitudes.moving[at] -= powers[0].re;
            amplitudes.moving[at + 1] -= powers[0].im;
            amplitudes.resting[at] += powers[0].re;
            amplitudes.resting[at + 1] += powers[0].im;
        } else {
            amplitudes.moving[at] -= rate.re * omega * powers[0].re;
        }
    }
}

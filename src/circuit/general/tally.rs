//! Integrals and extremes of signals over stretches in closed form.
//!
//! Integrals by Gauss panels on exact samples, short enough that the rule is exact to rounding; extremes at the roots of the
//! exact slope and at the ends of every stretch, where the kinks are. Knows nothing of what the signals mean.

use super::cache::Cache;
use super::event::Alive;
use super::matrix::{Matrix, dot};
use super::modal::Modal;
use super::propagate::Stretch;
use crate::numeric::gauss::TWELVE;

/// Radians of the mains, and of any ringing, that a panel may span: the square of a signal turns twice as fast.
const PANEL_RADIANS: f64 = 2.0;
/// Time constants a panel may span.
const PANEL_DECAYS: f64 = 2.6;

/// What is gathered of each signal.
#[derive(Clone, Debug, Default)]
pub(super) struct Tally {
    /// Time integrals.
    pub(super) sum: Vec<f64>,
    /// Time integrals of the square.
    pub(super) square: Vec<f64>,
    /// Value at the start of the first stretch, and the time integrals of the square of the departure from it: the ripple
    /// of a well-smoothed voltage would drown in the square of its mean.
    pub(super) centre: Vec<f64>,
    pub(super) departure_square: Vec<f64>,
    /// Time integrals of the asked products.
    pub(super) product: Vec<f64>,
    pub(super) min: Vec<f64>,
    pub(super) max: Vec<f64>,
}

/// Which signals, whose extremes, which products.
pub(super) struct Wish<'a> {
    /// Rows of every signal in the mode at a place of the cache.
    pub(super) rows: &'a dyn Fn(usize) -> Matrix,
    /// Signals whose extremes are wanted.
    pub(super) extremes: &'a [usize],
    /// Pairs whose product is integrated.
    pub(super) products: &'a [(usize, usize)],
}

/// Gathers over the stretches.
pub(super) fn gather(cache: &Cache, omega: f64, stretches: &[Stretch], wish: &Wish) -> Tally {
    let mut tally = Tally::default();
    let mut turned: Vec<(usize, Matrix)> = Vec::new();
    for stretch in stretches {
        let Some(ready) = cache.ready(stretch.mode) else { continue };
        let known = turned.iter().position(|(mode, _)| *mode == stretch.mode);
        let at = known.unwrap_or_else(|| {
            turned.push((stretch.mode, ready.modal.turn(&(wish.rows)(stretch.mode))));
            turned.len() - 1
        });
        Pass::new(&ready.modal, &turned[at].1, stretch, omega).over(wish, &mut tally);
    }
    tally
}

struct Pass<'a> {
    modal: &'a Modal,
    curves: Matrix,
    sizes: Vec<f64>,
    stretch: &'a Stretch,
    omega: f64,
    theta: f64,
}

impl<'a> Pass<'a> {
    fn new(modal: &'a Modal, rows: &Matrix, stretch: &'a Stretch, omega: f64) -> Self {
        let mut curves = Matrix::zeros(rows.rows, modal.basis_len());
        for i in 0..rows.rows {
            modal.curve(rows.row(i), &stretch.amplitudes, curves.row_mut(i));
        }
        let sizes = (0..rows.rows).map(|i| super::event::size(modal, curves.row(i))).collect();
        Self { modal, curves, sizes, stretch, omega, theta: omega * stretch.start }
    }

    fn basis(&self, s: f64, basis: &mut [f64]) {
        self.modal.basis(s, self.theta + self.omega * s, basis);
    }

    fn over(&self, wish: &Wish, tally: &mut Tally) {
        let count = self.curves.rows;
        tally.sum.resize(count, 0.0);
        tally.square.resize(count, 0.0);
        tally.product.resize(wish.products.len(), 0.0);
        tally.min.resize(count, f64::INFINITY);
        tally.max.resize(count, f64::NEG_INFINITY);
        tally.departure_square.resize(count, 0.0);
        let mut slopes = Matrix::zeros(wish.extremes.len(), self.curves.cols);
        for (i, &signal) in wish.extremes.iter().enumerate() {
            self.modal.derivative(self.curves.row(signal), slopes.row_mut(i));
        }
        let mut basis = vec![0.0; self.modal.basis_len()];
        let mut last = vec![(0.0, 0.0); wish.extremes.len()];
        let mut extreme = |s: f64, basis: &[f64], first: bool, tally: &mut Tally| {
            for (i, &signal) in wish.extremes.iter().enumerate() {
                let value = dot(self.curves.row(signal), basis);
                tally.min[signal] = tally.min[signal].min(value);
                tally.max[signal] = tally.max[signal].max(value);
                let slope = dot(slopes.row(i), basis);
                let (before, slope_before) = last[i];
                if !first && slope_before * slope < 0.0 {
                    let turn = self.turning(signal, slopes.row(i), (before, s), slope_before);
                    tally.min[signal] = tally.min[signal].min(turn);
                    tally.max[signal] = tally.max[signal].max(turn);
                }
                last[i] = (s, slope);
            }
        };
        self.basis(0.0, &mut basis);
        extreme(0.0, &basis, true, tally);
        if tally.centre.is_empty() {
            tally.centre = (0..count).map(|i| dot(self.curves.row(i), &basis)).collect();
        }
        let mut values = vec![0.0; count];
        for (low, high) in self.panels() {
            let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
            let ordered = TWELVE.iter().rev().map(|&(x, w)| (-x, w)).chain(TWELVE);
            for (x, w) in ordered {
                let s = middle + half * x;
                self.basis(s, &mut basis);
                for (i, value) in values.iter_mut().enumerate() {
                    *value = dot(self.curves.row(i), &basis);
                    tally.sum[i] += half * w * *value;
                    tally.square[i] += half * w * *value * *value;
                    let departure = *value - tally.centre[i];
                    tally.departure_square[i] += half * w * departure * departure;
                }
                for (sum, &(a, b)) in tally.product.iter_mut().zip(wish.products) {
                    *sum += half * w * values[a] * values[b];
                }
                extreme(s, &basis, false, tally);
            }
            self.basis(high, &mut basis);
            extreme(high, &basis, false, tally);
        }
    }

    fn panels(&self) -> Vec<(f64, f64)> {
        let alive = Alive::with_reach(self.modal, &self.curves, &self.sizes, PANEL_DECAYS, PANEL_RADIANS);
        let longest = PANEL_RADIANS / self.omega;
        let mut panels = Vec::new();
        let mut s = 0.0;
        while s < self.stretch.length {
            let step = alive.step(s, longest);
            let left = self.stretch.length - s;
            // The last two share what is left, so that none is a sliver.
            let next = if step >= left {
                self.stretch.length
            } else if 2.0 * step >= left {
                s + 0.5 * left
            } else {
                s + step
            };
            panels.push((s, next));
            s = next;
        }
        panels
    }

    /// Value of a signal where its slope passes through zero.
    fn turning(&self, signal: usize, slope: &[f64], (mut low, mut high): (f64, f64), at_low: f64) -> f64 {
        let mut bend = vec![0.0; slope.len()];
        self.modal.derivative(slope, &mut bend);
        let mut basis = vec![0.0; slope.len()];
        let mut s = 0.5 * (low + high);
        for _ in 0..60 {
            self.basis(s, &mut basis);
            let (d, b) = (dot(slope, &basis), dot(&bend, &basis));
            if (d > 0.0) == (at_low > 0.0) {
                low = s;
            } else {
                high = s;
            }
            let mut next = s - d / b;
            if !(next > low && next < high) {
                next = 0.5 * (low + high);
            }
            // The value is flat here: its error is the square of this one's.
            if (next - s).abs() <= 1e-9 * (high - low).max(next.abs()) {
                break;
            }
            s = next;
        }
        self.basis(s, &mut basis);
        dot(self.curves.row(signal), &basis)
    }
}

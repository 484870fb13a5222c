//! Integrals and extremes of signals over stretches in closed form.
//!
//! Integrals by Gauss panels on exact samples, short enough that the rule is exact to rounding; extremes at the roots of the
//! exact slope and at the ends of every stretch, where the kinks are. Knows nothing of what the signals mean.

use super::cache::Cache;
use super::looks::{Alive, size};
use super::matrix::{Matrix, dot};
use super::modal::Modal;
use super::propagate::Stretch;
use crate::numeric::gauss::TWELVE;

/// Radians of the mains, and of any ringing, that a panel may span: the square of a signal turns twice as fast, and twelve
/// points integrate ten radians to 1e-14.
const PANEL_RADIANS: f64 = 4.2;
/// Radians of the mains a panel may span: products of three slow motions are still smooth there.
const PANEL_MAINS: f64 = 2.0;
/// Time constants a panel may span, by the same measure.
const PANEL_DECAYS: f64 = 4.2;

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

/// Nodes of a panel.
const NODES: usize = 2 * TWELVE.len();
type Nodes = [f64; NODES];

/// Which signals, whose integrals, whose extremes, which products.
pub(super) struct Wish<'a> {
    /// Rows of every signal in the mode at a place of the cache.
    pub(super) rows: &'a dyn Fn(usize) -> Matrix,
    /// Signals whose sums and squares are wanted.
    pub(super) integrals: &'a [usize],
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

/// The nodes of a panel: offset from its start, weight, and the basis of the offset.
#[derive(Default)]
struct Rule {
    length: f64,
    offsets: [f64; NODES],
    weights: [f64; NODES],
    bases: Vec<f64>,
}

impl Rule {
    fn fit(&mut self, modal: &Modal, omega: f64, length: f64) {
        // Equal panels come out equal to rounding only, which moves a node by as little.
        if (self.length - length).abs() <= 4.0 * f64::EPSILON * length {
            return;
        }
        self.length = length;
        let basis_len = modal.basis_len();
        self.bases.resize(NODES * basis_len, 0.0);
        let nodes = TWELVE.iter().rev().map(|&(x, w)| (-x, w)).chain(TWELVE);
        for (k, (between, (x, weight))) in self.bases.chunks_exact_mut(basis_len).zip(nodes).enumerate() {
            let offset = 0.5 * length * (1.0 + x);
            modal.basis(offset, omega * offset, between);
            self.offsets[k] = offset;
            self.weights[k] = weight;
        }
    }
}

/// The basis at every node of a panel, one row a basis function: a signal is then a sum of rows.
#[derive(Default)]
struct Grid {
    rows: Vec<Nodes>,
}

impl Grid {
    fn fill(&mut self, modal: &Modal, rule: &Rule, start: &[f64], basis: &mut [f64]) {
        self.rows.resize(start.len(), [0.0; NODES]);
        for (k, between) in rule.bases.chunks_exact(start.len()).enumerate() {
            modal.advance(start, between, basis);
            for (row, value) in self.rows.iter_mut().zip(basis.iter()) {
                row[k] = *value;
            }
        }
    }

    /// A signal at every node.
    fn values(&self, curve: &[f64]) -> Nodes {
        let mut values = [0.0; NODES];
        for (&share, row) in curve.iter().zip(&self.rows) {
            if share != 0.0 {
                for (value, one) in values.iter_mut().zip(row) {
                    *value += share * one;
                }
            }
        }
        values
    }
}

/// Sum of weighted products, four partial sums at a time.
fn weigh(weights: &Nodes, left: &Nodes, right: &Nodes) -> f64 {
    let mut sums = [0.0; 4];
    for ((w, a), b) in weights.chunks_exact(4).zip(left.chunks_exact(4)).zip(right.chunks_exact(4)) {
        for k in 0..4 {
            sums[k] += w[k] * a[k] * b[k];
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3])
}

/// Follows the extremes from look to look.
struct Extremes<'a> {
    pass: &'a Pass<'a>,
    wish: &'a Wish<'a>,
    slopes: Matrix,
    /// When, value and slope at the last look.
    last: Vec<(f64, f64, f64)>,
}

impl Extremes<'_> {
    fn look(&mut self, s: f64, basis: &[f64], first: bool, tally: &mut Tally) {
        for (i, &signal) in self.wish.extremes.iter().enumerate() {
            let now = (s, dot(self.pass.curves.row(signal), basis), dot(self.slopes.row(i), basis));
            if first {
                tally.min[signal] = tally.min[signal].min(now.1);
                tally.max[signal] = tally.max[signal].max(now.1);
                self.last[i] = now;
            } else {
                self.see(i, signal, now, tally);
            }
        }
    }

    /// The same at every node of a panel that starts at `low`.
    fn look_along(&mut self, low: f64, rule: &Rule, grid: &Grid, tally: &mut Tally) {
        for (i, &signal) in self.wish.extremes.iter().enumerate() {
            let values = grid.values(self.pass.curves.row(signal));
            let slopes = grid.values(self.slopes.row(i));
            for ((offset, value), slope) in rule.offsets.iter().zip(values).zip(slopes) {
                self.see(i, signal, (low + offset, value, slope), tally);
            }
        }
    }

    fn see(&mut self, i: usize, signal: usize, (s, value, slope): (f64, f64, f64), tally: &mut Tally) {
        tally.min[signal] = tally.min[signal].min(value);
        tally.max[signal] = tally.max[signal].max(value);
        let (before, value_before, slope_before) = self.last[i];
        if slope_before * slope < 0.0 {
            // The crest of an arc lies below the crossing of its end tangents.
            let reach = (value - value_before - slope * (s - before)) / (slope_before - slope);
            let bound = value_before + slope_before * reach;
            let worth =
                if slope_before > 0.0 { bound > tally.max[signal] } else { bound < tally.min[signal] };
            if worth {
                let turn = self.pass.turning(signal, self.slopes.row(i), (before, s), slope_before);
                tally.min[signal] = tally.min[signal].min(turn);
                tally.max[signal] = tally.max[signal].max(turn);
            }
        }
        self.last[i] = (s, value, slope);
    }
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
        let sizes = (0..rows.rows).map(|i| size(modal, curves.row(i))).collect();
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
        let mut extremes =
            Extremes { pass: self, wish, slopes, last: vec![(0.0, 0.0, 0.0); wish.extremes.len()] };
        self.basis(0.0, &mut basis);
        extremes.look(0.0, &basis, true, tally);
        if tally.centre.is_empty() {
            tally.centre = (0..count).map(|i| dot(self.curves.row(i), &basis)).collect();
        }
        let mut start = basis.clone();
        let (mut rule, mut grid) = (Rule::default(), Grid::default());
        for (low, high) in self.panels() {
            rule.fit(self.modal, self.omega, high - low);
            grid.fill(self.modal, &rule, &start, &mut basis);
            let half = 0.5 * (high - low);
            for &signal in wish.integrals {
                let values = grid.values(self.curves.row(signal));
                let departures = values.map(|value| value - tally.centre[signal]);
                tally.sum[signal] += half * weigh(&rule.weights, &values, &[1.0; NODES]);
                tally.square[signal] += half * weigh(&rule.weights, &values, &values);
                tally.departure_square[signal] += half * weigh(&rule.weights, &departures, &departures);
            }
            for (sum, &(a, b)) in tally.product.iter_mut().zip(wish.products) {
                let (left, right) = (grid.values(self.curves.row(a)), grid.values(self.curves.row(b)));
                *sum += half * weigh(&rule.weights, &left, &right);
            }
            extremes.look_along(low, &rule, &grid, tally);
            self.basis(high, &mut start);
            extremes.look(high, &start, false, tally);
        }
    }

    fn panels(&self) -> Vec<(f64, f64)> {
        let spans = (PANEL_DECAYS, PANEL_RADIANS, PANEL_MAINS / self.omega);
        let alive = Alive::new(self.modal, |at, i| self.curves[(i, at)], &self.sizes, spans);
        let mut panels = Vec::new();
        let mut s = 0.0;
        while s < self.stretch.length {
            let step = alive.step(s);
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

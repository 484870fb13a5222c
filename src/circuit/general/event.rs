//! The first instant at which a guard of a mode turns negative, to machine precision.
//!
//! Guards are looked at more often than the fastest motion alive can turn round twice; a dip between two looks is followed to
//! its bottom. Knows nothing of circuits.

use super::eigen::Motion;
use super::matrix::{Matrix, axpy, dot};
use super::modal::{Amplitudes, Modal, SMALL};

/// Looks a mains period at least.
const LOOKS: f64 = 24.0;
/// Looks after which the basis is worked out afresh.
const AFRESH: u32 = 32;
/// A motion below this share of its guard is no longer alive.
const ALIVE: f64 = 1e-12;
/// A guard that falls no lower than this share of its size has only touched zero by rounding.
const TOUCH: f64 = 1e-14;

/// Share of the lower of two looks above which the crossing of their tangents rules out a dip below zero.
const TANGENTS: f64 = 0.5;
/// A guard that starts within this share of its size starts on zero.
const START: f64 = 1e-11;

/// The curves of all guards in one stretch.
pub(super) struct Guards<'a> {
    modal: &'a Modal,
    curves: Matrix,
    slopes: Matrix,
    sizes: Vec<f64>,
    theta: f64,
    omega: f64,
}

impl<'a> Guards<'a> {
    pub(super) fn new(
        modal: &'a Modal,
        rows: &Matrix,
        amplitudes: &Amplitudes,
        theta: f64,
        omega: f64,
    ) -> Self {
        let mut curves = Matrix::zeros(rows.rows, modal.basis_len());
        let mut slopes = Matrix::zeros(rows.rows, modal.basis_len());
        for i in 0..rows.rows {
            modal.curve(rows.row(i), amplitudes, curves.row_mut(i));
            modal.derivative(curves.row(i), slopes.row_mut(i));
        }
        let sizes = (0..rows.rows).map(|i| size(modal, curves.row(i))).collect();
        Self { modal, curves, slopes, sizes, theta, omega }
    }

    /// The first event within `until`: when and which guard. Where one is `expected`, its root is sought from there; whether
    /// it is the first, or is at all, is not taken on trust.
    pub(super) fn first(&self, until: f64, expected: Option<(f64, usize)>) -> Option<(f64, usize)> {
        let count = self.curves.rows;
        let alive = Alive::new(self.modal, &self.curves, &self.sizes);
        let longest = std::f64::consts::TAU / self.omega / LOOKS;
        let mut stride = Stride::new(self.modal, self.omega, longest);
        let mut basis = vec![0.0; self.modal.basis_len()];
        let mut basis_next = basis.clone();
        // Of every basis function its share in all values, then in all slopes.
        let mut shares = Matrix::zeros(basis.len(), 2 * count);
        for i in 0..count {
            for (j, (&curve, &slope)) in self.curves.row(i).iter().zip(self.slopes.row(i)).enumerate() {
                shares[(j, i)] = curve;
                shares[(j, count + i)] = slope;
            }
        }
        let look = |basis: &[f64], seen: &mut [f64]| {
            seen.fill(0.0);
            for (j, &value) in basis.iter().enumerate() {
                axpy(seen, value, shares.row(j));
            }
        };
        let (mut seen, mut seen_next) = (vec![0.0; 2 * count], vec![0.0; 2 * count]);
        self.modal.basis(0.0, self.theta, &mut basis);
        look(&basis, &mut seen);
        let mut s = 0.0;
        let mut looks = 0_u32;
        while s < until {
            let step = stride.within(alive.step(s, longest));
            looks += 1;
            let next = if s + step >= until { until } else { s + step };
            // Every so often afresh, so that rounding does not add up.
            if next < until && !looks.is_multiple_of(AFRESH) {
                self.modal.advance(&basis, &stride.basis, &mut basis_next);
            } else {
                self.modal.basis(next, self.theta + self.omega * next, &mut basis_next);
            }
            look(&basis_next, &mut seen_next);
            let mut found: Option<(f64, usize)> = None;
            for i in 0..count {
                let before = Seen { s, value: seen[i], slope: seen[count + i] };
                let after = Seen { s: next, value: seen_next[i], slope: seen_next[count + i] };
                let when = if after.value < -TOUCH * self.sizes[i] {
                    let guess = expected.filter(|&(_, guard)| guard == i).map(|(when, _)| when);
                    Some(self.crossing(i, before, after, guess))
                } else if before.may_dip(after) {
                    self.dip(i, s, next)
                } else {
                    None
                };
                if let Some(when) = when
                    && found.is_none_or(|(earliest, _)| when < earliest)
                {
                    found = Some((when, i));
                }
            }
            if found.is_some() {
                return found;
            }
            std::mem::swap(&mut basis, &mut basis_next);
            std::mem::swap(&mut seen, &mut seen_next);
            s = next;
        }
        None
    }

    fn at(&self, guard: usize, s: f64) -> (f64, f64) {
        let mut basis = [0.0; 64];
        let basis = &mut basis[..self.modal.basis_len().min(64)];
        self.modal.basis(s, self.theta + self.omega * s, basis);
        (dot(self.curves.row(guard), basis), dot(self.slopes.row(guard), basis))
    }

    fn crossing(&self, guard: usize, before: Seen, after: Seen, guess: Option<f64>) -> f64 {
        let (from, to) = (before.s, after.s);
        let (mut low, mut high) = (from, to);
        // Where the chord between the two looks falls through zero, for want of anything better.
        let chord = from + (to - from) * before.value / (before.value - after.value);
        if before.value <= START * self.sizes[guard] {
            // The stretch began on this guard: it rose, and has fallen again before `to`.
            let mut inner = to;
            for _ in 0..200 {
                let trial = from + 0.5 * (inner - from);
                if trial <= from || trial >= inner {
                    return from;
                }
                if self.at(guard, trial).0 > TOUCH * self.sizes[guard] {
                    low = trial;
                    high = inner;
                    break;
                }
                inner = trial;
            }
        }
        self.root(guard, low, high, guess.unwrap_or(chord))
    }

    /// Safeguarded Newton from a guess: positive at `low`, not at `high`.
    fn root(&self, guard: usize, mut low: f64, mut high: f64, guess: f64) -> f64 {
        let mut s = guess;
        if !(s > low && s < high) {
            s = 0.5 * (low + high);
        }
        let mut last = high - low;
        for _ in 0..200 {
            let (v, d) = self.at(guard, s);
            if v > 0.0 {
                low = s;
            } else {
                high = s;
            }
            let step = v / d;
            let mut next = s - step;
            if !(next > low && next < high) || step.abs() > 0.7 * last {
                next = 0.5 * (low + high);
            } else if step * step <= f64::EPSILON * next.abs() * last {
                // Each step's share of the last foretells the next one's: nothing is left of it.
                return next;
            }
            last = (next - s).abs();
            if last <= f64::EPSILON * next.abs() || high - low <= f64::EPSILON * high.abs() {
                return next;
            }
            s = next;
        }
        s
    }

    /// Follows a dip to its bottom; the crossing, where it reaches below zero.
    fn dip(&self, guard: usize, from: f64, to: f64) -> Option<f64> {
        let (mut low, mut high) = (from, to);
        for _ in 0..60 {
            let s = 0.5 * (low + high);
            let (v, d) = self.at(guard, s);
            if v < -TOUCH * self.sizes[guard] {
                return Some(self.root(guard, from, s, s));
            }
            // The guard cannot fall further than its slope and the width allow, if it bends upwards throughout.
            if v > d.abs() * (high - low) {
                return None;
            }
            if d < 0.0 {
                low = s;
            } else {
                high = s;
            }
        }
        None
    }
}

/// Share of the old instant by which a followed event may move.
const MOVES: f64 = 0.3;
/// Newton steps to a followed event.
const STEPS_MAX: u32 = 12;

/// One guard by itself, whose event is known to be near.
pub(super) struct Watch<'a> {
    modal: &'a Modal,
    curve: Vec<f64>,
    slope: Vec<f64>,
    theta: f64,
    omega: f64,
}

impl<'a> Watch<'a> {
    pub(super) fn new(
        modal: &'a Modal,
        row: &[f64],
        amplitudes: &Amplitudes,
        (theta, omega): (f64, f64),
    ) -> Self {
        let mut curve = vec![0.0; modal.basis_len()];
        let mut slope = vec![0.0; modal.basis_len()];
        modal.curve(row, amplitudes, &mut curve);
        modal.derivative(&curve, &mut slope);
        Self { modal, curve, slope, theta, omega }
    }

    /// Time derivative of the guard where the basis is known.
    pub(super) fn slope(&self, basis: &[f64]) -> f64 {
        dot(&self.slope, basis)
    }

    /// The fall through zero near an instant, by plain Newton; nothing where it is not straight ahead.
    pub(super) fn near(&self, guess: f64, until: f64) -> Option<f64> {
        let mut small = [0.0; SMALL];
        let mut large = Vec::new();
        let len = self.modal.basis_len();
        let basis = if len <= SMALL {
            &mut small[..len]
        } else {
            large.resize(len, 0.0);
            &mut large[..]
        };
        let (low, high) = (guess * (1.0 - MOVES), (guess * (1.0 + MOVES)).min(until));
        let mut s = guess.min(until);
        let mut last = guess;
        for _ in 0..STEPS_MAX {
            self.modal.basis(s, self.theta + self.omega * s, basis);
            let (value, slope) = (dot(&self.curve, basis), dot(&self.slope, basis));
            let step = value / slope;
            let next = s - step;
            if slope.is_nan() || slope >= 0.0 || !(next > low && next < high) || step.abs() > last {
                return None;
            }
            // Each step's share of the last foretells the next one's: nothing is left of it.
            if step * step <= f64::EPSILON * next * last || step.abs() <= f64::EPSILON * next {
                return Some(next);
            }
            last = step.abs();
            s = next;
        }
        None
    }
}

/// The size of a signal's parts.
pub(super) fn size(modal: &Modal, curve: &[f64]) -> f64 {
    let n = modal.order();
    modal.list.iter().map(|motion| extent(motion, curve)).sum::<f64>()
        + curve[n..(n + 3)].iter().map(|part| part.abs()).sum::<f64>()
}

fn extent(motion: &Motion, curve: &[f64]) -> f64 {
    match *motion {
        Motion::Decay { at, rate } => curve[at].abs() / rate.abs().max(1.0),
        Motion::Ring { at, .. } => curve[at].hypot(curve[at + 1]),
    }
}

/// A guard at one look.
#[derive(Clone, Copy)]
struct Seen {
    s: f64,
    value: f64,
    slope: f64,
}

impl Seen {
    /// Whether the guard falls and rises again between two looks, and that low that it might pass below zero.
    fn may_dip(self, after: Self) -> bool {
        if self.slope >= 0.0 || after.slope <= 0.0 || self.value <= 0.0 {
            return false;
        }
        // An arc that bends upwards lies above the crossing of its end tangents.
        let reach =
            (after.value - self.value - after.slope * (after.s - self.s)) / (self.slope - after.slope);
        let bottom = self.value + self.slope * reach;
        bottom.is_nan() || bottom < TANGENTS * self.value.min(after.value)
    }
}

/// A step among halves of the longest, with its basis.
struct Stride<'a> {
    modal: &'a Modal,
    omega: f64,
    longest: f64,
    step: f64,
    basis: Vec<f64>,
}

impl<'a> Stride<'a> {
    fn new(modal: &'a Modal, omega: f64, longest: f64) -> Self {
        Self { modal, omega, longest, step: 0.0, basis: vec![0.0; modal.basis_len()] }
    }

    /// The longest step of the kind that is no longer than `most`.
    fn within(&mut self, most: f64) -> f64 {
        if self.step > most || 2.0 * self.step <= most.min(self.longest) {
            let mut step = self.longest;
            while step > most {
                step *= 0.5;
            }
            self.step = step;
            self.modal.basis(step, self.omega * step, &mut self.basis);
        }
        self.step
    }
}

/// Which motions still matter, and how long a look ahead they allow.
pub(super) struct Alive {
    /// Rate, greatest share in any signal, longest look; geometric growth where `grows`.
    list: Vec<(f64, f64, f64, bool)>,
}

impl Alive {
    pub(super) fn new(modal: &Modal, curves: &Matrix, sizes: &[f64]) -> Self {
        Self::with_reach(modal, curves, sizes, 1.0, 1.1)
    }

    /// `decay` and `ring`: time constants and radians a look may span.
    pub(super) fn with_reach(
        modal: &Modal,
        curves: &Matrix,
        sizes: &[f64],
        decay: f64,
        ring_reach: f64,
    ) -> Self {
        let share = |motion: &Motion| {
            (0..curves.rows)
                .filter(|&i| sizes[i] > 0.0)
                .map(|i| extent(motion, curves.row(i)) / sizes[i])
                .fold(0.0, f64::max)
        };
        let list = modal
            .list
            .iter()
            .map(|motion| match *motion {
                Motion::Decay { rate, .. } => {
                    (rate, share(motion), decay / rate.abs().max(f64::MIN_POSITIVE), true)
                }
                Motion::Ring { rate, ring, .. } => (
                    rate,
                    share(motion),
                    (ring_reach / ring.abs()).min(decay / rate.abs().max(f64::MIN_POSITIVE)),
                    false,
                ),
            })
            .collect();
        Self { list }
    }

    /// How far the next look may lie from `s`.
    pub(super) fn step(&self, s: f64, longest: f64) -> f64 {
        let mut step = longest;
        for &(rate, share, reach, grows) in &self.list {
            if reach >= step || share * (rate * s).exp() < ALIVE {
                continue;
            }
            let reach = if grows { reach.max(0.7 * s) } else { reach };
            step = step.min(reach);
        }
        step
    }
}

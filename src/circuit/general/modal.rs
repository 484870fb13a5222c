//! Motion inside one mode in closed form: every signal a sum of decays, damped ringing, one sinusoid and a constant.
//!
//! Time inside a stretch is counted from its start, the phase of the mains from its own zero. Knows nothing of events.

use super::angle::sin_cos;
use super::eigen::{Motion, motions};
use super::few::Few;
use super::matrix::{Matrix, axpy, dot};
use super::mode::Equations;

/// Powers of the phase kept where a load current departs.
pub(super) const POWERS: usize = 12;

/// Basis functions for which no memory is asked.
pub(super) const SMALL: usize = 32;

/// A mode ready to be followed.
#[derive(Clone, Debug)]
pub(super) struct Modal {
    pub(super) list: Vec<Motion>,
    /// State from modal amplitudes.
    shapes: Matrix,
    /// Modal amplitudes from the state.
    inverse: Matrix,
    /// Forced response, amplitudes of sine and cosine.
    forced_sin: Vec<f64>,
    forced_cos: Vec<f64>,
    /// Constant drive of each amplitude.
    steady_drive: Vec<f64>,
    /// Drive of each amplitude by each departing load current.
    departing_drive: Vec<Vec<f64>>,
    omega: f64,
}

/// Amplitudes of one stretch: `moving` multiplies the basis, `resting` is constant.
#[derive(Clone, Debug, Default)]
pub(super) struct Amplitudes {
    pub(super) moving: Few,
    pub(super) resting: Few,
    /// Sine and cosine of the mains phase at the start.
    outset: (f64, f64),
    /// Powers of the phase passed, from the first on, that departing load currents add to each amplitude.
    pub(super) powers: Matrix,
    /// The departing load currents themselves as powers of the phase passed, from the zeroth on.
    pub(super) departures: Matrix,
}

impl Modal {
    /// `None` where the equations cannot be taken apart.
    pub(super) fn of(equations: &Equations, omega: f64) -> Option<Self> {
        let n = equations.order();
        let mut scaled = Matrix::zeros(n, n);
        for i in 0..n {
            for j in 0..n {
                scaled[(i, j)] = equations.rate[(i, j)] * equations.weight[i] / equations.weight[j];
            }
        }
        let found = motions(&scaled)?;
        let (mut shapes, mut inverse) = (found.shapes, found.inverse);
        for i in 0..n {
            for j in 0..n {
                shapes[(i, j)] /= equations.weight[i];
                inverse[(i, j)] *= equations.weight[j];
            }
        }
        let column = |at: usize| -> Vec<f64> {
            let drive: Vec<f64> = (0..n).map(|i| equations.rate[(i, at)]).collect();
            inverse.apply(&drive)
        };
        let (sin, steady_drive) = (column(n), column(n + 1));
        let (mut forced_sin, mut forced_cos) = (vec![0.0; n], vec![0.0; n]);
        for motion in &found.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    let size = rate * rate + omega * omega;
                    forced_sin[at] = -sin[at] * rate / size;
                    forced_cos[at] = -sin[at] * omega / size;
                }
                Motion::Ring { at, rate, ring } => {
                    // z = a1 + i a2 obeys z' = μ z + b sin ωt, μ = rate − i ring.
                    let (sr, si) = (rate * rate - ring * ring + omega * omega, -2.0 * rate * ring);
                    let size = sr * sr + si * si;
                    let (b1, b2) = (sin[at], sin[at + 1]);
                    // −b / (μ² + ω²)
                    let (gr, gi) = (-(b1 * sr + b2 * si) / size, -(b2 * sr - b1 * si) / size);
                    forced_sin[at] = gr * rate + gi * ring;
                    forced_sin[at + 1] = gi * rate - gr * ring;
                    forced_cos[at] = gr * omega;
                    forced_cos[at + 1] = gi * omega;
                }
            }
        }
        let departing_drive = (n + 2..equations.rate.cols).map(column).collect();
        Some(Self {
            list: found.list,
            shapes,
            inverse,
            forced_sin,
            forced_cos,
            steady_drive,
            departing_drive,
            omega,
        })
    }

    pub(super) fn order(&self) -> usize {
        self.shapes.rows
    }

    /// Drive of each amplitude by each departing load current.
    pub(super) fn departing_drive(&self) -> &[Vec<f64>] {
        &self.departing_drive
    }

    /// Number of basis functions: one a state, sine, cosine, one; with departing loads powers of the phase passed.
    pub(super) fn basis_len(&self) -> usize {
        self.order() + 3 + self.power_count()
    }

    fn power_count(&self) -> usize {
        if self.departing_drive.is_empty() { 0 } else { POWERS }
    }

    /// Rows over (state, sine, one, departures) turned to rows over (amplitudes, sine, cosine, one, departures).
    pub(super) fn turn(&self, rows: &Matrix) -> Matrix {
        let n = self.order();
        let mut turned = Matrix::zeros(rows.rows, n + 3 + self.departing_drive.len());
        for i in 0..rows.rows {
            let from = rows.row(i);
            let into = turned.row_mut(i);
            for (k, &share) in from[..n].iter().enumerate() {
                if share != 0.0 {
                    for (j, value) in into[..n].iter_mut().enumerate() {
                        *value += share * self.shapes[(k, j)];
                    }
                }
            }
            into[n] = from[n] + dot(&into[..n], &self.forced_sin);
            into[n + 1] = dot(&into[..n], &self.forced_cos);
            into[n + 2] = from[n + 1];
            into[n + 3..].copy_from_slice(&from[n + 2..]);
        }
        turned
    }

    /// Amplitudes of the stretch that starts in `state` at mains phase `theta`.
    pub(super) fn start(&self, state: &[f64], theta: f64) -> Amplitudes {
        let n = self.order();
        let (sin, cos) = sin_cos(theta);
        let mut moving: Few = (0..n).map(|i| dot(self.inverse.row(i), state)).collect();
        let mut resting = Few::zeros(n);
        axpy(&mut moving, -sin, &self.forced_sin);
        axpy(&mut moving, -cos, &self.forced_cos);
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    resting[at] = moving[at];
                    moving[at] = rate * moving[at] + self.steady_drive[at];
                }
                Motion::Ring { at, rate, ring } => {
                    let size = rate * rate + ring * ring;
                    let (b1, b2) = (self.steady_drive[at], self.steady_drive[at + 1]);
                    // −b / μ
                    resting[at] = -(b1 * rate - b2 * ring) / size;
                    resting[at + 1] = -(b2 * rate + b1 * ring) / size;
                    moving[at] -= resting[at];
                    moving[at + 1] -= resting[at + 1];
                }
            }
        }
        let loads = self.departing_drive.len();
        let (powers, departures) = if loads == 0 {
            Default::default()
        } else {
            (Matrix::zeros(n, POWERS), Matrix::zeros(loads, POWERS + 1))
        };
        Amplitudes { moving, resting, outset: (sin, cos), powers, departures }
    }

    /// Coefficients over the basis of one signal, given as a row that [`Self::turn`] has turned.
    pub(super) fn curve(&self, turned: &[f64], amplitudes: &Amplitudes, curve: &mut [f64]) {
        let n = self.order();
        curve[n] = turned[n];
        curve[n + 1] = turned[n + 1];
        curve[n + 2] = turned[n + 2] + dot(&turned[..n], &amplitudes.resting);
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, .. } => curve[at] = turned[at] * amplitudes.moving[at],
                Motion::Ring { at, .. } => {
                    let (g1, g2) = (amplitudes.moving[at], amplitudes.moving[at + 1]);
                    curve[at] = turned[at] * g1 + turned[at + 1] * g2;
                    curve[at + 1] = turned[at] * g2 - turned[at + 1] * g1;
                }
            }
        }
        if !self.departing_drive.is_empty() {
            let own = &mut curve[n + 2..];
            own[1..].fill(0.0);
            for (load, &share) in turned[n + 3..].iter().enumerate() {
                axpy(own, share, amplitudes.departures.row(load));
            }
            for (i, &share) in turned[..n].iter().enumerate() {
                axpy(&mut own[1..], share, amplitudes.powers.row(i));
            }
        }
    }

    /// Coefficients of the time derivative of a curve.
    pub(super) fn derivative(&self, curve: &[f64], slope: &mut [f64]) {
        let n = self.order();
        slope[n] = -self.omega * curve[n + 1];
        slope[n + 1] = self.omega * curve[n];
        slope[n + 2..].fill(0.0);
        for power in 1..=self.power_count() {
            slope[n + 1 + power] = power as f64 * self.omega * curve[n + 2 + power];
        }
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    slope[at] = rate * curve[at];
                    slope[n + 2] += curve[at];
                }
                Motion::Ring { at, rate, ring } => {
                    let (c, s) = (curve[at], curve[at + 1]);
                    slope[at] = rate * c + ring * s;
                    slope[at + 1] = rate * s - ring * c;
                }
            }
        }
    }

    /// The basis `s` after the start, the mains phase there being `theta`.
    pub(super) fn basis(&self, s: f64, theta: f64, basis: &mut [f64]) {
        let n = self.order();
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    let x = rate * s;
                    basis[at] = if x == 0.0 { s } else { x.exp_m1() / rate };
                }
                Motion::Ring { at, rate, ring } => {
                    let size = (rate * s).exp();
                    let (sin, cos) = sin_cos(ring * s);
                    basis[at] = size * cos;
                    basis[at + 1] = size * sin;
                }
            }
        }
        let (sin, cos) = sin_cos(theta);
        basis[n] = sin;
        basis[n + 1] = cos;
        basis[n + 2] = 1.0;
        for power in 1..=self.power_count() {
            basis[n + 2 + power] = basis[n + 1 + power] * (self.omega * s);
        }
    }

    /// The basis later, out of the basis now and the basis of the time between (counted from phase zero): no exponentials.
    pub(super) fn advance(&self, now: &[f64], between: &[f64], later: &mut [f64]) {
        let n = self.order();
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => later[at] = now[at] + (1.0 + rate * now[at]) * between[at],
                Motion::Ring { at, .. } => {
                    later[at] = now[at] * between[at] - now[at + 1] * between[at + 1];
                    later[at + 1] = now[at + 1] * between[at] + now[at] * between[at + 1];
                }
            }
        }
        let (sin, cos) = (between[n], between[n + 1]);
        later[n] = now[n] * cos + now[n + 1] * sin;
        later[n + 1] = now[n + 1] * cos - now[n] * sin;
        later[n + 2] = 1.0;
        if self.power_count() > 0 {
            let passed = now[n + 3] + between[n + 3];
            for power in 1..=self.power_count() {
                later[n + 2 + power] = later[n + 1 + power] * passed;
            }
        }
    }

    /// The most that the motions of a curve can fall by between two instants with these bases.
    pub(super) fn fall(&self, curve: &[f64], now: &[f64], later: &[f64]) -> f64 {
        let of = |motion: &Motion| match *motion {
            Motion::Decay { at, .. } => (curve[at] * (now[at] - later[at])).max(0.0),
            Motion::Ring { at, .. } => {
                let size = |basis: &[f64]| basis[at].hypot(basis[at + 1]);
                2.0 * curve[at].hypot(curve[at + 1]) * size(now).max(size(later))
            }
        };
        self.list.iter().map(of).sum()
    }

    /// Carries columns of states over a stretch with this basis at its end; `room` is written over.
    pub(super) fn carry(&self, basis: &[f64], columns: &Matrix, room: &mut Matrix, moved: &mut Matrix) {
        self.inverse.times_into(columns, room);
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    let share = 1.0 + rate * basis[at];
                    room.row_mut(at).iter_mut().for_each(|value| *value *= share);
                }
                Motion::Ring { at, .. } => {
                    let (cos, sin) = (basis[at], basis[at + 1]);
                    let (one, other) = room.two_rows_mut(at);
                    for (one, other) in one.iter_mut().zip(other) {
                        (*one, *other) = (cos * *one + sin * *other, cos * *other - sin * *one);
                    }
                }
            }
        }
        self.shapes.times_into(room, moved);
    }

    /// State transition over a stretch with this basis at its end.
    pub(super) fn transition(&self, basis: &[f64]) -> Matrix {
        let n = self.order();
        let mut moved = Matrix::zeros(n, n);
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    moved.add_to_row(at, 1.0 + rate * basis[at], self.inverse.row(at));
                }
                Motion::Ring { at, .. } => {
                    let (cos, sin) = (basis[at], basis[at + 1]);
                    let (one, other) = (self.inverse.row(at), self.inverse.row(at + 1));
                    moved.add_to_row(at, cos, one);
                    moved.add_to_row(at, sin, other);
                    moved.add_to_row(at + 1, cos, other);
                    moved.add_to_row(at + 1, -sin, one);
                }
            }
        }
        self.shapes.times(&moved)
    }

    /// The basis at the start of a stretch.
    pub(super) fn outset(&self, amplitudes: &Amplitudes, basis: &mut [f64]) {
        let n = self.order();
        basis.fill(0.0);
        for motion in &self.list {
            if let Motion::Ring { at, .. } = *motion {
                basis[at] = 1.0;
            }
        }
        (basis[n], basis[n + 1]) = amplitudes.outset;
        basis[n + 2] = 1.0;
    }

    /// The state where the basis is `end`, from the rows of the state turned. What it moves by is added to what it was: a large
    /// charge keeps its last digits.
    pub(super) fn arrive(&self, rows: &Matrix, amplitudes: &Amplitudes, from: &[f64], end: &[f64]) -> Few {
        let (mut small, mut large) = ([0.0; 2 * SMALL], Vec::new());
        let len = self.basis_len();
        let room = if len <= SMALL {
            &mut small[..2 * len]
        } else {
            large.resize(2 * len, 0.0);
            &mut large[..]
        };
        let (passed, curve) = room.split_at_mut(len);
        self.outset(amplitudes, passed);
        for (passed, end) in passed.iter_mut().zip(end) {
            *passed = end - *passed;
        }
        let value = |(i, &from): (usize, &f64)| {
            self.curve(rows.row(i), amplitudes, curve);
            from + dot(curve, passed)
        };
        from.iter().enumerate().map(value).collect()
    }

    /// What a unit departure of one load current, lasting for `s`, has done to the state at its end.
    pub(super) fn response(&self, load: usize, s: f64) -> Vec<f64> {
        let drive = &self.departing_drive[load];
        let mut amplitudes = vec![0.0; self.order()];
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => {
                    let x = rate * s;
                    amplitudes[at] = drive[at] * if x == 0.0 { s } else { x.exp_m1() / rate };
                }
                Motion::Ring { at, rate, ring } => {
                    // (e^(μs) − 1) / μ, μ = rate − i ring.
                    let size = (rate * s).exp();
                    let (sin, cos) = sin_cos(ring * s);
                    let (re, im) = (size * cos - 1.0, -size * sin);
                    let square = rate * rate + ring * ring;
                    let (gr, gi) = ((re * rate - im * ring) / square, (re * ring + im * rate) / square);
                    let (b1, b2) = (drive[at], drive[at + 1]);
                    amplitudes[at] = b1 * gr - b2 * gi;
                    amplitudes[at + 1] = b1 * gi + b2 * gr;
                }
            }
        }
        self.shapes.apply(&amplitudes)
    }
}

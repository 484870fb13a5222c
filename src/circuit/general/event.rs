//! The first instant at which a guard of a mode turns negative, to machine precision.
//!
//! Guards are looked at more often than the fastest motion alive can turn round twice; a dip between two looks is followed to
//! its bottom. Knows nothing of circuits.

use super::looks::{Alive, Stride, size};
use super::matrix::{Matrix, dot};
use super::modal::{Amplitudes, Modal, SMALL};

/// Looks a mains period at least.
const LOOKS: f64 = 24.0;
/// Looks after which the basis is worked out afresh.
const AFRESH: u32 = 32;
/// Time constants and radians that a look may span.
const SPANS: (f64, f64) = (1.0, 1.1);
/// A guard that falls no lower than this share of its size has only touched zero by rounding.
const TOUCH: f64 = 1e-14;

/// Share of the lower of two looks above which the crossing of their tangents rules out a dip below zero.
const TANGENTS: f64 = 0.5;
/// Share of the higher of two looks below which a bottom between them is looked at.
const LOW: f64 = 0.3;
/// Share of the time between two looks within which a known event is near.
const KNOWN: f64 = 1e-4;
/// A guard that starts within this share of its size starts on zero.
const START: f64 = 1e-11;

/// The first event within `until`: when and which guard. Where one is `expected`, its root is sought from there; whether it is
/// the first, or is at all, is not taken on trust.
pub(super) fn first(
    (modal, rows): (&Modal, &Matrix),
    amplitudes: &Amplitudes,
    phase: (f64, f64),
    until: f64,
    expected: Option<(f64, usize)>,
) -> Option<(f64, usize)> {
    let of = (modal, rows);
    match rows.rows {
        0 | 1 => within::<2>(of, amplitudes, phase, until, expected),
        2 => within::<4>(of, amplitudes, phase, until, expected),
        3 | 4 => within::<8>(of, amplitudes, phase, until, expected),
        5..=8 => within::<16>(of, amplitudes, phase, until, expected),
        9..=24 => within::<48>(of, amplitudes, phase, until, expected),
        _ => within::<128>(of, amplitudes, phase, until, expected),
    }
}

/// Basis functions for which a search asks for no memory, and rows of the size of a basis that it needs.
const SHORT: usize = 12;
const ROWS: usize = 3;

/// The same with room for `WIDTH` values and slopes.
fn within<const WIDTH: usize>(
    of: (&Modal, &Matrix),
    amplitudes: &Amplitudes,
    phase: (f64, f64),
    until: f64,
    expected: Option<(f64, usize)>,
) -> Option<(f64, usize)> {
    let len = of.0.basis_len();
    if len <= SHORT && WIDTH <= 8 {
        let (mut shares, mut room) = ([[0.0; WIDTH]; SHORT], [0.0; ROWS * SHORT]);
        let room = &mut room[..ROWS * len];
        Guards::new(of, amplitudes, phase, &mut shares[..len], room).first(until, expected, room)
    } else {
        let (mut shares, mut room) = (vec![[0.0; WIDTH]; len], vec![0.0; ROWS * len]);
        Guards::new(of, amplitudes, phase, &mut shares, &mut room).first(until, expected, &mut room)
    }
}

/// The curves of all guards in one stretch, with room for `WIDTH` values and slopes.
struct Guards<'a, const WIDTH: usize> {
    modal: &'a Modal,
    count: usize,
    /// Of every basis function its share in all values, then in all slopes.
    shares: &'a [[f64; WIDTH]],
    sizes: [f64; WIDTH],
    alive: Alive,
    theta: f64,
    omega: f64,
}

impl<'a, const WIDTH: usize> Guards<'a, WIDTH> {
    /// Leaves the basis at the start in the first row of `room`.
    fn new(
        (modal, rows): (&'a Modal, &Matrix),
        amplitudes: &Amplitudes,
        (theta, omega): (f64, f64),
        shares: &'a mut [[f64; WIDTH]],
        room: &mut [f64],
    ) -> Self {
        let count = rows.rows.min(WIDTH / 2);
        let len = shares.len();
        let mut sizes = [0.0; WIDTH];
        let (curve, slope) = room[..2 * len].split_at_mut(len);
        for i in 0..count {
            modal.curve(rows.row(i), amplitudes, curve);
            modal.derivative(curve, slope);
            sizes[i] = size(modal, curve);
            for (share, (&curve, &slope)) in shares.iter_mut().zip(curve.iter().zip(&*slope)) {
                (share[i], share[count + i]) = (curve, slope);
            }
        }
        let spans = (SPANS.0, SPANS.1, std::f64::consts::TAU / omega / LOOKS);
        let curve = |basis: usize, signal: usize| shares[basis][signal];
        let alive = Alive::new(modal, curve, &sizes[..count], spans);
        modal.outset(amplitudes, &mut room[..len]);
        Self { modal, count, shares, sizes, alive, theta, omega }
    }

    /// All values and slopes where the basis is known.
    fn look(&self, basis: &[f64]) -> [f64; WIDTH] {
        let mut seen = [0.0; WIDTH];
        for (&value, share) in basis.iter().zip(self.shares) {
            for (seen, share) in seen.iter_mut().zip(share) {
                *seen += value * share;
            }
        }
        seen
    }

    fn first(&self, until: f64, expected: Option<(f64, usize)>, room: &mut [f64]) -> Option<(f64, usize)> {
        let count = self.count;
        let longest = std::f64::consts::TAU / self.omega / LOOKS;
        let len = self.shares.len();
        let (mut basis, rest) = room.split_at_mut(len);
        let (mut basis_next, rest) = rest.split_at_mut(len);
        let mut stride = Stride::new(self.modal, self.omega, longest, &mut rest[..len]);
        let mut seen = self.look(basis);
        let mut s = 0.0;
        let mut looks = 0_u32;
        while s < until {
            let step = stride.within(self.alive.step(s));
            looks += 1;
            let next = if s + step >= until { until } else { s + step };
            // Every so often afresh, so that rounding does not add up.
            if next < until && !looks.is_multiple_of(AFRESH) {
                self.modal.advance(basis, stride.basis, basis_next);
            } else {
                self.modal.basis(next, self.theta + self.omega * next, basis_next);
            }
            let seen_next = self.look(basis_next);
            let mut found: Option<(f64, usize)> = None;
            for i in 0..count {
                let before = Seen { s, value: seen[i], slope: seen[count + i] };
                let after = Seen { s: next, value: seen_next[i], slope: seen_next[count + i] };
                let when = if let Some(low) = before.dips_between(after)
                    && let (value, slope) = self.at(i, low)
                    && value < -TOUCH * self.sizes[i]
                {
                    Some(self.crossing(i, before, Seen { s: low, value, slope }, None))
                } else if after.value < -TOUCH * self.sizes[i] {
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
            seen = seen_next;
            s = next;
        }
        None
    }

    fn at(&self, guard: usize, s: f64) -> (f64, f64) {
        let len = self.modal.basis_len();
        let (mut small, mut large) = ([0.0; SMALL], Vec::new());
        let basis = if len <= SMALL {
            &mut small[..len]
        } else {
            large.resize(len, 0.0);
            &mut large[..]
        };
        self.modal.basis(s, self.theta + self.omega * s, basis);
        let (mut value, mut slope) = (0.0, 0.0);
        for (&part, share) in basis.iter().zip(self.shares) {
            value += part * share[guard];
            slope += part * share[self.count + guard];
        }
        (value, slope)
    }

    fn crossing(&self, guard: usize, before: Seen, after: Seen, guess: Option<f64>) -> f64 {
        let (from, to) = (before.s, after.s);
        let (mut low, mut high) = (from, to);
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
        let arc = before.falls(after);
        // What is known from before is better where it is near; elsewhere it is of another run.
        let known = guess.filter(|when| (when - arc).abs() < KNOWN * (to - from));
        self.root(guard, low, high, known.unwrap_or(arc))
    }

    /// Safeguarded Newton from a guess: positive at `low`, not at `high`.
    fn root(&self, guard: usize, mut low: f64, mut high: f64, guess: f64) -> f64 {
        let mut s = guess;
        if !(s > low && s < high) {
            s = 0.5 * (low + high);
        }
        let width = high - low;
        let mut last = width;
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
            } else if foretold(step, last, width) <= f64::EPSILON * next.abs() {
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

/// The step that comes after one of Newton's: as its square, by what the last two show or the width it goes on in, whichever is more.
fn foretold(step: f64, last: f64, width: f64) -> f64 {
    step * step * (step.abs() / (last * last)).max(1.0 / width)
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
            if foretold(step, last, guess) <= f64::EPSILON * next || step.abs() <= f64::EPSILON * next {
                return Some(next);
            }
            last = step.abs();
            s = next;
        }
        None
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
    /// Where the arc through two looks with their slopes falls through zero; the chord where it does not.
    fn falls(self, after: Self) -> f64 {
        let width = after.s - self.s;
        let (rise, end) = (self.slope * width, after.slope * width);
        let fall = self.value - after.value;
        // v + r x + b x² + c x³, x the share of the time between.
        let (b, c) = (-3.0 * fall - 2.0 * rise - end, 2.0 * fall + rise + end);
        let chord = self.value / fall;
        let mut x = chord;
        for _ in 0..4 {
            let value = self.value + x * (rise + x * (b + x * c));
            x -= value / (rise + x * (2.0 * b + x * 3.0 * c));
        }
        self.s + width * if x > 0.0 && x < 1.0 { x } else { chord }
    }

    /// Where the guard turns round twice between two looks and comes low between them: a trend and the crest of a ringing do so
    /// within a fraction of its turn. The bottom of the arc through both looks, to be looked at.
    fn dips_between(self, after: Self) -> Option<f64> {
        let width = after.s - self.s;
        let (rise, end) = (self.slope * width, after.slope * width);
        let fall = self.value - after.value;
        let (b, c) = (-3.0 * fall - 2.0 * rise - end, 2.0 * fall + rise + end);
        let bends = b * b - 3.0 * rise * c;
        if rise * end <= 0.0 || rise * c <= 0.0 || bends <= 0.0 {
            return None;
        }
        let x = (-b + bends.sqrt()) / (3.0 * c);
        let bottom = self.value + x * (rise + x * (b + x * c));
        (x > 0.0 && x < 1.0 && bottom < LOW * self.value.abs().max(after.value.abs()))
            .then_some(self.s + x * width)
    }

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

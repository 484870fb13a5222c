//! Figures of a pulse known only by its state at any angle: graded quadrature, extremes marked on a grid and refined.
//!
//! Serves the circuits with leakage inductance and without a reservoir. State: current `x` and level `y`.

use super::summit::Summits;
use super::sums::Sums;
use crate::numeric::root::{Crossing, newton_between};
use crate::numeric::{decay, gauss};

/// Steps of the marking grid are at most this, rad.
const GRID: f64 = 0.12;
/// And at most this part of a radian of the ringing.
const RINGING_GRID: f64 = 0.4;
/// A pulse that rings more often than this is the general engine's.
pub(super) const GRID_MAX: u32 = 2000;
/// First panel of the quadrature, in decays of the fastest mode; later ones double.
///
/// Twelve points miss `e^(−s)` over a width `h` by `8.8e-39 h²⁵`: squares, which decay twice as fast, by 3e-16.
const FIRST_PANEL: f64 = 4.0;
/// Panels are at most this, rad, and this many radians of the ringing; by the same rule 1e-18 and 3e-16.
const PANEL: (f64, f64) = (3.2, 4.0);

/// Where on the grid the extremes lie, `ψ` before and after each.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Marks {
    pub peak: (f64, f64),
    pub valley: (f64, f64),
    pub crest: (f64, f64),
}

/// A pulse as a function of `ψ`, the angle from the crest of the EMF.
pub(super) trait Wave {
    /// First and last `ψ`.
    fn span(&self) -> (f64, f64);
    /// Current and level at `ψ` of this sine and cosine.
    fn state_at(&self, psi: f64, sin: f64, cos: f64) -> (f64, f64);
    /// Their slopes, given them.
    fn slope_at(&self, sin: f64, cos: f64, state: (f64, f64)) -> (f64, f64);
    /// Their curvatures, given their slopes.
    fn bend_at(&self, sin: f64, cos: f64, slope: (f64, f64)) -> (f64, f64);

    /// Current and level at `ψ`.
    #[inline]
    fn state(&self, psi: f64) -> (f64, f64) {
        let (sin, cos) = psi.sin_cos();
        self.state_at(psi, sin, cos)
    }
    /// Fastest decay and ringing, 1/rad.
    fn pace(&self) -> (f64, f64);
    /// Calls with `ψ`, `sin θ` and state at `count + 1` equidistant angles.
    fn walk(&self, count: u32, call: impl FnMut(f64, f64, (f64, f64)));

    /// Steps of a grid finer than any ringing.
    fn grid(&self) -> u32 {
        let (low, high) = self.span();
        let step = GRID.min(RINGING_GRID / self.pace().1.max(1e-9));
        // The cast saturates; `GRID_MAX` is compared by the caller.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive, saturating")]
        let count = ((high - low) / step).ceil() as u32;
        count.max(8)
    }

    /// Where `wx·x + wy·y + ws·sin θ` is stationary between two marks, and its value there.
    fn refine(&self, (low, high): (f64, f64), [wx, wy, ws]: [f64; 3], crossing: Crossing) -> f64 {
        let tolerance = 1e-4 * (high - low);
        let at = newton_between(low, high, 0.5 * (low + high), crossing, tolerance, |psi| {
            let (sin, cos) = psi.sin_cos();
            let slope = self.slope_at(sin, cos, self.state_at(psi, sin, cos));
            let bend = self.bend_at(sin, cos, slope);
            (wx * slope.0 + wy * slope.1 - ws * sin, wx * bend.0 + wy * bend.1 - ws * cos)
        });
        let (x, y) = self.state(at);
        wx * x + wy * y + ws * at.cos()
    }

    /// Greatest of `wx·x + wy·y + ws·sin θ` in the pulse.
    fn greatest(&self, weights: [f64; 3]) -> f64 {
        let mut looks = Summits::new();
        let count = self.grid();
        self.walk(count, |psi, sin, (x, y)| {
            looks.look(weights[0] * x + weights[1] * y + weights[2] * sin, psi);
        });
        let window = if looks.contested() { self.summit(weights) } else { self.near(looks.best.1) };
        self.refine(window, weights, Crossing::Downward).max(looks.best.0)
    }

    /// The angles of the grid before and after one of its own.
    fn near(&self, at: f64) -> (f64, f64) {
        let (low, high) = self.span();
        let step = (high - low) / f64::from(self.grid());
        ((at - step).max(low), (at + step).min(high))
    }

    /// Between which angles the greatest value lies, where several maxima of a ringing pulse contend for it.
    #[cold]
    fn summit(&self, weights: [f64; 3]) -> (f64, f64) {
        let mut looks = Summits::new();
        let mut found: Vec<(f64, f64)> = Vec::new();
        self.walk(self.grid(), |psi, sin, (x, y)| {
            found.extend(looks.look(weights[0] * x + weights[1] * y + weights[2] * sin, psi));
        });
        found.extend(looks.end());
        let mut best = (looks.best.0, self.near(looks.best.1));
        for (at, _) in found.into_iter().filter(|&(_, height)| height > looks.best.0) {
            let window = self.near(at);
            let value = self.refine(window, weights, Crossing::Downward);
            if value > best.0 {
                best = (value, window);
            }
        }
        best.1
    }

    /// Integrals over the pulse: charge, work, heat, level, `∫ x cos θ`, `∫ x'²`, `∫ (v − c)²`, `∫ (x − j − g y)²`.
    fn integrals(&self, rho: f64, centre: f64, j: f64, g: f64) -> [f64; 8] {
        let (fastest, ringing) = self.pace();
        let largest = PANEL.0.min(PANEL.1 / ringing.max(1e-9));
        let (low, high) = self.span();
        let mut sums = [0.0; 8];
        let (mut at, mut panel) = (low, (FIRST_PANEL / fastest).min(largest));
        while at < high {
            // No sliver at the end.
            let remaining = high - at;
            let width = if remaining < 1.5 * panel { remaining } else { panel };
            let (middle, half) = (at + 0.5 * width, 0.5 * width);
            for (node, weight) in gauss::TWELVE {
                for psi in [middle - half * node, middle + half * node] {
                    let (sin, cos) = psi.sin_cos();
                    let (x, y) = self.state_at(psi, sin, cos);
                    let slope = self.slope_at(sin, cos, (x, y)).0;
                    let above = y + rho * x - centre;
                    let swing = x - j - g * y;
                    let values =
                        [x, x * cos, x * x, y, -x * sin, slope * slope, above * above, swing * swing];
                    for (sum, value) in sums.iter_mut().zip(values) {
                        *sum += half * weight * value;
                    }
                }
            }
            at += width;
            panel = (2.0 * panel).min(largest);
            if remaining <= width {
                break;
            }
        }
        sums
    }
}

/// What the integrals of a pulse and of the rest after it amount to.
pub(super) struct Rest {
    /// Angle of a cycle.
    pub cycle: f64,
    /// Angle without current.
    pub off: f64,
    /// Level at turn-off.
    pub level: f64,
    /// Its rate of fall there.
    pub fall: f64,
    /// Decay of the level in the rest.
    pub ag: f64,
    /// Constant current of the load.
    pub j: f64,
    /// Conductance of the load.
    pub g: f64,
}

/// Sums of a cycle, and what the leakage adds to the square of the terminal voltage.
pub(super) fn sums(wave: &impl Wave, rest: &Rest, rho: f64, l: f64) -> (Sums, f64) {
    let Rest { cycle, off, level, fall, ag, j, g } = *rest;
    let centre = level - 0.5 * fall * off;
    let [charge, work, heat, level_sum, quadrature, surge, above, swing] = wave.integrals(rho, centre, j, g);
    let u = ag * off;
    let (once, twice) = (fall * off * off * decay::second(u), fall * fall * off.powi(3) * decay::third(u));
    let square = |from: f64| from * from * off - 2.0 * from * once + twice;
    let mean = (level_sum + level * off - once + rho * charge) / cycle;
    let about = above + square(level - centre);
    // Without current the capacitor gives what the load takes, `j + g y`, which decays with the level.
    let given = j + g * level;
    let swing_square = swing + given * given * off * decay::first(2.0 * u);
    let ripple_square = about / cycle - (mean - centre) * (mean - centre);
    let inductive = 2.0 * l * quadrature + l * l * surge;
    (Sums { charge, work, heat, mean, ripple_square, swing_square }, inductive)
}

//! Peaks and valleys of one pulse: diode peak, least and greatest output, greatest reverse voltage.
//!
//! Each is a stationary point of `A sin θ − G x(θ)` in an interval whose ends have slopes of known sign.

use std::f64::consts::PI;

use super::form::cosine_difference;
use super::pulse::Pulse;
use crate::numeric::decay;
use crate::numeric::root::{Crossing, newton_between, stationary_between};

/// A step below this part of the pulse width, or of the transient's angle where that is shorter, ends the search: the
/// error of the extreme value is of the order of its fourth power.
const LAST_STEP: f64 = 5e-4;

impl Pulse {
    /// Slope and curvature of the current at turn-on.
    #[inline]
    fn rise(&self) -> (f64, f64) {
        let slope = self.on.0 + self.form.fall(self.level_on());
        (slope, -self.form.b * slope - self.on.1 + self.form.ag * self.on.0)
    }

    /// Slope and curvature of the current at turn-off.
    #[inline]
    fn drop(&self) -> (f64, f64) {
        let slope = self.form.fall(self.level_off()) - self.off.0;
        (slope, -self.form.b * slope - self.off.1 - self.form.ag * self.off.0)
    }

    /// The stationary value of `wx·x + wy·y` in `low..=high` of `ψ`.
    #[inline]
    fn stationary(&self, [wx, wy]: [f64; 2], low: f64, high: f64, start: f64, crossing: Crossing) -> f64 {
        let f = &self.form;
        let tolerance = LAST_STEP * self.width() / (1.0 + f.b * self.width());
        // x = S sin θ + Q cos θ + transient and y = sin θ − t − x, both from turn-on.
        let (with_rise, with_turn) = (wx * f.s + wy * f.lift, (wy - wx) * f.q);
        let (amplitude, base) = ((wx - wy) * self.start, wy * self.level_on());
        stationary_between(low, high, start, crossing, tolerance, |psi| {
            let (sin, cos) = psi.sin_cos();
            let lost = -(-f.b * (psi + self.angles.lead)).exp_m1();
            let kept = f.b * amplitude * (1.0 - lost);
            let height = with_rise * cosine_difference((sin, cos), self.on)
                + with_turn * (sin + self.on.0)
                + amplitude * lost;
            [
                base + height,
                kept - with_rise * sin + with_turn * cos,
                -f.b * kept - with_rise * cos - with_turn * sin,
                f.b * f.b * kept + with_rise * sin - with_turn * cos,
            ]
        })
    }

    /// Greatest current, in units of `V̂/R'`: before the crest, where the output still rises.
    #[inline]
    pub(super) fn peak(&self) -> f64 {
        let (slope, curvature) = self.rise();
        let lead = self.angles.lead;
        self.stationary([1.0, 0.0], -lead, 0.0, -lead - slope / curvature, Crossing::Downward).max(0.0)
    }

    /// Least load voltage, in units of `V̂`: the kink at turn-on where the ESR lets it rise at once, else after it.
    #[inline]
    pub(super) fn valley(&self) -> f64 {
        let rho = self.scale.rho;
        let (rise, bend) = self.rise();
        let slope = self.on.0 - (1.0 - rho) * rise;
        if slope >= 0.0 {
            return self.level_on();
        }
        let lead = self.angles.lead;
        let start = -lead - slope / (-self.on.1 - (1.0 - rho) * bend);
        self.stationary([rho, 1.0], -lead, 0.0, start, Crossing::Upward)
    }

    /// Greatest load voltage, in units of `V̂`: after the crest.
    #[inline]
    pub(super) fn crest(&self) -> f64 {
        let rho = self.scale.rho;
        let (drop, bend) = self.drop();
        let lag = self.angles.lag;
        let start = lag - (-self.off.0 - (1.0 - rho) * drop) / (-self.off.1 - (1.0 - rho) * bend);
        self.stationary([rho, 1.0], 0.0, lag, start, Crossing::Downward)
    }

    /// Greatest of `A sin θ − G x` in the pulse, `0 ≤ G ≤ A`: just after the crest.
    #[inline]
    pub(super) fn greatest(&self, a: f64, g: f64) -> f64 {
        self.stationary([a - g, a], 0.0, self.angles.lag, 0.25 * self.angles.lag, Crossing::Downward)
            + a * self.form.t
    }

    /// Greatest of level less EMF without current, one pulse a period: `sin ε = fall·e^(−ag(π − lag − ε))`, `ε` before
    /// the trough of the EMF.
    #[inline]
    pub(super) fn trough(&self) -> f64 {
        let (fall, ag) = (self.form.fall(self.level_off()), self.form.ag);
        let span = PI - self.angles.lag;
        let at =
            newton_between(0.0, span, fall.min(1.0) * (-ag * span).exp(), Crossing::Upward, 1e-6, |before| {
                let (sin, cos) = before.sin_cos();
                let pull = fall * (-ag * (span - before)).exp();
                (sin - pull, cos - ag * pull)
            });
        let tau = span - at;
        at.cos() + self.level_off() - fall * tau * decay::first(ag * tau)
    }
}

//! One solved pulse: what the current and the output do between turn-on and turn-off, and the figures drawn from them,
//! each computed when it is asked for.
//!
//! Angles here are counted from the crest: `ψ = θ − π/2`, from `−lead` to `lag`.

use super::Unsolved;
use super::form::{Bank, Draw, Form, Scale, Source, cosine_difference};
use super::newton::{self, Angles};
use crate::numeric::decay;

/// The steady state of one reservoir without leakage inductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    pub(super) form: Form,
    pub(super) scale: Scale,
    pub(super) angles: Angles,
    /// Sine and cosine of the lead.
    pub(super) on: (f64, f64),
    /// Sine and cosine of the lag.
    pub(super) off: (f64, f64),
    /// Forced current at turn-on: minus the transient's amplitude.
    pub(super) start: f64,
}

impl Pulse {
    /// Solves for the two angles; nothing else is computed.
    #[inline]
    pub fn solve(source: &Source, bank: &Bank, draw: Draw) -> Result<Self, Unsolved> {
        let (form, scale) = Form::of(source, bank, draw)?;
        let angles = if form.j + form.g > 0.0 {
            newton::solve(&form)?
        } else {
            Angles { lead: 0.0, lag: 0.0, on: (0.0, 1.0), off: (0.0, 1.0), iterations: 0, bracketed: false }
        };
        let (on, off) = (angles.on, angles.off);
        let start = form.c0 + form.s * on.1 + form.q * on.0;
        let pulse = Self { form, scale, angles, on, off, start };
        if form.j > 0.0 && pulse.sinks() {
            return Err(Unsolved::Collapsed);
        }
        Ok(pulse)
    }

    /// Whether a constant current pulls the output to zero after turn-on; the bound spares most circuits the search.
    #[inline]
    fn sinks(&self) -> bool {
        let level = self.level_on();
        level - self.form.fall(level) * self.angles.lead <= 0.0 && self.min_v() <= 0.0
    }

    /// Largest residual of the cycle map, relative to the EMF peak.
    #[inline]
    pub fn residual(&self) -> f64 {
        let current = self.current(self.angles.lag, self.off);
        let level = self.level_after(self.rest()) - self.level_on();
        current.abs().max(level.abs())
    }

    /// Newton iterations taken.
    #[inline]
    pub fn iterations(&self) -> u32 {
        self.angles.iterations
    }

    /// Whether Newton's method gave way to the bracket.
    #[inline]
    pub fn bracketed(&self) -> bool {
        self.angles.bracketed
    }

    /// Width of the pulse, rad of the mains.
    #[inline]
    pub fn width(&self) -> f64 {
        self.angles.lead + self.angles.lag
    }

    /// Load voltage at the instant of turn-on, V: not below the minimum, and monotone in every element.
    #[inline]
    pub fn turn_on_v(&self) -> f64 {
        self.level_on() * self.scale.volts
    }

    /// Mean load voltage, V.
    #[inline]
    pub fn mean_v(&self) -> f64 {
        self.mean() * self.scale.volts
    }

    /// Least load voltage, V.
    #[inline]
    pub fn min_v(&self) -> f64 {
        self.valley() * self.scale.volts
    }

    /// Greatest load voltage, V.
    #[inline]
    pub fn max_v(&self) -> f64 {
        self.crest() * self.scale.volts
    }

    /// Mean current of the rectifier, all pulses, A: the load's mean.
    #[inline]
    pub fn rectified_mean_a(&self) -> f64 {
        self.charge() / self.form.cycle * self.scale.amps
    }

    /// rms current of the rectifier, all pulses, A: that of a bridge's winding.
    #[inline]
    pub fn rectified_rms_a(&self) -> f64 {
        (self.heat() / self.form.cycle).sqrt() * self.scale.amps
    }

    /// rms current of one diode, or of one half of a centre-tapped winding, A.
    #[inline]
    pub fn diode_rms_a(&self) -> f64 {
        (self.heat() / (2.0 * std::f64::consts::PI)).sqrt() * self.scale.amps
    }

    /// Mean current of one diode, A.
    #[inline]
    pub fn diode_avg_a(&self) -> f64 {
        self.charge() / (2.0 * std::f64::consts::PI) * self.scale.amps
    }

    /// Peak current of one diode, A.
    #[inline]
    pub fn diode_peak_a(&self) -> f64 {
        self.peak() * self.scale.amps
    }

    /// rms ripple current of the reservoir, A.
    #[inline]
    pub fn capacitor_rms_a(&self) -> f64 {
        let square = if self.form.g > 0.0 {
            self.sums().swing_square
        } else {
            // A constant current leaves the capacitor all the alternating part.
            self.heat() - self.form.cycle * self.form.j * self.form.j
        };
        self.scale.k * (square.max(0.0) / self.form.cycle).sqrt() * self.scale.amps
    }

    /// Level at turn-on.
    #[inline]
    pub(super) fn level_on(&self) -> f64 {
        self.on.1 - self.form.t
    }

    /// Level at turn-off.
    #[inline]
    pub(super) fn level_off(&self) -> f64 {
        self.off.1 - self.form.t
    }

    /// Angle without current, from turn-off to the next turn-on.
    #[inline]
    pub(super) fn rest(&self) -> f64 {
        self.form.cycle - self.width()
    }

    /// Current at `ψ` in the pulse, from its sine and cosine.
    #[inline]
    pub(super) fn current(&self, psi: f64, trig: (f64, f64)) -> f64 {
        let f = &self.form;
        let lost = -(-f.b * (psi + self.angles.lead)).exp_m1();
        f.s * cosine_difference(trig, self.on) - f.q * (trig.0 + self.on.0) + self.start * lost
    }

    /// Level at `ψ` in the pulse: as [`Self::current`], without the cancellation of `sin θ − t − x`.
    #[inline]
    pub(super) fn level(&self, psi: f64, trig: (f64, f64)) -> f64 {
        let f = &self.form;
        let lost = -(-f.b * (psi + self.angles.lead)).exp_m1();
        self.level_on() + f.lift * cosine_difference(trig, self.on) + f.q * (trig.0 + self.on.0)
            - self.start * lost
    }

    /// Level at `τ` after turn-off.
    #[inline]
    pub(super) fn level_after(&self, tau: f64) -> f64 {
        let level = self.level_off();
        level - self.form.fall(level) * tau * decay::first(self.form.ag * tau)
    }
}

//! Integrals over one pulse and the rest after it: charge, work, heat, output and its square.
//!
//! By parts, since the current is zero at both ends; by quadrature where the closed form would cancel. In units of
//! `V̂` and `V̂/R'`, integrated over the angle.

use super::form::{Form, cosine_difference};
use super::pulse::Pulse;
use crate::numeric::{decay, gauss};

/// Pulses shorter than this, rad, lose digits in the closed form of the heat (as the fourth power of the width).
const SHORT: f64 = 0.6;
/// Decay over the pulse up to which twelve points integrate it to rounding.
const SMOOTH: f64 = 6.0;
/// Decay over the pulse below which the closed form, which divides by it, loses digits.
const SLOW: f64 = 0.5;
/// Ripple, pp over `V̂`, below which the closed form of its square loses more than ten digits.
const FAINT: f64 = 2e-3;
/// Quadrature takes at most this many panels; beyond, the closed form keeps its digits.
const MAX_PANELS: f64 = 16.0;

/// Integrals over one cycle of the pulse.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Sums {
    /// `∫ x`.
    pub charge: f64,
    /// `∫ x sin θ`.
    pub work: f64,
    /// `∫ x²`.
    pub heat: f64,
    /// Mean load voltage.
    pub mean: f64,
    /// Mean square of the load voltage's alternating part.
    pub ripple_square: f64,
    /// `∫ (x − j − g y)²`: the capacitor's current, but for a factor `k`.
    pub swing_square: f64,
}

/// `∫ sin²θ` and `∫ sin θ` over the pulse.
#[inline]
fn sine_sums(pulse: &Pulse) -> (f64, f64) {
    let ((sp, cp), (sq, cq)) = (pulse.on, pulse.off);
    (0.5 * (pulse.width() + sp * cp + sq * cq), sp + sq)
}

impl Pulse {
    /// `∫ y` while the diode is off.
    #[inline]
    fn level_rest(&self) -> f64 {
        let (level, off) = (self.level_off(), self.rest());
        level * off - self.form.fall(level) * off * off * decay::second(self.form.ag * off)
    }

    /// `∫ x`, by the balance of charge: `x = sin θ − t − y` in the pulse, and what flows in flows out.
    #[inline]
    pub(super) fn charge(&self) -> f64 {
        if self.form.g > 0.0 { self.charge_given(self.level_rest()) } else { self.form.cycle * self.form.j }
    }

    /// `∫ (sin θ − t)` over the pulse.
    #[inline]
    fn emf(&self) -> f64 {
        self.on.0 + self.off.0 - self.form.t * self.width()
    }

    /// `∫ x`, given `∫ y` over the rest.
    #[inline]
    fn charge_given(&self, level_rest: f64) -> f64 {
        let f = &self.form;
        (f.cycle * f.j + f.g * (self.emf() + level_rest)) / (1.0 + f.g)
    }

    /// Mean load voltage.
    #[inline]
    pub(super) fn mean(&self) -> f64 {
        let level_rest = self.level_rest();
        self.mean_given(level_rest, self.charge_given(level_rest))
    }

    #[inline]
    fn mean_given(&self, level_rest: f64, charge: f64) -> f64 {
        (self.emf() - charge * (1.0 - self.scale.rho) + level_rest) / self.form.cycle
    }

    /// `∫ x²`.
    #[inline]
    pub(super) fn heat(&self) -> f64 {
        if self.by_quadrature() { self.summed(0.0)[1] } else { self.work_and_heat_closed(self.charge()).1 }
    }

    /// Whether quadrature keeps more digits than the closed form.
    #[inline]
    fn by_quadrature(&self) -> bool {
        let (width, turns) = (self.width(), self.form.b * self.width());
        turns < SLOW || (width < SHORT && turns < SMOOTH)
    }

    /// By parts: `−Mc + b Ms = ∫ F sin`, `Ms + b Mc = ∫ F cos`, `b ∫x² = Mc + ag Ms + a(j − gt) ∫x`, where `F` is the
    /// right side of the current's equation and `Ms`, `Mc` the moments of `x`.
    #[inline]
    fn work_and_heat_closed(&self, charge: f64) -> (f64, f64) {
        let f: &Form = &self.form;
        let ((sp, cp), (sq, cq)) = (self.on, self.off);
        let (sin_square, sin) = sine_sums(self);
        let cos_square = self.width() - sin_square;
        let sin_cos = 0.5 * (sp * sp - sq * sq);
        let cos = cq - cp;
        let steady = f.a * (f.j - f.g * f.t);
        let with_sin = sin_cos + f.ag * sin_square + steady * sin;
        let with_cos = cos_square + f.ag * sin_cos + steady * cos;
        let size = 1.0 / (1.0 + f.b * f.b);
        let in_phase = (with_cos + f.b * with_sin) * size;
        let quadrature = (f.b * with_cos - with_sin) * size;
        (in_phase, (quadrature + f.ag * in_phase + steady * charge) / f.b)
    }

    /// `∫ x sin θ`, `∫ x²` and `∫ (v − c)²` over the pulse, by twelve points a panel, placed about the panel's middle
    /// in pairs that share their sines and exponentials.
    #[inline]
    fn summed(&self, centre: f64) -> [f64; 3] {
        let f = &self.form;
        let panels = (f.b * self.width() / SMOOTH).ceil().clamp(1.0, MAX_PANELS);
        let half = 0.5 * self.width() / panels;
        let base = self.level_on() - centre;
        let mut sums = [0.0; 3];
        let mut tau = half;
        while tau < self.width() {
            let (sin_mid, cos_mid) = (tau - self.angles.lead).sin_cos();
            let lost_mid = -(-f.b * tau).exp_m1();
            for (x, weight) in gauss::TWELVE {
                let (sin, cos) = (half * x).sin_cos();
                let lost = -(-f.b * half * x).exp_m1();
                for (sin, lost) in [(-sin, -lost / (1.0 - lost)), (sin, lost)] {
                    let trig = (sin_mid * cos + cos_mid * sin, cos_mid * cos - sin_mid * sin);
                    let rise = cosine_difference(trig, self.on);
                    let transient = self.start * (lost_mid + lost - lost_mid * lost);
                    let quadrature = f.q * (trig.0 + self.on.0);
                    let current = f.s * rise - quadrature + transient;
                    let above = base + f.lift * rise + quadrature - transient + self.scale.rho * current;
                    sums[0] += weight * current * trig.1;
                    sums[1] += weight * current * current;
                    sums[2] += weight * above * above;
                }
            }
            tau += 2.0 * half;
        }
        sums.map(|sum| sum * half)
    }

    /// `∫ x sin θ` and `∫ x²` over the pulse and `∫ (v − c)²` over it.
    #[inline]
    fn pulse_sums(&self, charge: f64, centre: f64) -> [f64; 3] {
        if self.by_quadrature() {
            return self.summed(centre);
        }
        let (work, heat) = self.work_and_heat_closed(charge);
        let (part, width) = (1.0 - self.scale.rho, self.width());
        let f = &self.form;
        if f.a * (f.j + f.g) * self.rest() < FAINT && f.b * width < MAX_PANELS * SMOOTH {
            return [work, heat, self.summed(centre)[2]];
        }
        let shift = f.t + centre;
        let (sin_square, sin) = sine_sums(self);
        let emf = sin_square - 2.0 * shift * sin + shift * shift * width;
        [work, heat, emf - 2.0 * part * (work - shift * charge) + part * part * heat]
    }

    /// All integrals.
    pub(super) fn sums(&self) -> Sums {
        let f = &self.form;
        let (width, off, level) = (self.width(), self.rest(), self.level_off());
        let (fall, u) = (f.fall(level), f.ag * off);
        let once = fall * off * off * decay::second(u);
        let twice = fall * fall * off.powi(3) * decay::third(u);
        let level_rest = level * off - once;
        let charge = self.charge_given(level_rest);
        let mean = self.mean_given(level_rest, charge);
        let [work, heat, pulse_square] = self.pulse_sums(charge, mean);
        let rest_square = |centre: f64| {
            let above = level - centre;
            above * above * off - 2.0 * above * once + twice
        };
        let square = pulse_square + rest_square(mean);

        // ∫ y over the cycle, ∫ y² over it, ∫ x y over the pulse.
        let product = work - f.t * charge - heat;
        let level_sum = mean * f.cycle - self.scale.rho * charge;
        let (sin_square, sin) = sine_sums(self);
        let emf_square = sin_square - 2.0 * f.t * sin + f.t * f.t * width;
        let level_square = emf_square - 2.0 * (work - f.t * charge) + heat + rest_square(0.0);
        let swing_square = heat + f.j * f.j * f.cycle + f.g * f.g * level_square
            - 2.0 * (f.j * charge + f.g * product)
            + 2.0 * f.j * f.g * level_sum;
        Sums { charge, work, heat, mean, ripple_square: square / f.cycle, swing_square }
    }
}

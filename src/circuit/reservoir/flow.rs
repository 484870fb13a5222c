//! The two-state flow while a diode conducts through leakage inductance: `z = (x, y)`, `z' = M z + f`.
//!
//! ```text
//! l x' = sin θ − t − x − y,   y' = a (x − j − g y),   l = ωL/R'
//! ```
//! Modes real, equal or complex are written as decaying exponentials. Knows nothing of turn-on and turn-off.

use super::form::Form;
use crate::numeric::complex::Complex;
use crate::numeric::decay;

/// The flow's constants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Flow {
    /// `ωL/R'`.
    pub l: f64,
    /// Half the difference of the two diagonal rates.
    h: f64,
    /// Mean rate, negative.
    mu: f64,
    /// Real part of the modes' half distance.
    nu: f64,
    /// Imaginary part of it; zero without ringing.
    pub ringing: f64,
    /// The slower real mode, negative.
    slow: f64,
    /// Constant forced state.
    base: (f64, f64),
    /// Forced state's part with `sin θ` (real) and `cos θ` (imaginary).
    swing: (Complex, Complex),
    a: f64,
}

/// A matrix exponential of the flow, `[[xx, xy], [yx, yy]]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    pub xx: f64,
    pub xy: f64,
    pub yx: f64,
    pub yy: f64,
}

impl Step {
    #[inline]
    pub(super) fn apply(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.xx * x + self.xy * y, self.yx * x + self.yy * y)
    }
}

impl Flow {
    pub(super) fn of(form: &Form, l: f64) -> Self {
        let Form { a, g, j, t, ag, .. } = *form;
        let (h, mu) = (0.5 * (1.0 / l - ag), -0.5 * (1.0 / l + ag));
        let square = h * h - a / l;
        let (nu, ringing) = (square.max(0.0).sqrt(), (-square).max(0.0).sqrt());
        // The product of the modes is a (1 + g)/l: dividing keeps the slow one's digits.
        let slow = if ringing > 0.0 { mu } else { a * (1.0 + g) / l / (mu - nu) };
        let lag = Complex::new(ag, 1.0);
        let one = Complex::new(1.0, 0.0);
        let x = one / (Complex::new(1.0, l) + Complex::new(a, 0.0) / lag);
        let y = (x / lag).scale(a);
        let base = ((j - g * t) / (1.0 + g), -(t + j) / (1.0 + g));
        Self { l, h, mu, nu, ringing, slow, base, swing: (x, y), a }
    }

    /// The fastest rate at which a solution changes, 1/rad.
    #[inline]
    pub(super) fn fastest(&self) -> f64 {
        (self.nu - self.mu).hypot(self.ringing)
    }

    /// `e^(Mτ)`.
    #[inline]
    pub(super) fn step(&self, tau: f64) -> Step {
        let (even, odd) = if self.ringing > 0.0 {
            let kept = (self.mu * tau).exp();
            let (sin, cos) = (self.ringing * tau).sin_cos();
            (kept * cos, kept * sin / self.ringing)
        } else {
            let kept = (self.slow * tau).exp();
            let u = 2.0 * self.nu * tau;
            let mean = decay::first(u);
            (kept * (1.0 - 0.5 * u * mean), kept * tau * mean)
        };
        Step { xx: even - odd * self.h, xy: -odd / self.l, yx: odd * self.a, yy: even + odd * self.h }
    }

    /// Forced state where the EMF has this sine and cosine.
    #[inline]
    pub(super) fn forced(&self, sin: f64, cos: f64) -> (f64, f64) {
        let (x, y) = self.swinging(sin, cos);
        (self.base.0 + x, self.base.1 + y)
    }

    /// The alternating part of the forced state.
    #[inline]
    pub(super) fn swinging(&self, sin: f64, cos: f64) -> (f64, f64) {
        let (x, y) = self.swing;
        (x.re * sin + x.im * cos, y.re * sin + y.im * cos)
    }

    /// The constant part of the forced state.
    #[inline]
    pub(super) fn base(&self) -> (f64, f64) {
        self.base
    }
}

#[cfg(test)]
mod tests {
    use super::super::form::{Bank, Draw, Source};
    use super::*;

    fn form(omega_cr: f64) -> Form {
        let source =
            Source { emf_peak_v: 1.0, omega_rad_s: 1.0, resistance_ohm: 1.0, drop_v: 0.05, full_wave: true };
        let bank = Bank { capacitance_f: omega_cr, esr_ohm: 0.0 };
        Form::of(&source, &bank, Draw { current_a: 0.1, conductance_s: 0.2 }).expect("in the domain").0
    }

    /// Source: the defining property of the exponential, and its own differential equation.
    #[test]
    fn exponentials_multiply_and_solve_their_equation_for_real_and_complex_modes() {
        for (omega_cr, l) in [(50.0, 0.01), (50.0, 2.0), (0.5, 0.2), (2.0, 0.125), (1e4, 1e-4)] {
            let form = form(omega_cr);
            let flow = Flow::of(&form, l);
            let (half, whole) = (flow.step(0.35), flow.step(0.7));
            let twice = half.apply(half.apply((0.3, 0.8)));
            let once = whole.apply((0.3, 0.8));
            assert!((twice.0 - once.0).abs() < 1e-14 && (twice.1 - once.1).abs() < 1e-14);
            let d = 1e-5;
            let (before, after) =
                (flow.step(0.7 - d).apply((0.3, 0.8)), flow.step(0.7 + d).apply((0.3, 0.8)));
            let slope = ((after.0 - before.0) / (2.0 * d), (after.1 - before.1) / (2.0 * d));
            assert!((slope.0 + (once.0 + once.1) / l).abs() < 1e-6);
            assert!((slope.1 - form.a * (once.0 - form.g * once.1)).abs() < 1e-6);
        }
    }

    #[test]
    fn the_forced_state_solves_the_driven_equation() {
        let (form, l) = (form(3.0), 0.7);
        let flow = Flow::of(&form, l);
        let (sin, cos) = 0.4_f64.sin_cos();
        let (x, y) = flow.forced(sin, cos);
        let (dx, dy) = flow.swinging(cos, -sin);
        assert!((l * dx - (sin - form.t - x - y)).abs() < 1e-15);
        assert!((dy - form.a * (x - form.j - form.g * y)).abs() < 1e-15);
    }
}

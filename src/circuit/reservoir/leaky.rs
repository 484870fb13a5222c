//! One solved pulse through leakage inductance: the state inside it and its transforms.
//!
//! Angles are counted from the crest as in [`super::pulse`]; how it is found is in [`super::leaky_newton`].

use std::f64::consts::FRAC_PI_2;

use super::flow::Flow;
use super::form::{Form, Scale};
use super::spectrum::window;
use super::wave::{Marks, Wave};
use crate::numeric::complex::Complex;
use crate::numeric::decay;

/// The steady state of one reservoir fed through leakage inductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Leaky {
    pub form: Form,
    pub scale: Scale,
    pub flow: Flow,
    pub lead: f64,
    pub lag: f64,
    /// Level at turn-on.
    pub level_on: f64,
    /// Level at turn-off.
    pub level_off: f64,
    /// State at turn-on less the forced state there.
    pub free: (f64, f64),
    pub iterations: u32,
    pub residual: f64,
    pub marks: Marks,
}

impl Leaky {
    /// The pulse that starts at `lead` before the crest from a given level; its end is not yet known.
    pub(super) fn from_start(form: &Form, scale: &Scale, flow: &Flow, lead: f64, level_on: f64) -> Self {
        let (sin, cos) = lead.sin_cos();
        let forced = flow.forced(cos, sin);
        Self {
            form: *form,
            scale: *scale,
            flow: *flow,
            lead,
            lag: 0.0,
            level_on,
            level_off: level_on,
            free: (-forced.0, level_on - forced.1),
            iterations: 0,
            residual: 0.0,
            marks: Marks::default(),
        }
    }

    /// Angle without current.
    #[inline]
    pub(super) fn rest(&self) -> f64 {
        (self.form.cycle - self.lead - self.lag).max(0.0)
    }

    /// Level at `τ` after turn-off.
    #[inline]
    pub(super) fn level_after(&self, tau: f64) -> f64 {
        self.level_off - self.form.fall(self.level_off) * tau * decay::first(self.form.ag * tau)
    }

    /// `∫ x e^(−inθ)` over the pulse, from `(in − M) Z = ∫ f e^(−inθ) − [z e^(−inθ)]`.
    pub(super) fn transform(&self, order: u32) -> Complex {
        let Form { a, j, t, ag, .. } = self.form;
        let n = f64::from(order);
        let [at, sine, _] = window(self.lead, self.lag, n);
        let ends = Complex::unit(-n * (FRAC_PI_2 + self.lag)).scale(self.level_off)
            - Complex::unit(-n * (FRAC_PI_2 - self.lead)).scale(self.level_on);
        let lag = Complex::new(ag, n);
        let level = (-at.scale(a * j) - ends) / lag;
        (sine - at.scale(t) - level) / (Complex::new(1.0, n * self.flow.l) + Complex::new(a, 0.0) / lag)
    }
}

impl Wave for Leaky {
    #[inline]
    fn span(&self) -> (f64, f64) {
        (-self.lead, self.lag)
    }

    #[inline]
    fn state_at(&self, psi: f64, sin: f64, cos: f64) -> (f64, f64) {
        let forced = self.flow.forced(cos, -sin);
        let free = self.flow.step(psi + self.lead).apply(self.free);
        (forced.0 + free.0, forced.1 + free.1)
    }

    #[inline]
    fn slope_at(&self, _: f64, cos: f64, (x, y): (f64, f64)) -> (f64, f64) {
        let f = &self.form;
        ((cos - f.t - x - y) / self.flow.l, f.a * (x - f.j - f.g * y))
    }

    #[inline]
    fn bend_at(&self, sin: f64, _: f64, (dx, dy): (f64, f64)) -> (f64, f64) {
        ((-sin - dx - dy) / self.flow.l, self.form.a * (dx - self.form.g * dy))
    }

    fn pace(&self) -> (f64, f64) {
        (self.flow.fastest(), self.flow.ringing)
    }

    fn walk(&self, count: u32, mut call: impl FnMut(f64, f64, (f64, f64))) {
        let width = (self.lead + self.lag) / f64::from(count);
        let step = self.flow.step(width);
        let (turn_sin, turn_cos) = width.sin_cos();
        let (mut sin, mut cos) = self.lead.sin_cos();
        sin = -sin;
        let mut free = self.free;
        for index in 0..=count {
            let forced = self.flow.forced(cos, -sin);
            call(f64::from(index).mul_add(width, -self.lead), cos, (forced.0 + free.0, forced.1 + free.1));
            free = step.apply(free);
            (sin, cos) = (sin * turn_cos + cos * turn_sin, cos * turn_cos - sin * turn_sin);
        }
    }
}

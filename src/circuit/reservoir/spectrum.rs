//! Harmonics of the primary and the capacitor current in closed form.
//!
//! ```text
//! z_n = ∫ x e^(−inθ) over the pulse,   (b + in) z_n = ∫ (cos θ + ag sin θ + a(j − gt)) e^(−inθ)
//! ```
//! because `x` is zero at both ends.

use std::f64::consts::{PI, SQRT_2};

use super::form::Scale;
use super::pulse::Pulse;
use super::wiring::Connection;
use super::{Kind, Steady};
use crate::numeric::complex::Complex;

/// One harmonic: `√2 (sine · sin nθ + cosine · cos nθ)`, the EMF being `sin θ`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Harmonic {
    /// Order, in multiples of the mains frequency.
    pub order: u32,
    /// rms of the part in phase with the sine of the same order, A.
    pub sine_rms_a: f64,
    /// rms of the part in quadrature, A.
    pub cosine_rms_a: f64,
}

impl Harmonic {
    /// rms of the harmonic, A.
    #[inline]
    pub fn rms_a(&self) -> f64 {
        self.sine_rms_a.hypot(self.cosine_rms_a)
    }

    /// From the coefficient of `e^(inθ)` of a real wave.
    fn of(order: u32, coefficient: Complex) -> Self {
        Self { order, sine_rms_a: -SQRT_2 * coefficient.im, cosine_rms_a: SQRT_2 * coefficient.re }
    }
}

/// `∫ e^(−inθ)`, `∫ sin θ e^(−inθ)`, `∫ cos θ e^(−inθ)` over a pulse from `lead` before the crest to `lag` after it.
pub(super) fn window(lead: f64, lag: f64, n: f64) -> [Complex; 3] {
    let middle = 0.5 * (PI + lag - lead);
    let half = 0.5 * (lead + lag);
    let wave = |k: f64| {
        let size = if k.abs() < 0.5 { 2.0 * half } else { 2.0 * (k * half).sin() / k };
        Complex::unit(-k * middle).scale(size)
    };
    let (below, above) = (wave(n - 1.0), wave(n + 1.0));
    let difference = below - above;
    [wave(n), Complex::new(0.5 * difference.im, -0.5 * difference.re), (below + above).scale(0.5)]
}

impl Pulse {
    /// `∫ x e^(−inθ)` over the pulse.
    pub(super) fn transform(&self, order: u32) -> Complex {
        let f = &self.form;
        let n = f64::from(order);
        let [at, sine, cosine] = window(self.angles.lead, self.angles.lag, n);
        let forced = cosine + sine.scale(f.ag) + at.scale(f.a * (f.j - f.g * f.t));
        forced / Complex::new(f.b, n)
    }
}

impl Steady {
    /// The transform of a pulse, its scale, and the decay of the level where there is a reservoir.
    fn transforms(&self) -> (impl Fn(u32) -> Complex + '_, Scale, Option<f64>) {
        let (scale, decay) = match &self.kind {
            Kind::Reservoir(pulse) => (pulse.scale, Some(pulse.form.ag)),
            Kind::Leaky(leaky) => (leaky.scale, Some(leaky.form.ag)),
            Kind::Direct(direct) => (direct.scale, None),
        };
        let transform = |order| match &self.kind {
            Kind::Reservoir(pulse) => pulse.transform(order),
            Kind::Leaky(leaky) => leaky.transform(order),
            Kind::Direct(direct) => direct.transform(order),
        };
        (transform, scale, decay)
    }
}

/// Harmonics 1 to `last` of the primary current, referred to one half of the winding (turns ratio 1).
///
/// A half-wave circuit has all orders; with two pulses a period the even ones are zero.
pub fn harmonics(steady: &Steady, last: u32) -> Vec<Harmonic> {
    let (transform, scale, _) = steady.transforms();
    let amps = scale.amps;
    let one_pulse = steady.wiring.connection == Connection::HalfWave;
    (1..=last)
        .map(|order| match (one_pulse, order % 2) {
            (true, _) => Harmonic::of(order, transform(order).scale(amps / (2.0 * PI))),
            (false, 1) => Harmonic::of(order, transform(order).scale(amps / PI)),
            (false, _) => Harmonic { order, ..Harmonic::default() },
        })
        .collect()
}

/// The first `count` harmonics of the reservoir's ripple current; orders are multiples of the mains frequency, so a
/// full-wave circuit gives 2, 4, 6… . Empty without a reservoir.
///
/// While `y' = a (x − j − g y)` holds through the whole cycle, `i_c = k x_n · in/(in + ag)`.
pub fn capacitor_harmonics(steady: &Steady, count: u32) -> Vec<Harmonic> {
    let full_wave = steady.wiring.full_wave();
    let step = if full_wave { 2 } else { 1 };
    let cycle = if full_wave { PI } else { 2.0 * PI };
    let (transform, scale, decay) = steady.transforms();
    let Some(ag) = decay else { return Vec::new() };
    (1..=count)
        .map(|index| {
            let order = index * step;
            let turn = Complex::new(0.0, f64::from(order));
            let share = turn / (turn + Complex::new(ag, 0.0));
            Harmonic::of(order, (transform(order) * share).scale(scale.k * scale.amps / cycle))
        })
        .collect()
}

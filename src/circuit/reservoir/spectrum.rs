//! Harmonics of the primary and the capacitor current in closed form.
//!
//! ```text
//! z_n = ∫ x e^(−inθ) over the pulse,   (b + in) z_n = ∫ (cos θ + ag sin θ + a(j − gt)) e^(−inθ)
//! ```
//! because `x` is zero at both ends.

use std::f64::consts::{PI, SQRT_2};

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

impl Pulse {
    /// `∫ x e^(−inθ)` over the pulse.
    pub(super) fn transform(&self, order: u32) -> Complex {
        let f = &self.form;
        let middle = 0.5 * (PI + self.angles.lag - self.angles.lead);
        let half = 0.5 * self.width();
        // ∫ e^(−ikθ) over the pulse.
        let wave = |k: f64| {
            let size = if k == 0.0 { 2.0 * half } else { 2.0 * (k * half).sin() / k };
            Complex::unit(-k * middle).scale(size)
        };
        let n = f64::from(order);
        let (below, at, above) = (wave(n - 1.0), wave(n), wave(n + 1.0));
        let cosine = (below + above).scale(0.5);
        let difference = below - above;
        let sine = Complex::new(0.5 * difference.im, -0.5 * difference.re);
        let forced = cosine + sine.scale(f.ag) + at.scale(f.a * (f.j - f.g * f.t));
        forced / Complex::new(f.b, n)
    }
}

/// Harmonics 1 to `last` of the primary current, referred to one half of the winding (turns ratio 1).
///
/// A half-wave circuit has all orders; with two pulses a period the even ones are zero.
pub fn harmonics(steady: &Steady, last: u32) -> Vec<Harmonic> {
    let (transform, amps): (&dyn Fn(u32) -> Complex, f64) = match &steady.kind {
        Kind::Reservoir(pulse) => (&|order| pulse.transform(order), pulse.scale.amps),
    };
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
    match &steady.kind {
        Kind::Reservoir(pulse) => (1..=count)
            .map(|index| {
                let order = index * step;
                let turn = Complex::new(0.0, f64::from(order));
                let share = turn / (turn + Complex::new(pulse.form.ag, 0.0));
                let scale = pulse.scale.k * pulse.scale.amps / cycle;
                Harmonic::of(order, (pulse.transform(order) * share).scale(scale))
            })
            .collect(),
    }
}

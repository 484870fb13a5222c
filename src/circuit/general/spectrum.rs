//! Harmonics of the primary current and of capacitor currents.
//!
//! Gauss panels on exact samples, short against the highest order; orders that symmetry excludes are exactly zero.

use super::looks::{Alive, size};
use super::matrix::{Matrix, dot};
use super::places::Places;
use super::steady::Steady;
use crate::circuit::reservoir::Harmonic;
use crate::circuit::spec::Topology;
use crate::numeric::gauss::TWELVE;
use std::f64::consts::{FRAC_1_SQRT_2, TAU};

/// Radians of the highest order a panel may span.
const PANEL_RADIANS: f64 = 5.0;
/// Time constants a panel may span.
const PANEL_DECAYS: f64 = 2.6;

impl Steady {
    /// Harmonics of the primary current, referred to one half of the (first) winding, orders 1 to `last`.
    pub fn harmonics(&self, last: u32) -> Vec<Harmonic> {
        let places = Places::of(&self.net);
        self.transform(&places, places.primary, last)
    }

    /// Harmonics of a capacitor's current, orders 1 to `last`: of the first or second capacitor of an output, counted from 0
    /// (of a dual complementary circuit the negative output is 1). Of two in a doubler the more stressed one, as the figures have it:
    /// of a half-wave doubler the coupling capacitor, which carries what the winding does.
    pub fn capacitor_harmonics(&self, output: usize, second: bool, last: u32) -> Option<Vec<Harmonic>> {
        let out = self.net.outputs.get(output)?;
        let rail = self.net.rails.iter().find(|rail| rail.outputs.contains(&output))?;
        let coupled = rail.topology == Topology::HalfWaveDoubler;
        let first = if coupled { out.first_caps.last() } else { out.first_caps.first() };
        let index = if second { out.second_cap? } else { *first? };
        let places = Places::of(&self.net);
        Some(self.transform(&places, places.capacitor + index, last))
    }

    fn transform(&self, places: &Places, signal: usize, last: u32) -> Vec<Harmonic> {
        let (net, omega) = (&self.net, self.net.omega);
        let (other, sign) = places.mirrored(net)[signal];
        let folded = net.mirror.is_some();
        // Cosine and sine integrals of the signal and of what it will be half a period on.
        let orders = last as usize;
        let mut sums = vec![[0.0_f64; 4]; orders];
        let longest = PANEL_RADIANS / (f64::from(last.max(1)) * omega);
        for stretch in &self.stretches {
            let Some(ready) = self.cache.ready(stretch.mode) else { continue };
            let all = places.rows(net, self.cache.entry(stretch.mode));
            let mut rows = Matrix::zeros(2, all.cols);
            rows.row_mut(0).copy_from_slice(all.row(signal));
            rows.row_mut(1).copy_from_slice(all.row(other));
            let turned = ready.modal.turn(&rows);
            let mut curves = Matrix::zeros(2, ready.modal.basis_len());
            for i in 0..2 {
                ready.modal.curve(turned.row(i), &stretch.amplitudes, curves.row_mut(i));
            }
            let sizes: Vec<f64> = (0..2).map(|i| size(&ready.modal, curves.row(i))).collect();
            let alive =
                Alive::new(&ready.modal, |at, i| curves[(i, at)], &sizes, (PANEL_DECAYS, 2.0, longest));
            let mut basis = vec![0.0; ready.modal.basis_len()];
            let mut s = 0.0;
            while s < stretch.length {
                let next = (s + alive.step(s)).min(stretch.length);
                let (middle, half) = (0.5 * (s + next), 0.5 * (next - s));
                for (x, weight) in TWELVE.into_iter().flat_map(|(x, w)| [(x, w), (-x, w)]) {
                    let at = middle + half * x;
                    let theta = omega * (stretch.start + at);
                    ready.modal.basis(at, theta, &mut basis);
                    let now = half * weight * dot(curves.row(0), &basis);
                    let then = half * weight * dot(curves.row(1), &basis);
                    let (sin, cos) = theta.sin_cos();
                    let (mut sn, mut cn) = (0.0, 1.0);
                    for sum in &mut sums {
                        (sn, cn) = (sn * cos + cn * sin, cn * cos - sn * sin);
                        sum[0] += now * cn;
                        sum[1] += now * sn;
                        sum[2] += then * cn;
                        sum[3] += then * sn;
                    }
                }
                s = next;
            }
        }
        let scale = 2.0 * omega / TAU * FRAC_1_SQRT_2;
        (1..=last)
            .zip(sums)
            .map(|(order, [cos, sin, cos_then, sin_then])| {
                let turn = if order % 2 == 0 { sign } else { -sign };
                let (cosine, sine) = match (folded, other == signal) {
                    (false, _) => (cos, sin),
                    // The signal alone: doubled or gone.
                    (true, true) if turn < 0.0 => (0.0, 0.0),
                    (true, true) => (2.0 * cos, 2.0 * sin),
                    (true, false) => (cos + turn * cos_then, sin + turn * sin_then),
                };
                Harmonic { order, sine_rms_a: scale * sine, cosine_rms_a: scale * cosine }
            })
            .collect()
    }
}

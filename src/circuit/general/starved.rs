//! Loads that no steady state can feed, told without any search.
//!
//! ```text
//! while a path conducts:  R_w i + L i' + (R_s i, choke) = |e| - v,  v > 0;  over a period:  I (R_w/2 + R_s) < mean |e| = 2 E / π
//! energy:                 P <= Σ mean (|e| i − R_w i²) <= Σ E² / (8 R_w)
//! in the valley:          P > e²(t) / 4 R_w for |t| < τ about the zero of e;  ∫ (P − e²/4 R_w) dt ≤ Σ C V²/2,  V the most a capacitor holds
//! ```
//! `E` peak of the EMF · `R_w` resistance of a winding with its diodes, of which two at most carry the current together · `R_s`
//! resistance before the first capacitor. Of a doubler one capacitor may stand below nothing while the other holds more: twice the
//! EMF counts. The last holds of a single rail without inductance, which could store more. All bounds are generous: what is refused here is drawn to nothing for certain; most of what collapses is not.
//! Source: Kirchhoff's law and the balance of energy, each over one period.

use super::network::{Network, Rail};
use super::power;
use crate::circuit::spec::{Load, Topology};
use std::f64::consts::PI;

/// Share of the bounds that is left to rounding.
const ROUNDING: f64 = 1e-9;

/// Whether an output asks for more than its windings could ever give.
pub(super) fn is(net: &Network) -> bool {
    net.rails.iter().any(|rail| {
        let emf_v =
            rail.windings.iter().map(|&w| net.windings[w].gain.abs() * net.emf_peak).fold(0.0, f64::max);
        let winding_ohm =
            rail.windings.iter().map(|&w| net.windings[w].resistance).fold(f64::INFINITY, f64::min);
        rail.outputs.iter().any(|&o| {
            let output = &net.outputs[o];
            let slope_ohm = output.diodes.iter().map(|&d| net.diode_slope[d]).fold(f64::INFINITY, f64::min);
            let path_ohm = winding_ohm + slope_ohm;
            // Behind a reservoir the peak of the EMF drives through a section, not its mean.
            let before = output.section.as_ref().filter(|_| output.first_caps.is_empty());
            let section_ohm = before.map_or(0.0, |(ohm, _)| *ohm);
            match output.load {
                Load::Current(amps) => {
                    amps.0 * (section_ohm + 0.5 * path_ohm)
                        > (1.0 + ROUNDING) * 2.0 / PI * emf_v * stacked(rail)
                }
                Load::Power(_) => {
                    let most_w = output.diodes.len() as f64 * emf_v * emf_v / (8.0 * path_ohm);
                    power::watts(net, o) > (1.0 + ROUNDING) * most_w
                        || runs_dry(net, rail, o, (emf_v, path_ohm))
                }
                Load::Resistance(_) => false,
            }
        })
    })
}

/// Whether the capacitors of an output cannot hold what is drawn about the zero of the EMF and no winding can give there.
fn runs_dry(net: &Network, rail: &Rail, output: usize, (emf_v, path_ohm): (f64, f64)) -> bool {
    if net.rails.len() > 1 || !net.inductors.is_empty() {
        return false;
    }
    let out = &net.outputs[output];
    let drawn_w = power::watts(net, output);
    let most_w = emf_v * emf_v / (4.0 * path_ohm);
    let angle = (drawn_w / most_w).min(1.0).sqrt().asin();
    // ∫ P − (E²/4R) sin² over −angle..angle.
    let lacking_j = (2.0 * drawn_w * angle - most_w * (angle - 0.5 * (2.0 * angle).sin())) / net.omega;
    let farads: f64 = out.first_caps.iter().chain(&out.second_cap).map(|&c| net.capacitors[c].farads).sum();
    let held_v = stacked(rail) * emf_v;
    lacking_j > (1.0 + ROUNDING) * 0.5 * farads * held_v * held_v
}

/// Windings in series as an output sees them: of a doubler both capacitors are filled in turn.
fn stacked(rail: &Rail) -> f64 {
    if matches!(rail.topology, Topology::FullWaveDoubler | Topology::HalfWaveDoubler) { 2.0 } else { 1.0 }
}

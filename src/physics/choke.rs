//! What a choke input asks at its ends: the least current that never pauses, and how far the capacitor rises at switch-on.

use std::f64::consts::PI;

use super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts};

/// Depth of the choke current below its mean, of the whole rectified sine, as a share of `V̂/(ω L)`.
///
/// ```text
/// i(θ) − I = (V̂/ω L) (1 − cos θ − 2θ/π),   least where sin θ = 2/π:  1 − √(1 − 4/π²) − (2/π) arcsin(2/π) = −0.210514
/// ```
const DEPTH: f64 = 0.210_513_7;

/// What the workings print for [`least_current`].
pub const LEAST_CURRENT: Formula = Formula::new(
    "choke-least-current",
    ("I_c", "A"),
    "0.2105 V_m / (2 π f L)",
    &[
        sym("V_m", "V", "peak of the rectified voltage"),
        sym("π", "", "3.14159"),
        sym("f", "Hz", "mains frequency"),
        sym("L", "H", "inductance at that current"),
    ],
    "full-wave, capacitor so large that the choke takes the whole ripple; the first harmonic alone gives 0.2122",
    Source::Derived { from: "integral of the rectified sine less its mean" },
);

/// What the workings print for [`switch_on_crest`].
pub const SWITCH_ON_CREST: Formula = Formula::new(
    "choke-switch-on-crest",
    ("V_C", "V"),
    "(2 V_m/π) (2 + Σ 4 x² / ((4 k² − 1) (k² − x²)))",
    &[
        sym("V_m", "V", "peak of the rectified voltage"),
        sym("π", "", "3.14159"),
        sym("k", "", "1, 2, 3 …"),
        sym("x", "", "1/(4 π f √(L C)): resonance over ripple frequency"),
    ],
    "upper bound at every phase: no resistance, no load, diodes that never block; x below 1",
    Source::Derived { from: "step and harmonics of the rectified sine into a lossless LC" },
);

/// Least mean current of a full-wave choke input that never pauses; see [`LEAST_CURRENT`].
pub fn least_current(peak: Volts, inductance: Henries, mains: Hertz) -> Amps {
    Amps(DEPTH * peak.0 / (2.0 * PI * mains.0 * inductance.0))
}

/// Greatest voltages of the capacitors before and behind a choke after switch-on, both empty at first, without load.
///
/// ```text
/// V_2 = V_m (1 + e^(−π ζ/√(1 − ζ²))),  ζ = (R/2) √(C_2/L);   V_1 = V_m + 2 (V_2 − V_m) C_2/(C_1 + C_2)
/// ```
/// `V_m` peak of the rectified voltage · `R` least resistance of choke and second capacitor · `L` greatest inductance. The first is
/// held at no more than `V_m` while the choke draws from it, so the second rings as behind a battery; when it swings back the first,
/// whose diodes block, takes it up; where it is the smaller it may have sunk meanwhile, and `V_1 = 2 V_2 C_2/(C_1 + C_2)` is no less.
/// Bounds: no load, a mains that holds its peak. Derived: series resonance, charge and energy of two capacitors.
pub fn clc_crests(
    peak: Volts,
    (inductance, resistance): (Henries, Ohms),
    (first, second): (Farads, Farads),
) -> [Volts; 2] {
    let damping = 0.5 * resistance.0 * (second.0 / inductance.0).sqrt();
    let over = if damping < 1.0 { (-PI * damping / (1.0 - damping * damping).sqrt()).exp() } else { 0.0 };
    let behind = peak.0 * (1.0 + over);
    let share = 2.0 * second.0 / (first.0 + second.0);
    let before = peak.0 + share * (behind - peak.0);
    let sunk = if share > 1.0 { share * behind } else { 0.0 };
    [Volts(before.max(sunk)), Volts(behind)]
}

/// Greatest voltage of the capacitor behind a choke input after switch-on; see [`SWITCH_ON_CREST`].
///
/// Where the filter resonates at the ripple or above, nothing is promised: infinite.
pub fn switch_on_crest(peak: Volts, inductance: Henries, capacitance: Farads, mains: Hertz) -> Volts {
    let x = 1.0 / (4.0 * PI * mains.0 * (inductance.0 * capacitance.0).sqrt());
    if x.is_nan() || x >= 0.999 {
        return Volts(f64::INFINITY);
    }
    let term = |k: f64| 4.0 * x * x / ((4.0 * k * k - 1.0) * (k * k - x * x));
    // The rest of the sum, from order 200 on, is below its integral.
    let sum: f64 =
        (1..200).map(|k| term(f64::from(k))).sum::<f64>() + 4.0 * x * x / (4.0 * 3.0 * 199.0_f64.powi(3));
    Volts(2.0 * peak.0 / PI * (2.0 + sum))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::filter::critical_current;
    use approx::assert_relative_eq;
    use std::f64::consts::TAU;

    /// By hand: the depth from its own formula, and 0.8 % below the first harmonic's.
    ///
    /// Source: Wikipedia, Rectifier, output smoothing: L = R/(6 π f) for the first harmonic.
    #[test]
    fn the_depth_is_a_little_less_than_that_of_the_first_harmonic() {
        let start = (2.0 / PI).asin();
        assert_relative_eq!(DEPTH, (1.0 - start.cos() - 2.0 * start / PI).abs(), max_relative = 1e-6);
        let whole = least_current(Volts(1.0), Henries(1.0), Hertz(50.0)).0;
        let first = critical_current(Volts(2.0 / PI), Henries(1.0), Hertz(50.0)).0;
        assert_relative_eq!(whole / first, 0.992, max_relative = 1e-3);
    }

    /// Limit: behind a very large filter only the mean steps, and a lossless LC doubles a step.
    #[test]
    fn a_large_filter_doubles_the_mean() {
        let crest = switch_on_crest(Volts(1.0), Henries(100.0), Farads(1.0), Hertz(50.0)).0;
        assert_relative_eq!(crest, 4.0 / PI, max_relative = 1e-6);
        assert!(switch_on_crest(Volts(1.0), Henries(1e-6), Farads(1e-6), Hertz(50.0)).0.is_infinite());
    }

    /// Second method: the lossless LC behind a rectified sine, Runge-Kutta of fourth order, at 24 phases.
    #[test]
    fn no_phase_of_switch_on_goes_beyond_the_bound() {
        for (henry, farad) in [(0.02, 4.7e-3), (0.01, 1e-3), (0.005, 0.8e-3)] {
            let bound = switch_on_crest(Volts(1.0), Henries(henry), Farads(farad), Hertz(50.0)).0;
            let mut most = 0.0_f64;
            for phase in 0..24 {
                let at = |t: f64| (TAU * 50.0 * t + f64::from(phase) * PI / 24.0).sin().abs();
                let slope = |t: f64, [i, v]: [f64; 2]| [(at(t) - v) / henry, i / farad];
                let (mut state, step) = ([0.0_f64; 2], 2e-5);
                let plus = |a: [f64; 2], b: [f64; 2], by: f64| [a[0] + by * b[0], a[1] + by * b[1]];
                let mut t = 0.0;
                while t < 2.0 * PI * (henry * farad).sqrt() {
                    let k1 = slope(t, state);
                    let k2 = slope(t + step / 2.0, plus(state, k1, step / 2.0));
                    let k3 = slope(t + step / 2.0, plus(state, k2, step / 2.0));
                    let k4 = slope(t + step, plus(state, k3, step));
                    for at in 0..2 {
                        state[at] += step / 6.0 * (k1[at] + 2.0 * k2[at] + 2.0 * k3[at] + k4[at]);
                    }
                    t += step;
                    most = most.max(state[1]);
                }
            }
            assert!(most < bound && most > 0.6 * bound, "{henry} H, {farad} F: {most} of {bound}");
        }
    }
}

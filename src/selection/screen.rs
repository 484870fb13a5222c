//! Bounds that a candidate must meet whatever the rest: none needs slack, none can lose the optimum.
//!
//! Derivations: `DEVELOPERS.md`, "Bounds". They hold for a resistive source and a constant-current load at one vertex.

use std::f64::consts::PI;

/// A source and rectifier at one vertex.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// Peak of the EMF, V.
    pub emf_peak_v: f64,
    /// Threshold of all diodes in the path, V.
    pub threshold_v: f64,
    /// Resistance of the path, diodes included, Ω.
    pub resistance_ohm: f64,
    /// Angular frequency, rad/s.
    pub omega: f64,
    /// Pulses a period: 1 or 2.
    pub pulses: f64,
    /// Other capacitors in series with the one that is looked at: one in a doubler.
    pub others: f64,
    /// Load current, A.
    pub load_a: f64,
}

impl Feed {
    /// What the capacitor looked at must hold itself, V: no other ever stands above `V̂ − V_t`, to which its diode alone charges it.
    fn least_own_v(&self, volts: f64) -> f64 {
        volts - self.others * (self.emf_peak_v - self.threshold_v)
    }

    /// Half the angle in which the EMF exceeds a reservoir voltage and the threshold, rad; `None` where it never does.
    ///
    /// `f = acos((V + V_t)/V̂)`. While the reservoir stays above `V` no diode conducts outside it.
    pub fn half_window(&self, volts: f64) -> Option<f64> {
        let cosine = (self.least_own_v(volts) + self.threshold_v) / self.emf_peak_v;
        (cosine < 1.0).then(|| cosine.max(-1.0).acos())
    }

    /// Whether the source could hold the reservoir above a voltage with any capacitance.
    ///
    /// The diode current never exceeds `(e − V_t − V)/R` while the reservoir is above `V`, so its mean is at most
    /// `pulses · V̂ (sin f − f cos f)/(π R)`.
    pub fn can_hold(&self, volts: f64) -> bool {
        self.half_window(volts).is_some_and(|f| {
            let most = self.pulses * self.emf_peak_v * (f.sin() - f * f.cos()) / (PI * self.resistance_ohm);
            most >= self.load_a
        })
    }

    /// Least rms current of all pulses together when the reservoir stays above a voltage, A: `I √(2π / (pulses · 2 f))`.
    pub fn least_rms_a(&self, volts: f64) -> f64 {
        self.half_window(volts)
            .map_or(f64::INFINITY, |f| self.load_a * (PI / (self.pulses * f)).sqrt().max(1.0))
    }

    /// Least capacitance that can hold a voltage, F: the discharge lasts at least the rest of the cycle.
    ///
    /// `C ≥ I (2π/pulses − 2f) / (ω (V̂ − V_t − V))`.
    pub fn least_farad(&self, volts: f64) -> f64 {
        let Some(f) = self.half_window(volts) else { return f64::INFINITY };
        let rest = (2.0 * PI / self.pulses - 2.0 * f).max(0.0);
        self.load_a * rest / (self.omega * (self.emf_peak_v - self.threshold_v - self.least_own_v(volts)))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::circuit::reservoir::{Bank, Draw, Pulse, Source};

    proptest! {
        /// Second method: the exact steady state never beats a bound.
        #[test]
        fn no_exact_steady_state_beats_a_bound(
            peak in 5.0..80.0_f64, threshold in 0.0..0.1_f64, r in 1e-3..0.2_f64, wcr in 0.5..200.0_f64,
            esr in 0.0..0.3_f64, load in 1e-3..0.3_f64, full in any::<bool>(),
        ) {
            let source = Source {
                emf_peak_v: peak, omega_rad_s: 314.159, resistance_ohm: r * 10.0, drop_v: threshold * peak, full_wave: full,
            };
            let load_a = load * peak / (r * 10.0) * 0.2;
            let farad = wcr / (314.159 * peak / load_a);
            let bank = Bank { capacitance_f: farad, esr_ohm: esr * r };
            if let Ok(pulse) = Pulse::solve(&source, &bank, Draw::current(load_a)) {
                let feed = Feed {
                    emf_peak_v: peak, threshold_v: threshold * peak, resistance_ohm: r * 10.0, omega: 314.159,
                    pulses: if full { 2.0 } else { 1.0 }, others: 0.0, load_a,
                };
                let held = pulse.min_v();
                prop_assume!(held > 0.0);
                let slack = 1.0 + 1e-9;
                // With ESR the terminal dips below the capacitor's own voltage, so a bound on the held voltage is generous.
                prop_assert!(feed.can_hold(held * (1.0 - 1e-9)));
                prop_assert!(pulse.rectified_rms_a() * slack >= feed.least_rms_a(held));
                prop_assert!(farad * slack >= feed.least_farad(held));
            }
        }
    }
}

//! Inrush: energy taken by a limiter, the core's bound, pulses as integrals.
//!
//! The charging of the reservoir itself is solved elsewhere, exactly. Charging is worst when the mains is switched near its
//! peak, magnetising when it is switched near its zero: their peaks are never added.

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, AmpsSquaredSeconds, Farads, Joules, Ohms, Ratio, Seconds, Volts};

/// What the workings print for [`core_peak_bound`].
pub const CORE_INRUSH_BOUND: Formula = Formula::new(
    "core-inrush-bound",
    ("I_pk", "A"),
    "√2 V / R_p",
    &[
        sym("V", "V", "mains high, rms"),
        sym("R_p", "Ω", "primary resistance at 20 °C and all in series with it"),
    ],
    "an upper bound: core saturated, winding without inductance",
    Source::Derived { from: "Ohm at the peak of the mains" },
);

/// What the workings print for [`capacitance_max`].
pub const NTC_CAPACITANCE: Formula = Formula::new(
    "ntc-capacitance-max",
    ("C_max", "F"),
    "C_r (V_r / V)²",
    &[
        sym("C_r", "F", "greatest capacitance stated"),
        sym("V_r", "V", "voltage at which it is stated"),
        sym("V", "V", "voltage in use"),
    ],
    "equal energy; both peak or both rms",
    Source::Derived { from: "the thermistor takes at most the energy C V²/2 of the capacitor" },
);

/// What the workings print for [`decay_integral`].
pub const DECAY_INTEGRAL: Formula = Formula::new(
    "inrush-decay-integral",
    ("I²t", "A²s"),
    "I_pk² τ / 2",
    &[sym("I_pk", "A", "peak"), sym("τ", "s", "time constant")],
    "exponential decay from the peak",
    Source::Derived { from: "integral of a squared exponential" },
);

/// What the workings print for [`maker_multiple`].
pub const CORE_INRUSH_MULTIPLE: Formula = Formula::new(
    "core-inrush-multiple",
    ("I_pk", "A"),
    "x S / V",
    &[
        sym("x", "", "multiple of the rated current; witnesses from 8 to 90, toroids highest"),
        sym("S", "VA", "rated apparent power"),
        sym("V", "V", "rated primary voltage"),
    ],
    "rule of thumb; sources disagree",
    Source::Published {
        title: "Powertronix, inrush current protection",
        place: "30 to 90 times the operating current for toroids",
        known: Known::Seen,
    },
);

/// Upper bound of the magnetising inrush peak; see [`CORE_INRUSH_BOUND`].
pub fn core_peak_bound(mains_high_rms: Volts, series_resistance: Ohms) -> Amps {
    Amps(std::f64::consts::SQRT_2 * mains_high_rms.0 / series_resistance.0)
}

/// Upper bound of the integral of one magnetising inrush half-cycle of a peak: a half-sine of the half period.
///
/// The saturated part is shorter than the half period, so the integral is an upper bound for that half-cycle.
pub fn core_integral_bound(peak: Amps, mains_period: Seconds) -> AmpsSquaredSeconds {
    AmpsSquaredSeconds(peak.0 * peak.0 * mains_period.0 / 4.0)
}

/// Rule-of-thumb inrush peak; see [`CORE_INRUSH_MULTIPLE`].
pub fn maker_multiple(multiple: f64, rated_primary: Amps) -> Amps {
    rated_primary * multiple
}

/// Energy a limiter takes while a capacitor is charged through it, at most: `C V²/2` at the peak.
pub fn limiter_energy(capacitance: Farads, peak: Volts) -> Joules {
    super::bleeder::stored_energy(capacitance, peak)
}

/// Greatest capacitance a thermistor admits at another voltage; see [`NTC_CAPACITANCE`].
pub fn capacitance_max(stated: Farads, stated_at: Volts, used_at: Volts) -> Farads {
    let ratio = stated_at / used_at;
    stated * (ratio * ratio)
}

/// Reservoir referred to the primary through the turns ratio (primary over secondary): `C / n²`.
pub fn referred_capacitance(secondary: Farads, primary_over_secondary: Ratio) -> Farads {
    secondary / (primary_over_secondary.0 * primary_over_secondary.0)
}

/// Integral of an exponentially decaying inrush; see [`DECAY_INTEGRAL`].
pub fn decay_integral(peak: Amps, time_constant: Seconds) -> AmpsSquaredSeconds {
    AmpsSquaredSeconds(peak.0 * peak.0 * time_constant.0 / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: D. A. Bell, Electronic Devices and Circuits, Example 3.6: 21.7 V peak through 0.72 Ω surges with 30 A.
    #[test]
    fn a_bound_by_resistance_is_ohm_at_the_peak() {
        let found = core_peak_bound(Volts(21.7 / std::f64::consts::SQRT_2), Ohms(0.72));
        assert_relative_eq!(found.0, 30.0, max_relative = 0.006);
    }

    /// Source: Powertronix, inrush current protection: 30 to 90 times for toroids; the bound of a 100 VA, 230 V toroid with
    /// 12 Ω (common practice) lies within them.
    #[test]
    fn the_bound_of_a_common_toroid_lies_in_the_published_range() {
        let bound = core_peak_bound(Volts(253.0), Ohms(12.0)).0;
        let rated = Amps(100.0 / 230.0);
        assert!(bound > maker_multiple(30.0, rated).0 && bound < maker_multiple(90.0, rated).0);
    }

    #[test]
    fn a_capacitor_seen_through_the_transformer_stores_the_same_energy() {
        let referred = referred_capacitance(Farads(10e-3), Ratio(10.0));
        assert_relative_eq!(
            limiter_energy(referred, Volts(200.0)).0,
            limiter_energy(Farads(10e-3), Volts(20.0)).0,
            max_relative = 1e-12
        );
    }

    proptest! {
        #[test]
        fn the_capacitance_allowed_holds_the_stated_energy(c in 1e-6..1e-2_f64, v in 50.0..400.0_f64) {
            let allowed = capacitance_max(Farads(c), Volts(325.0), Volts(v));
            let stated = limiter_energy(Farads(c), Volts(325.0)).0;
            prop_assert!((limiter_energy(allowed, Volts(v)).0 - stated).abs() < 1e-9 * stated);
        }

        /// Second method: numeric integral.
        #[test]
        fn a_decaying_pulse_integrates_to_half_its_time_constant(peak in 1.0..100.0_f64, tau in 1e-3..0.1_f64) {
            let step = tau / 2000.0;
            let sum: f64 = (0..40_000).map(|n| {
                let t = (f64::from(n) + 0.5) * step;
                (peak * (-t / tau).exp()).powi(2) * step
            }).sum();
            let found = decay_integral(Amps(peak), Seconds(tau)).0;
            prop_assert!((found - sum).abs() < 1e-5 * sum);
        }

        #[test]
        fn one_half_sine_of_the_half_period_is_never_less_than_a_shorter_pulse(peak in 1.0..100.0_f64, share in 0.1..1.0_f64) {
            let period = Seconds(0.02);
            let shorter = super::super::diode::surge_integral(Amps(peak), Seconds(period.0 / 2.0 * share));
            prop_assert!(core_integral_bound(Amps(peak), period).0 >= shorter.0 - 1e-12);
        }
    }
}

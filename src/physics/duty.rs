//! A peak load that comes back: how much of it a warm body sees.
//!
//! Knows no part: time constants come in as numbers.

use super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Ratio, Seconds};

/// What the workings print for [`weight`].
pub const PEAK_WEIGHT: Formula = Formula::new(
    "peak-weight",
    ("w", ""),
    "(1 − exp(−t/τ)) / (1 − exp(−T/τ))",
    &[
        sym("t", "s", "duration of the peak"),
        sym("T", "s", "period with which it comes back, duration over share of the time"),
        sym("τ", "s", "thermal time constant of the body"),
    ],
    "one time constant, equal peaks at equal distances; at the end of a peak, where the body is warmest",
    Source::Derived { from: "first-order heat balance under a rectangular power, settled" },
);

/// What the workings print for [`heating_current`].
pub const HEATING_CURRENT: Formula = Formula::new(
    "heating-current",
    ("I_h", "A"),
    "√(I_c² + w (I_p² − I_c²))",
    &[
        sym("I_c", "A", "greatest continuous load"),
        sym("I_p", "A", "peak load"),
        sym("w", "", "weight of the peak: its share of the time for bodies far slower than its period"),
    ],
    "exact where heat grows with the square of the current, never optimistic where it grows less",
    Source::Derived { from: "heat of a resistance; convexity of the square" },
);

/// Weight of a peak of a duration and a share of the time for a body of a time constant; see [`PEAK_WEIGHT`].
///
/// From the share itself (a slow body) to 1 (a fast one); a share of zero is a single peak.
pub fn weight(duration: Seconds, share: Ratio, time_constant: Seconds) -> Ratio {
    let on = duration.0 / time_constant.0;
    let period = if share.0 > 0.0 { on / share.0.min(1.0) } else { f64::INFINITY };
    let weight = (-on).exp_m1() / (-period).exp_m1();
    // A peak without length has no weight of its own but its share.
    Ratio(if weight.is_nan() { share.0 } else { weight.clamp(0.0, 1.0) })
}

/// Steady current that heats as a continuous load with a weighted peak does; see [`HEATING_CURRENT`].
pub fn heating_current(continuous: Amps, peak: Amps, weight: Ratio) -> Amps {
    let (low, high) = (continuous.0 * continuous.0, peak.0 * peak.0);
    Amps((low + weight.0 * (high - low)).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Limits: a slow body sees the mean, so the current is the rms of the profile; a fast one the peak itself.
    #[test]
    fn a_slow_body_sees_the_rms_of_the_profile_and_a_fast_one_the_peak() {
        let slow = weight(Seconds(0.02), Ratio(0.1), Seconds(1e5));
        assert_relative_eq!(slow.0, 0.1, max_relative = 1e-5);
        // √(0.9 · 1² + 0.1 · 3²) = √1.8.
        let rms = heating_current(Amps(1.0), Amps(3.0), slow);
        assert_relative_eq!(rms.0, 1.8_f64.sqrt(), max_relative = 1e-5);
        let fast = weight(Seconds(10.0), Ratio(0.1), Seconds(0.1));
        assert_relative_eq!(fast.0, 1.0, max_relative = 1e-12);
        assert_relative_eq!(heating_current(Amps(1.0), Amps(3.0), fast).0, 3.0, max_relative = 1e-12);
    }

    /// By hand: a peak of one time constant, twice as long between: (1 − 1/e)/(1 − 1/e³) = 0.63212/0.95021.
    #[test]
    fn a_peak_of_one_time_constant_weighs_what_the_exponentials_say() {
        let found = weight(Seconds(60.0), Ratio(1.0 / 3.0), Seconds(60.0));
        assert_relative_eq!(found.0, 0.632_120_56 / 0.950_212_93, max_relative = 1e-7);
        // A single peak: 1 − 1/e. A peak that lasts for ever: 1.
        assert_relative_eq!(
            weight(Seconds(60.0), Ratio(0.0), Seconds(60.0)).0,
            0.632_120_56,
            max_relative = 1e-7
        );
        assert_relative_eq!(weight(Seconds(60.0), Ratio(1.0), Seconds(60.0)).0, 1.0, max_relative = 1e-12);
    }

    proptest! {
        /// Second method: the heat balance stepped through many periods.
        #[test]
        fn the_weight_is_what_a_body_stepped_through_many_periods_comes_to(
            on in 0.05..3.0_f64, share in 0.05..0.95_f64,
        ) {
            let period = on / share;
            let mut rise = 0.0_f64;
            for _ in 0..2000 {
                rise = 1.0 + (rise - 1.0) * (-on).exp();
                let end = rise;
                rise *= (-(period - on)).exp();
                if (rise / end).abs() < 1e-14 { break; }
            }
            let end = 1.0 + (rise - 1.0) * (-on).exp();
            prop_assert!((weight(Seconds(on), Ratio(share), Seconds(1.0)).0 - end).abs() < 1e-9);
        }
    }
}

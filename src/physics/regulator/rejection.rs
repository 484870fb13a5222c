//! Ripple rejection of a regulator, and what it is worth near drop-out.
//!
//! Knows no frequency: the rating is at 100 or 120 Hz and is used there.

use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Ratio, Volts};

/// What the workings print for [`output_ripple`].
pub const OUTPUT_RIPPLE: Formula = Formula::new(
    "regulator-output-ripple",
    ("V_r_out", "V"),
    "V_r_in 10^(−A / 20)",
    &[sym("V_r_in", "V", "raw ripple, peak to peak"), sym("A", "dB", "rejection at that headroom")],
    "ripple at the rating's frequency; its harmonics are rejected less well and are smaller",
    Source::Published {
        title: "A. Malvino and D. Bates, Electronic Principles, 8th ed.",
        place: "Example 22-12",
        known: Known::Seen,
    },
);

/// What the workings print for [`rejection_at`].
pub const REJECTION_NEAR_DROPOUT: Formula = Formula::new(
    "regulator-rejection-near-dropout",
    ("A", "dB"),
    "A_r min(h / h_r, 1)",
    &[
        sym("A_r", "dB", "stated rejection, less the policy's allowance where it is typical"),
        sym("h", "V", "headroom above drop-out"),
        sym("h_r", "V", "headroom from which it counts in full: its test condition's, at most 1 V"),
    ],
    "headroom above zero; below it the regulator follows its input and no ripple is claimed",
    Source::Derived {
        from: "chord of a rejection that is concave in headroom and nothing at drop-out: a lower bound",
    },
);

/// Headroom above the greatest drop-out from which a rejection is taken as full where its own test condition is wider:
/// common practice, no source. Makers state rejection several volts above drop-out and guarantee nothing between.
pub const FULL_REJECTION_HEADROOM: Volts = Volts(1.0);

/// Headroom from which a stated rejection counts in full: that of its test condition (input less output, less drop-out), or
/// [`FULL_REJECTION_HEADROOM`] where that is less.
pub fn full_headroom(stated_differential: Volts, dropout: Volts) -> Volts {
    (stated_differential - dropout).max(Volts(0.0)).min(FULL_REJECTION_HEADROOM)
}

/// Rejection at a headroom, in dB; `None` where the headroom is not above zero; see [`REJECTION_NEAR_DROPOUT`].
///
/// Below full headroom the chord to nothing at drop-out: a lower bound of any rejection that is concave in headroom.
pub fn rejection_at(stated_db: f64, stated_headroom: Volts, headroom: Volts) -> Option<f64> {
    if headroom.0 > 0.0 {
        let part = if stated_headroom.0 > 0.0 { (headroom / stated_headroom).min(1.0) } else { 1.0 };
        Some(stated_db * part)
    } else {
        None
    }
}

/// Output ripple, peak to peak; see [`OUTPUT_RIPPLE`].
pub fn output_ripple(raw_pp: Volts, rejection_db: f64) -> Volts {
    raw_pp * ratio(rejection_db).0
}

/// What is left of a ripple after a rejection in dB.
pub fn ratio(rejection_db: f64) -> Ratio {
    Ratio(10_f64.powf(-rejection_db / 20.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: A. Malvino and D. Bates, Electronic Principles, 8th ed., Example 22-12: 1 V peak to peak behind 72 dB (a ratio
    /// of 3981) is 0.25 mV.
    #[test]
    fn seventy_two_decibels_leave_a_quarter_millivolt_of_a_volt() {
        assert_relative_eq!(1.0 / ratio(72.0).0, 3981.0, max_relative = 1e-4);
        assert_relative_eq!(output_ripple(Volts(1.0), 72.0).0, 0.25e-3, max_relative = 0.006);
    }

    /// Source: D. A. Bell, Electronic Devices and Circuits, Example 18.1: a loop gain of 100 rejects by 40 dB.
    #[test]
    fn forty_decibels_are_a_hundred() {
        assert_relative_eq!(ratio(40.0).0, 0.01, max_relative = 1e-12);
    }

    /// Common practice: a 10 V test condition of a part that drops 2.5 V counts from 1 V above drop-out; one of 0.8 V, as is.
    #[test]
    fn a_wide_test_condition_counts_from_one_volt_above_drop_out() {
        assert_eq!(full_headroom(Volts(10.0), Volts(2.5)), Volts(1.0));
        assert_relative_eq!(full_headroom(Volts(1.3), Volts(0.5)).0, 0.8, max_relative = 1e-12);
        assert_eq!(full_headroom(Volts(1.0), Volts(2.5)), Volts(0.0));
    }

    #[test]
    fn at_drop_out_nothing_is_claimed_and_at_full_headroom_the_rating() {
        assert_eq!(rejection_at(60.0, Volts(2.0), Volts(0.0)), None);
        assert_eq!(rejection_at(60.0, Volts(2.0), Volts(f64::NAN)), None);
        assert_eq!(rejection_at(60.0, Volts(2.0), Volts(5.0)), Some(60.0));
        assert_eq!(rejection_at(60.0, Volts(2.0), Volts(1.0)), Some(30.0));
    }

    proptest! {
        #[test]
        fn more_headroom_never_lets_more_ripple_through(h in 0.01..3.0_f64, more in 0.0..2.0_f64) {
            let left = |h: f64| output_ripple(Volts(1.0), rejection_at(65.0, Volts(1.5), Volts(h)).unwrap()).0;
            prop_assert!(left(h + more) <= left(h) * (1.0 + 1e-12));
        }
    }
}

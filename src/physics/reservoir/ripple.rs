//! Ripple current of a reservoir: the equivalent at the rating's frequency, the core's rise, sharing in a bank.
//!
//! Knows no waveform; harmonics come in as (frequency, rms).

use super::super::domain::DomainError;
use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Hertz, Kelvins, Ratio};

/// What the workings print for [`equivalent`].
pub const RIPPLE_EQUIVALENT: Formula = Formula::new(
    "reservoir-ripple-equivalent",
    ("I_eq", "A"),
    "√(Σ(I_h / k_h)²)",
    &[
        sym("I_h", "A", "rms of one harmonic of the capacitor current"),
        sym("k_h", "", "maker's frequency multiplier at that harmonic"),
    ],
    "from the lowest frequency of the multiplier table; above its highest the last multiplier holds",
    Source::Published {
        title: "electrolytic capacitor makers' application notes",
        place: "combination of ripple currents of several frequencies",
        known: Known::Memory,
    },
);

/// What the workings print for [`core_rise`].
pub const CORE_RISE: Formula = Formula::new(
    "reservoir-core-rise",
    ("ΔT", "K"),
    "ΔT_0 (I_eq / I_R)²",
    &[
        sym("ΔT_0", "K", "core rise at rated ripple"),
        sym("I_eq", "A", "equivalent ripple current, rms"),
        sym("I_R", "A", "rated ripple current, rms"),
    ],
    "same cooling as in the rating",
    Source::Published {
        title: "Rubycon Corporation, life-time calculation formula",
        place: "ΔT_j = ΔT_j0 (I/(F I_0))²",
        known: Known::Seen,
    },
);

/// What the workings print for [`share`].
pub const BANK_SHARE: Formula = Formula::new(
    "reservoir-bank-share",
    ("I_1", "A"),
    "u I / n",
    &[
        sym("u", "", "imbalance factor, 1.1"),
        sym("I", "A", "ripple current of the bank, rms"),
        sym("n", "", "equal parts in parallel"),
    ],
    "equal parts of one lot; one part alone carries I",
    Source::CommonPractice,
);

/// Frequency multipliers of a ripple rating: at each frequency the current allowed relative to the rating.
#[derive(Clone, Debug, PartialEq)]
pub struct Multipliers(Vec<(Hertz, Ratio)>);

impl Multipliers {
    /// From points in ascending frequency with positive multipliers.
    pub fn new(points: &[(Hertz, Ratio)]) -> Result<Self, DomainError> {
        DomainError::within("number of frequency multipliers", points.len() as f64, 1.0, 1e3)?;
        let mut below_hz = 0.0;
        for (frequency, multiplier) in points {
            below_hz = DomainError::within(
                "frequency in Hz, ascending",
                frequency.0,
                below_hz * (1.0 + 1e-9) + 1e-9,
                1e9,
            )?;
            DomainError::within("frequency multiplier", multiplier.0, 1e-3, 1e3)?;
        }
        Ok(Self(points.to_vec()))
    }

    /// The points, in ascending frequency.
    pub fn points(&self) -> &[(Hertz, Ratio)] {
        &self.0
    }

    /// Multiplier at a frequency: linear in the logarithm of the frequency between points, the last one above the
    /// table (multipliers do not fall: common practice), refused below it.
    pub fn at(&self, frequency: Hertz) -> Result<Ratio, DomainError> {
        let (first, last) = match self.0.as_slice() {
            [first, .., last] => (*first, *last),
            [only] => (*only, *only),
            [] => {
                return Err(DomainError {
                    what: "number of frequency multipliers",
                    value: 0.0,
                    low: 1.0,
                    high: 1e3,
                });
            }
        };
        // A harmonic computed as n·f may fall below its printed frequency by rounding.
        let hz = DomainError::within("harmonic frequency in Hz", frequency.0, first.0.0 * (1.0 - 1e-9), 1e9)?;
        let pair = self.0.windows(2).find_map(|pair| match pair {
            [a, b] if hz <= b.0.0 => Some((*a, *b)),
            _ => None,
        });
        Ok(match pair {
            None => {
                if hz <= first.0.0 {
                    first.1
                } else {
                    last.1
                }
            }
            Some(((f_a, k_a), (f_b, k_b))) => {
                let part = ((hz / f_a.0).ln() / (f_b.0 / f_a.0).ln()).max(0.0);
                Ratio(k_a.0 + (k_b.0 - k_a.0) * part)
            }
        })
    }
}

/// Equivalent ripple current at the rating's frequency; see [`RIPPLE_EQUIVALENT`].
///
/// `total` is the rms of the whole ripple current: what the harmonics leave over is counted at the multiplier of the
/// highest of them, so that no part of the current is forgotten. Without harmonics the lowest multiplier of the table's
/// first point is used.
pub fn equivalent(
    total: Amps,
    harmonics: &[(Hertz, Amps)],
    table: &Multipliers,
) -> Result<Amps, DomainError> {
    let mut sum = 0.0;
    let mut named = 0.0;
    let mut last = table.0.first().map_or(Ratio(1.0), |point| point.1);
    for (frequency, rms) in harmonics {
        last = table.at(*frequency)?;
        named += rms.0 * rms.0;
        sum += (rms.0 / last.0).powi(2);
    }
    let rest = (total.0 * total.0 - named).max(0.0);
    Ok(Amps((sum + rest / (last.0 * last.0)).sqrt()))
}

/// Rise of the core over the air at an equivalent ripple current; see [`CORE_RISE`].
pub fn core_rise(at_rating: Kelvins, equivalent: Amps, rated: Amps) -> Kelvins {
    at_rating * (equivalent / rated).powi(2)
}

/// Ripple current of the most loaded of `parts` equal capacitors; see [`BANK_SHARE`].
pub fn share(bank: Amps, parts: u32, imbalance: Ratio) -> Amps {
    if parts <= 1 { bank } else { bank * (imbalance.0 / f64::from(parts)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: Vishay BC 056/057 power electrolytics, parts from 40 to 100 V, base 100 Hz.
    fn printed() -> Multipliers {
        let points = [
            (50.0, 0.91),
            (100.0, 1.0),
            (200.0, 1.05),
            (400.0, 1.09),
            (1e3, 1.13),
            (2e3, 1.15),
            (4e3, 1.18),
            (1e4, 1.22),
        ];
        Multipliers::new(&points.map(|(f, k)| (Hertz(f), Ratio(k)))).unwrap()
    }

    /// Source: the printed table itself, and linear in log frequency: 1.02 halfway between 100 and 200 Hz is at 141 Hz for
    /// 1.025.
    #[test]
    fn multipliers_meet_the_printed_table_and_are_straight_in_log_frequency() {
        let table = printed();
        assert_relative_eq!(table.at(Hertz(400.0)).unwrap().0, 1.09, max_relative = 1e-12);
        assert_relative_eq!(table.at(Hertz(141.421356)).unwrap().0, 1.025, max_relative = 1e-6);
        assert_relative_eq!(table.at(Hertz(50_000.0)).unwrap().0, 1.22, max_relative = 1e-12);
        assert!(table.at(Hertz(49.0)).is_err());
    }

    #[test]
    fn a_table_out_of_order_is_refused() {
        let points = [(Hertz(100.0), Ratio(1.0)), (Hertz(50.0), Ratio(0.9))];
        assert!(Multipliers::new(&points).is_err());
        assert!(Multipliers::new(&[]).is_err());
    }

    #[test]
    fn one_harmonic_at_the_base_frequency_is_itself() {
        let found = equivalent(Amps(2.0), &[(Hertz(100.0), Amps(2.0))], &printed()).unwrap();
        assert_relative_eq!(found.0, 2.0, max_relative = 1e-12);
    }

    /// Two harmonics by hand: √((3/1)² + (4/1.05)²).
    #[test]
    fn two_harmonics_combine_by_squares_after_division() {
        let found =
            equivalent(Amps(5.0), &[(Hertz(100.0), Amps(3.0)), (Hertz(200.0), Amps(4.0))], &printed())
                .unwrap();
        assert_relative_eq!(found.0, (9.0_f64 + (4.0_f64 / 1.05).powi(2)).sqrt(), max_relative = 1e-9);
    }

    /// Source: Rubycon life-time formula: the rise goes with the square of the current.
    #[test]
    fn half_the_ripple_leaves_a_quarter_of_the_rise() {
        assert_relative_eq!(core_rise(Kelvins(5.0), Amps(1.0), Amps(2.0)).0, 1.25, max_relative = 1e-12);
    }

    #[test]
    fn a_bank_shares_with_its_imbalance_and_one_part_carries_all() {
        assert_relative_eq!(share(Amps(4.0), 2, Ratio(1.1)).0, 2.2, max_relative = 1e-12);
        assert_relative_eq!(share(Amps(4.0), 1, Ratio(1.1)).0, 4.0, max_relative = 1e-12);
    }

    proptest! {
        #[test]
        fn what_the_harmonics_leave_over_is_never_forgotten(total in 0.5..10.0_f64, part in 0.0..1.0_f64) {
            let found = equivalent(Amps(total), &[(Hertz(100.0), Amps(total * part))], &printed()).unwrap();
            prop_assert!((found.0 - total).abs() < 1e-9 * total);
        }

        #[test]
        fn current_at_a_higher_frequency_counts_less(hz in 100.0..20_000.0_f64) {
            let found = equivalent(Amps(1.0), &[(Hertz(hz), Amps(1.0))], &printed()).unwrap();
            prop_assert!(found.0 <= 1.0 + 1e-12 && found.0 >= 1.0 / 1.22 - 1e-12);
        }
    }
}

//! Preferred values: the E series of IEC 60063 and the tolerance letters of IEC 60062.
//!
//! Knows no part: whether a value can be bought is the catalog's to say.

use super::formula::Known;

/// A series of IEC 60063.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// Three values a decade.
    E3,
    /// Six, usually ±20 %.
    E6,
    /// Twelve, usually ±10 %.
    E12,
    /// Twenty-four, usually ±5 %.
    E24,
    /// Forty-eight, usually ±2 %.
    E48,
    /// Ninety-six, usually ±1 %.
    E96,
    /// One hundred and ninety-two, usually ±0.5 %.
    E192,
}

/// How the tables are known: E3 to E24 recalled; E48 to E192 computed from the rule, nested, with the one exception 920.
pub const SERIES_KNOWN: Known = Known::Memory;

const E3: [u16; 3] = [10, 22, 47];
const E6: [u16; 6] = [10, 15, 22, 33, 47, 68];
const E12: [u16; 12] = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];
const E24: [u16; 24] =
    [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];
const E48: [u16; 48] = [
    100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226, 237, 249, 261,
    274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590, 619, 649, 681, 715,
    750, 787, 825, 866, 909, 953,
];
const E96: [u16; 96] = [
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162,
    165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267,
    274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442,
    453, 464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732,
    750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976,
];
const E192: [u16; 192] = [
    100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126, 127,
    129, 130, 132, 133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160, 162, 164,
    165, 167, 169, 172, 174, 176, 178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203, 205, 208, 210,
    213, 215, 218, 221, 223, 226, 229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258, 261, 264, 267, 271,
    274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309, 312, 316, 320, 324, 328, 332, 336, 340, 344, 348,
    352, 357, 361, 365, 370, 374, 379, 383, 388, 392, 397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448,
    453, 459, 464, 470, 475, 481, 487, 493, 499, 505, 511, 517, 523, 530, 536, 542, 549, 556, 562, 569, 576,
    583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673, 681, 690, 698, 706, 715, 723, 732, 741,
    750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898, 909, 920, 931, 942, 953,
    965, 976, 988,
];

/// Smallest and largest power of ten by which a mantissa is scaled.
const DECADES: std::ops::RangeInclusive<i32> = -15..=12;

impl Series {
    /// Every series, coarsest first.
    pub const ALL: [Self; 7] = [Self::E3, Self::E6, Self::E12, Self::E24, Self::E48, Self::E96, Self::E192];

    /// Values of one decade: 10 to 91 for E3 to E24, 100 to 988 for the finer ones.
    pub const fn mantissas(self) -> &'static [u16] {
        match self {
            Self::E3 => &E3,
            Self::E6 => &E6,
            Self::E12 => &E12,
            Self::E24 => &E24,
            Self::E48 => &E48,
            Self::E96 => &E96,
            Self::E192 => &E192,
        }
    }

    /// Its name, `E24`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::E3 => "E3",
            Self::E6 => "E6",
            Self::E12 => "E12",
            Self::E24 => "E24",
            Self::E48 => "E48",
            Self::E96 => "E96",
            Self::E192 => "E192",
        }
    }

    /// The series of a name, `E24`.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|series| series.name() == name)
    }

    /// Usual tolerance in per cent; E3 has none. Source: IEC 60063 (E6 to E192 seen in a second witness, microhm.net).
    pub const fn usual_tolerance_percent(self) -> Option<f64> {
        match self {
            Self::E3 => None,
            Self::E6 => Some(20.0),
            Self::E12 => Some(10.0),
            Self::E24 => Some(5.0),
            Self::E48 => Some(2.0),
            Self::E96 => Some(1.0),
            Self::E192 => Some(0.5),
        }
    }

    /// All values between two bounds, ends included (to a relative 1e-9), ascending. Empty for bounds that are not positive.
    pub fn between(self, low: f64, high: f64) -> Vec<f64> {
        if !(low > 0.0 && high.is_finite()) {
            return Vec::new();
        }
        let (least, most) = (low * (1.0 - 1e-9), high * (1.0 + 1e-9));
        let mut found = Vec::new();
        for decade in DECADES {
            for mantissa in self.mantissas() {
                let value = scaled(*mantissa, decade);
                if value >= least && value <= most {
                    found.push(value);
                }
            }
        }
        found
    }

    /// Greatest value not above a bound (to a relative 1e-9).
    pub fn at_or_below(self, bound: f64) -> Option<f64> {
        let decade = self.decade(bound)?;
        (decade - 1..=decade + 1).rev().find_map(|decade| {
            let reached = self
                .mantissas()
                .partition_point(|mantissa| scaled(*mantissa, decade) <= bound * (1.0 + 1e-9));
            self.mantissas().get(reached.checked_sub(1)?).map(|mantissa| scaled(*mantissa, decade))
        })
    }

    /// Least value not below a bound (to a relative 1e-9).
    pub fn at_or_above(self, bound: f64) -> Option<f64> {
        let decade = self.decade(bound)?;
        (decade - 1..=decade + 1).find_map(|decade| {
            let short =
                self.mantissas().partition_point(|mantissa| scaled(*mantissa, decade) < bound * (1.0 - 1e-9));
            self.mantissas().get(short).map(|mantissa| scaled(*mantissa, decade))
        })
    }

    /// The power of ten of the mantissa at or below a value, give or take one at the seam.
    fn decade(self, value: f64) -> Option<i32> {
        let power = (value / f64::from(*self.mantissas().first()?)).log10().floor();
        DECADES.into_iter().find(|decade| (f64::from(*decade) - power).abs() < 0.5)
    }

    /// The value nearest in ratio; of two equally near the smaller.
    pub fn nearest(self, wanted: f64) -> Option<f64> {
        let (below, above) = (self.at_or_below(wanted)?, self.at_or_above(wanted)?);
        Some(if wanted / below <= above / wanted { below } else { above })
    }
}

/// A mantissa times a power of ten, rounded once.
fn scaled(mantissa: u16, decade: i32) -> f64 {
    let power = 10_f64.powi(decade.abs());
    if decade < 0 { f64::from(mantissa) / power } else { f64::from(mantissa) * power }
}

/// Tolerance of a letter of IEC 60062, in per cent (minus, plus), both positive. Source: IEC 60062:2016 (from memory).
pub const fn tolerance_of_letter(letter: char) -> Option<(f64, f64)> {
    Some(match letter {
        'E' => (0.005, 0.005),
        'L' => (0.01, 0.01),
        'P' => (0.02, 0.02),
        'W' => (0.05, 0.05),
        'B' => (0.1, 0.1),
        'C' => (0.25, 0.25),
        'D' => (0.5, 0.5),
        'F' => (1.0, 1.0),
        'G' => (2.0, 2.0),
        'H' => (3.0, 3.0),
        'J' => (5.0, 5.0),
        'K' => (10.0, 10.0),
        'M' => (20.0, 20.0),
        'N' => (30.0, 30.0),
        'Q' => (10.0, 30.0),
        'T' => (10.0, 50.0),
        'S' => (20.0, 50.0),
        'Z' => (20.0, 80.0),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What the rule 10^(i/n), rounded to the digits of the series, gives.
    fn by_rule(series: Series) -> Vec<u16> {
        let count = series.mantissas().len();
        let scale = if count > 24 { 100.0 } else { 10.0 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "values lie between 10 and 1000"
        )]
        (0..count).map(|i| (scale * 10_f64.powf(i as f64 / count as f64)).round() as u16).collect()
    }

    /// Source: IEC 60063, published exceptions (from memory): E24 departs from the rule at eight values, E192 at 920.
    #[test]
    fn the_series_depart_from_the_rule_exactly_where_the_standard_does() {
        let off = |series: Series| -> Vec<(u16, u16)> {
            let pairs = series.mantissas().iter().copied().zip(by_rule(series));
            pairs.filter(|(printed, rule)| printed != rule).collect()
        };
        let e24 = [(27, 26), (30, 29), (33, 32), (36, 35), (39, 38), (43, 42), (47, 46), (82, 83)];
        assert_eq!(off(Series::E24), e24);
        assert_eq!(off(Series::E192), [(920, 919)]);
        assert_eq!(off(Series::E96), []);
        assert_eq!(off(Series::E48), []);
    }

    /// Source: eepower.com, resistor standards and codes: the E12 list.
    #[test]
    fn e12_is_the_printed_list() {
        assert_eq!(Series::E12.mantissas(), [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]);
    }

    #[test]
    fn each_coarser_series_is_every_second_value_of_the_finer() {
        for (coarse, fine) in [
            (Series::E3, Series::E6),
            (Series::E6, Series::E12),
            (Series::E12, Series::E24),
            (Series::E48, Series::E96),
            (Series::E96, Series::E192),
        ] {
            let every_second: Vec<u16> = fine.mantissas().iter().copied().step_by(2).collect();
            assert_eq!(coarse.mantissas(), every_second, "{}", coarse.name());
        }
    }

    #[test]
    fn values_between_bounds_run_over_decades() {
        assert_eq!(Series::E6.between(1e3, 1e4), [1e3, 1.5e3, 2.2e3, 3.3e3, 4.7e3, 6.8e3, 1e4]);
        assert_eq!(Series::E3.between(2e-3, 5e-3), [2.2e-3, 4.7e-3]);
        assert!(Series::E3.between(0.0, 5.0).is_empty());
        assert!(Series::E3.between(f64::NAN, 5.0).is_empty());
    }

    #[test]
    fn nearest_below_and_above_are_neighbours() {
        assert_eq!(Series::E24.nearest(1460.0), Some(1500.0));
        assert_eq!(Series::E96.at_or_below(1460.0), Some(1430.0));
        assert_eq!(Series::E96.at_or_above(1460.0), Some(1470.0));
        assert_eq!(Series::E24.nearest(240.0), Some(240.0));
        assert_eq!(Series::E24.nearest(-1.0), None);
    }

    #[test]
    fn letters_read_as_their_tolerances() {
        assert_eq!(tolerance_of_letter('F'), Some((1.0, 1.0)));
        assert_eq!(tolerance_of_letter('Z'), Some((20.0, 80.0)));
        assert_eq!(tolerance_of_letter('A'), None);
    }

    proptest! {
        #[test]
        fn a_value_lies_between_its_neighbours_no_further_than_a_step(
            wanted in 1e-9..1e9_f64, which in 0_usize..7,
        ) {
            let series = Series::ALL[which];
            let (below, above) = (series.at_or_below(wanted).unwrap(), series.at_or_above(wanted).unwrap());
            prop_assert!(below <= wanted * (1.0 + 1e-9) && above >= wanted * (1.0 - 1e-9));
            let nearest = series.nearest(wanted).unwrap();
            prop_assert!(Some(nearest) == series.at_or_below(wanted) || Some(nearest) == series.at_or_above(wanted));
            prop_assert_eq!(series.nearest(below), Some(below));
            // Second method: the whole list.
            prop_assert_eq!(series.between(wanted / 11.0, wanted).last().copied(), Some(below));
            prop_assert_eq!(series.between(wanted, wanted * 11.0).first().copied(), Some(above));
        }
    }
}

//! The grid side: power factor, crest factor, harmonic limits.
//!
//! Knows no waveform; harmonics come in as rms at rated primary voltage. Whether equipment falls under a limit at all is
//! for the current edition of the standard to say.

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Ratio, VoltAmps, Volts, Watts};

/// Power at and below which no limit is set. Source: IEC 61000-3-2 clause 7 (from memory).
pub const LIMIT_FLOOR: Watts = Watts(75.0);
/// Least nominal mains for which limits are written, line to neutral. Source: IEC 61000-3-2 clause 1 (from memory).
pub const LIMIT_MAINS_MIN: Volts = Volts(220.0);
/// Greatest input current a phase that the standard covers, rms. Source: IEC 61000-3-2 clause 1 (from memory).
pub const LIMIT_CURRENT_MAX: Amps = Amps(16.0);
/// Highest harmonic that is limited.
pub const HARMONIC_MAX: u32 = 40;

/// What the workings print for [`class_a_limit`].
pub const CLASS_A: Formula = Formula::new(
    "grid-class-a-limit",
    ("I_n", "A"),
    "0.15 (15 / n)",
    &[sym("n", "", "odd harmonic from 15; even from 8: 0.23 (8 / n); below as tabled")],
    "equipment above 75 W, up to 16 A a phase",
    Source::Published {
        title: "IEC 61000-3-2",
        place: "class A, as reprinted in a laboratory report",
        known: Known::Seen,
    },
);

/// What the workings print for [`power_factor`].
pub const POWER_FACTOR: Formula = Formula::new(
    "grid-power-factor",
    ("λ", ""),
    "P / (V I)",
    &[sym("P", "W", "mean power taken"), sym("V", "V", "mains, rms"), sym("I", "A", "primary current, rms")],
    "any waveform",
    Source::Derived { from: "definition" },
);

/// Class A limit of a harmonic, rms; `None` for the fundamental and above the 40th; see [`CLASS_A`].
pub fn class_a_limit(n: u32) -> Option<Amps> {
    let amps = match n {
        2 => 1.08,
        3 => 2.30,
        4 => 0.43,
        5 => 1.14,
        6 => 0.30,
        7 => 0.77,
        9 => 0.40,
        11 => 0.33,
        13 => 0.21,
        8..=HARMONIC_MAX if n.is_multiple_of(2) => 0.23 * 8.0 / f64::from(n),
        15..=HARMONIC_MAX => 0.15 * 15.0 / f64::from(n),
        _ => return None,
    };
    Some(Amps(amps))
}

/// Whether class A limits a load of this power.
pub fn class_a_applies(power: Watts) -> bool {
    power > LIMIT_FLOOR
}

/// Mean power over apparent power; see [`POWER_FACTOR`].
pub fn power_factor(power: Watts, apparent: VoltAmps) -> Ratio {
    Ratio(power.0 / apparent.0)
}

/// Peak over rms.
pub fn crest_factor(peak: Amps, rms: Amps) -> Ratio {
    Ratio(peak / rms)
}

/// Total harmonic distortion on the fundamental: `√(I² − I_1²)/I_1`.
pub fn distortion(rms: Amps, fundamental_rms: Amps) -> Ratio {
    Ratio(((rms / fundamental_rms).powi(2) - 1.0).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: IEC 61000-3-2 class A as reprinted in an accredited laboratory's report (1402CE13-01, section 4.3.1).
    #[test]
    fn class_a_meets_the_reprinted_table() {
        let printed = [
            (3, 2.3),
            (5, 1.14),
            (7, 0.77),
            (9, 0.4),
            (11, 0.33),
            (13, 0.21),
            (15, 0.15),
            (21, 0.1071),
            (39, 0.0577),
            (2, 1.08),
            (4, 0.43),
            (6, 0.3),
            (8, 0.23),
            (10, 0.184),
            (40, 0.046),
        ];
        for (n, amps) in printed {
            assert_relative_eq!(class_a_limit(n).unwrap().0, amps, max_relative = 0.002);
        }
        assert_eq!([class_a_limit(0), class_a_limit(1), class_a_limit(41)], [None, None, None]);
    }

    /// Source: IEC 61000-3-2 clause 7 (from memory): 75 W or less has no limit.
    #[test]
    fn seventy_five_watts_have_no_limit() {
        assert!(!class_a_applies(Watts(75.0)));
        assert!(class_a_applies(Watts(75.1)));
    }

    /// Source: Handbook for Sound Engineers, Table 19-1: line power factor 0.900 of a square-wave current; its distortion is
    /// 48.3 % (from memory).
    #[test]
    fn a_square_wave_has_power_factor_0_9_and_48_percent_distortion() {
        let fundamental = 2.0 * std::f64::consts::SQRT_2 / std::f64::consts::PI;
        let found = power_factor(Watts(230.0 * fundamental), VoltAmps(230.0));
        assert_relative_eq!(found.0, 0.9, max_relative = 0.003);
        assert_relative_eq!(distortion(Amps(1.0), Amps(fundamental)).0, 0.483, max_relative = 0.003);
        assert_relative_eq!(crest_factor(Amps(1.0), Amps(1.0)).0, 1.0, max_relative = 1e-12);
    }
}

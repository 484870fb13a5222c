//! How the secondaries of a transformer are joined, and what resistance the rectifier then sees.
//!
//! Knows own and referred resistance only. One lumped resistance per winding is wrong for all but a single winding.

use super::super::formula::{Formula, Source, Symbol, sym};
use crate::quantity::{Amps, Ohms, Volts};

/// How the secondaries feed the rectifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wiring {
    /// One winding alone.
    Single,
    /// Two equal windings in series, one current through both.
    Series,
    /// Two equal windings in parallel, sharing the current.
    Parallel,
    /// Two equal halves about a tap, one conducting at a time.
    CentreTap,
    /// Two equal halves about a tap, both conducting into equal loads of opposite sign.
    Complementary,
    /// The first of several windings; each other feeds another rail.
    First,
    /// The second of several windings; each other feeds another rail.
    Second,
    /// The third of three windings; the others feed other rails.
    Third,
}

const SYMBOLS: &[Symbol] = &[
    sym("R_s", "Ω", "own resistance of one secondary"),
    sym("R_p'", "Ω", "primary resistance referred to one secondary"),
];
const DERIVED: Source =
    Source::Derived { from: "two-winding T model: v_j = e − R_s i_j − R_p' (i_1 + i_2)" };
const DOMAIN: &str = "equal windings; leakage inductance aside";

/// What the workings print for [`Wiring::Single`].
pub const SINGLE: Formula = Formula::new("wiring-single", ("R", "Ω"), "R_s + R_p'", SYMBOLS, DOMAIN, DERIVED);
/// What the workings print for [`Wiring::Series`].
pub const SERIES: Formula =
    Formula::new("wiring-series", ("R", "Ω"), "2 R_s + 4 R_p'", SYMBOLS, DOMAIN, DERIVED);
/// What the workings print for [`Wiring::Parallel`].
pub const PARALLEL: Formula =
    Formula::new("wiring-parallel", ("R", "Ω"), "R_s / 2 + R_p'", SYMBOLS, DOMAIN, DERIVED);
/// What the workings print for [`Wiring::CentreTap`].
pub const CENTRE_TAP: Formula = Formula::new(
    "wiring-centre-tap",
    ("R", "Ω"),
    "R_s + R_p'",
    SYMBOLS,
    "one half conducts at a time",
    DERIVED,
);
/// What the workings print for [`Wiring::Complementary`].
pub const COMPLEMENTARY: Formula = Formula::new(
    "wiring-complementary",
    ("R", "Ω"),
    "R_s + 2 R_p'",
    SYMBOLS,
    "equal loads on both rails",
    DERIVED,
);

impl Wiring {
    /// Resistance in series with the EMF of the joined winding (of one half where there is a tap).
    pub fn resistance(self, own: Ohms, referred: Ohms) -> Ohms {
        match self {
            Self::Single | Self::CentreTap | Self::First | Self::Second | Self::Third => own + referred,
            Self::Series => own * 2.0 + referred * 4.0,
            Self::Parallel => own / 2.0 + referred,
            Self::Complementary => own + referred * 2.0,
        }
    }

    /// EMF of the joined winding (of one half where there is a tap) from that of one secondary.
    pub fn emf(self, of_one: Volts) -> Volts {
        if self == Self::Series { of_one * 2.0 } else { of_one }
    }

    /// rms current of one secondary from that of the joined winding (of one half where there is a tap).
    pub fn current_of_one(self, joined_rms: Amps) -> Amps {
        if self == Self::Parallel { joined_rms / 2.0 } else { joined_rms }
    }

    /// How many secondaries of the transformer it uses.
    pub const fn windings(self) -> u32 {
        match self {
            Self::Single | Self::First | Self::Second | Self::Third => 1,
            Self::Series | Self::Parallel | Self::CentreTap | Self::Complementary => 2,
        }
    }

    /// Which of the transformer's windings it uses, or the first of several alike.
    pub const fn place(self) -> usize {
        match self {
            Self::Second => 1,
            Self::Third => 2,
            _ => 0,
        }
    }

    /// Its law.
    pub const fn formula(self) -> &'static Formula {
        match self {
            Self::Single | Self::First | Self::Second | Self::Third => &SINGLE,
            Self::Series => &SERIES,
            Self::Parallel => &PARALLEL,
            Self::CentreTap => &CENTRE_TAP,
            Self::Complementary => &COMPLEMENTARY,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Terminal voltages of the T model for two secondary currents.
    fn t_model(emf: f64, own: f64, referred: f64, i_1: f64, i_2: f64) -> (f64, f64) {
        let common = referred * (i_1 + i_2);
        (emf - own * i_1 - common, emf - own * i_2 - common)
    }

    proptest! {
        #[test]
        fn every_wiring_agrees_with_the_two_winding_t_model(
            emf in 5.0..60.0_f64, own in 0.01..5.0_f64, referred in 0.0..5.0_f64, amps in 0.0..5.0_f64,
        ) {
            let drop = |wiring: Wiring| wiring.emf(Volts(emf)).0 - wiring.resistance(Ohms(own), Ohms(referred)).0 * amps;
            let near = |found: f64, expected: f64| (found - expected).abs() <= 1e-9 * (1.0 + expected.abs());
            let (alone, _) = t_model(emf, own, referred, amps, 0.0);
            prop_assert!(near(drop(Wiring::Single), alone) && near(drop(Wiring::CentreTap), alone));
            let (upper, lower) = t_model(emf, own, referred, amps, amps);
            prop_assert!(near(drop(Wiring::Series), upper + lower));
            prop_assert!(near(drop(Wiring::Complementary), upper));
            let (left, right) = t_model(emf, own, referred, amps / 2.0, amps / 2.0);
            prop_assert!(near(left, right) && near(drop(Wiring::Parallel), left));
        }

        /// Loss in the equivalent resistance equals the loss in both secondaries and the primary.
        #[test]
        fn series_and_parallel_lose_what_their_windings_lose(own in 0.01..5.0_f64, referred in 0.0..5.0_f64) {
            let series = Wiring::Series.resistance(Ohms(own), Ohms(referred)).0;
            prop_assert!((series - (2.0 * own + referred * 2.0_f64.powi(2))).abs() < 1e-12);
            let parallel = Wiring::Parallel.resistance(Ohms(own), Ohms(referred)).0;
            prop_assert!((parallel - (2.0 * own * 0.25 + referred)).abs() < 1e-12);
        }
    }

    #[test]
    fn a_stiff_primary_leaves_plain_series_and_parallel_resistances() {
        assert_eq!(Wiring::Series.resistance(Ohms(1.0), Ohms(0.0)), Ohms(2.0));
        assert_eq!(Wiring::Parallel.resistance(Ohms(1.0), Ohms(0.0)), Ohms(0.5));
        assert_eq!(Wiring::Parallel.current_of_one(Amps(3.0)), Amps(1.5));
    }
}

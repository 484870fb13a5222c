//! Life of an aluminium electrolytic from its rated life, its air and its ripple.
//!
//! Two bases exist and must not be mixed: rated life with, or without, rated ripple. The ripple-current temperature
//! multiplier of some makers spends the same gain and is never used here.

use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Celsius, Hours, Kelvins};

/// Life beyond which the model proves nothing: fifteen years, ageing of the seal (from memory).
pub const LIFE_CAP: Hours = Hours(131_000.0);

/// Under which condition a maker states the rated life.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LifeBasis {
    /// At the greatest temperature with rated ripple: the core is warmer than the air by its rated rise.
    WithRipple,
    /// At the greatest temperature without ripple: the core is as warm as the air.
    WithoutRipple,
}

const TEN_KELVIN: Source = Source::Published {
    title: "Nippon Chemi-Con FAQ and Rubycon technical notes 5-1",
    place: "L_x = L_0 2^((T_0 − T_x)/10); ripple factor from memory",
    known: Known::Seen,
};

/// What the workings print for [`LifeBasis::WithRipple`].
pub const LIFE_WITH_RIPPLE: Formula = Formula::new(
    "reservoir-life-with-ripple",
    ("L", "h"),
    "L_0 2^((T_max − T_air) / 10) 2^((ΔT_0 − ΔT) / 5)",
    &[
        sym("L_0", "h", "rated life at T_max with rated ripple"),
        sym("T_max", "°C", "greatest rated temperature"),
        sym("T_air", "°C", "air at the capacitor"),
        sym("ΔT_0", "K", "core rise at rated ripple"),
        sym("ΔT", "K", "core rise"),
    ],
    "close to Arrhenius from 70 to 90 °C, departs below 60 and above 105 °C; ends at 131 000 h",
    TEN_KELVIN,
);

/// What the workings print for [`LifeBasis::WithoutRipple`].
pub const LIFE_WITHOUT_RIPPLE: Formula = Formula::new(
    "reservoir-life-without-ripple",
    ("L", "h"),
    "L_0 2^((T_max − T_air) / 10) 2^(−ΔT / 5)",
    &[
        sym("L_0", "h", "rated life at T_max without ripple"),
        sym("T_max", "°C", "greatest rated temperature"),
        sym("T_air", "°C", "air at the capacitor"),
        sym("ΔT", "K", "core rise"),
    ],
    "close to Arrhenius from 70 to 90 °C, departs below 60 and above 105 °C; ends at 131 000 h",
    TEN_KELVIN,
);

/// What the workings print for [`mission`].
pub const MISSION_LIFE: Formula = Formula::new(
    "reservoir-mission-life",
    ("L", "h"),
    "1 / Σ(a_i / L_i)",
    &[sym("a_i", "", "share of the time"), sym("L_i", "h", "life at that state")],
    "shares sum to one",
    Source::Published {
        title: "COSEL technical Q&A",
        place: "lifetime when ambient changes",
        known: Known::Seen,
    },
);

impl LifeBasis {
    /// Its law.
    pub const fn formula(self) -> &'static Formula {
        match self {
            Self::WithRipple => &LIFE_WITH_RIPPLE,
            Self::WithoutRipple => &LIFE_WITHOUT_RIPPLE,
        }
    }
}

/// Life of a part by its maker's basis, not capped; see [`LIFE_WITH_RIPPLE`] and [`LIFE_WITHOUT_RIPPLE`].
pub fn life(
    rated: Hours,
    basis: LifeBasis,
    greatest: Celsius,
    air: Celsius,
    rise_at_rating: Kelvins,
    rise: Kelvins,
) -> Hours {
    let credit_k = match basis {
        LifeBasis::WithRipple => rise_at_rating.0,
        LifeBasis::WithoutRipple => 0.0,
    };
    rated * (((greatest - air).0 / 10.0).exp2() * ((credit_k - rise.0) / 5.0).exp2())
}

/// Life over a mission of (share of the time, life in that state); see [`MISSION_LIFE`]. Combine before capping.
/// Shares that do not sum to one are taken in proportion; no shares, no life.
pub fn mission(states: &[(f64, Hours)]) -> Hours {
    let total: f64 = states.iter().map(|(share, _)| share).sum();
    let consumed: f64 = states.iter().map(|(share, life)| share / life.0).sum();
    if consumed > 0.0 { Hours(total / consumed) } else { Hours(0.0) }
}

/// A life as it may be claimed: the model's, or the cap where the model goes beyond it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LifeClaim {
    /// Hours claimed.
    pub hours: Hours,
    /// Whether the model went beyond [`LIFE_CAP`].
    pub capped: bool,
}

/// What may be claimed of a computed life.
pub fn claim(computed: Hours) -> LifeClaim {
    LifeClaim { hours: computed.min(LIFE_CAP), capped: computed > LIFE_CAP }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn at(air: f64, rise: f64, basis: LifeBasis) -> f64 {
        life(Hours(1000.0), basis, Celsius(105.0), Celsius(air), Kelvins(5.0), Kelvins(rise)).0
    }

    /// Source: COSEL technical Q&A: a 105 °C, 1000 h part lives 16 000 h at 65, 32 000 h at 55, 64 000 h at 45 °C.
    #[test]
    fn ten_kelvin_cooler_lives_twice_as_long() {
        for (air, hours) in [(65.0, 16_000.0), (55.0, 32_000.0), (45.0, 64_000.0)] {
            assert_relative_eq!(at(air, 5.0, LifeBasis::WithRipple), hours, max_relative = 1e-12);
            assert_relative_eq!(at(air, 0.0, LifeBasis::WithoutRipple), hours, max_relative = 1e-12);
        }
    }

    /// Source: COSEL technical Q&A: equal shares of 65, 55 and 45 °C; harmonic total 27 429 h.
    #[test]
    fn equal_shares_of_three_temperatures_live_27429_hours() {
        let third = 1.0 / 3.0;
        let found = mission(&[(third, Hours(16e3)), (third, Hours(32e3)), (third, Hours(64e3))]);
        assert_relative_eq!(found.0, 27_429.0, max_relative = 1e-4);
        assert_eq!(mission(&[]), Hours(0.0));
    }

    #[test]
    fn the_two_bases_differ_by_the_rated_rise() {
        let ratio = at(60.0, 2.0, LifeBasis::WithRipple) / at(60.0, 2.0, LifeBasis::WithoutRipple);
        assert_relative_eq!(ratio, 2.0, max_relative = 1e-12);
    }

    #[test]
    fn beyond_fifteen_years_only_fifteen_are_claimed() {
        assert_eq!(claim(Hours(200_000.0)), LifeClaim { hours: LIFE_CAP, capped: true });
        assert_eq!(claim(Hours(50_000.0)), LifeClaim { hours: Hours(50_000.0), capped: false });
    }

    proptest! {
        #[test]
        fn warmer_air_or_more_ripple_shortens_life(air in 20.0..100.0_f64, rise in 0.0..20.0_f64, more in 0.1..5.0_f64) {
            for basis in [LifeBasis::WithRipple, LifeBasis::WithoutRipple] {
                prop_assert!(at(air + more, rise, basis) < at(air, rise, basis));
                prop_assert!(at(air, rise + more, basis) < at(air, rise, basis));
            }
        }

        #[test]
        fn a_mission_lives_no_longer_than_its_best_state_and_no_shorter_than_its_worst(
            share in 0.0..1.0_f64, a in 1e3..1e5_f64, b in 1e3..1e5_f64,
        ) {
            let found = mission(&[(share, Hours(a)), (1.0 - share, Hours(b))]).0;
            prop_assert!(found >= a.min(b) * (1.0 - 1e-12) && found <= a.max(b) * (1.0 + 1e-12));
        }
    }
}

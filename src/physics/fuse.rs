//! The fuse: steady margin, ambient, melting integral, and what its gates promise about time.
//!
//! Two rating systems exist and are never mixed: an IEC 60127 fuse carries its rating for long, a UL 248-14 fuse does not.
//! Between gates only what monotony proves is claimed; gates of makers and editions differ.

use super::formula::{Formula, Known, Source, sym};
use super::fuse_gates::{Gate, GateRow, UL_SLOW, rows_of};
use crate::quantity::{Amps, AmpsSquaredSeconds, Ratio, Seconds};

/// A rating system with its gate table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GateTable {
    /// IEC 60127-2 sheet 1: 5×20 quick-acting, high breaking capacity.
    IecSheet1,
    /// IEC 60127-2 sheet 2: 5×20 quick-acting, low breaking capacity.
    IecSheet2,
    /// IEC 60127-2 sheet 3: 5×20 time-lag, low breaking capacity.
    IecSheet3,
    /// IEC 60127-2 sheet 5, older edition: 5×20 time-lag, high breaking capacity.
    IecSheet5Older,
    /// IEC 60127-2 sheet 5, later edition.
    IecSheet5,
    /// UL 248-14 slow.
    Ul24814Slow,
}

/// What the workings print for [`rerated`].
pub const FUSE_RERATED: Formula = Formula::new(
    "fuse-rerated",
    ("I_T", "A"),
    "I_n c",
    &[sym("I_n", "A", "rated current"), sym("c", "", "maker's factor at the ambient of the fuse")],
    "inside the maker's curve",
    Source::CommonPractice,
);

/// What the workings print for [`pulse_margin`].
pub const FUSE_PULSE: Formula = Formula::new(
    "fuse-pulse-margin",
    ("m", ""),
    "J_melt / (p J_inrush)",
    &[
        sym("J_melt", "A²s", "least melting integral I²t"),
        sym("p", "", "pulse factor of the policy, 2.5"),
        sym("J_inrush", "A²s", "integral I²t of the inrush"),
    ],
    "pulses shorter than about 10 ms at 10 times the rating",
    Source::CommonPractice,
);

/// What the workings print for [`breaking_capacity`].
pub const BREAKING_CAPACITY: Formula = Formula::new(
    "fuse-breaking-capacity",
    ("I_b", "A"),
    "max(35, 10 I_n)",
    &[sym("I_n", "A", "rated current")],
    "type L; type H 1500 A, type E 150 A (from memory)",
    Source::Published {
        title: "maker's data sheet to IEC 60127-2 sheet 3",
        place: "35 to 63 A",
        known: Known::Seen,
    },
);

/// Breaking capacity classes of IEC 60127.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BreakingClass {
    /// Low: 35 A or ten times the rating, the greater.
    Low,
    /// Enhanced: 150 A (from memory).
    Enhanced,
    /// High: 1500 A.
    High,
}

/// Rated currents of IEC 60127 in amperes, rounded R10 steps (from memory; 0.2 to 16 A seen as makers' lists).
pub const RATED_CURRENTS_A: [f64; 26] = [
    0.032, 0.04, 0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6,
    2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0,
];

impl GateTable {
    /// The row of a rated current, where the table has one.
    fn row(self, rated: Amps) -> Option<&'static GateRow> {
        rows_of(self).iter().find(|row| rated.0 >= row.from_a - 1e-9 && rated.0 <= row.to_a + 1e-9)
    }

    /// Longest time in which a current surely opens the fuse; `None` where nothing is promised (below the lowest opening
    /// gate, or no row). Longer currents open no later, so the gate at or below the multiple of the rating bounds it.
    pub fn opens_within(self, rated: Amps, current: Amps) -> Option<Seconds> {
        let multiple = current / rated * (1.0 + 1e-9);
        let gates = self.row(rated)?.gates;
        let reached = gates.iter().filter(|gate| multiple >= gate.multiple);
        reached.filter_map(|gate| gate.max_s).reduce(f64::min).map(Seconds)
    }

    /// Shortest time in which a current can open the fuse: it surely carries it so long. From the gate at or above the
    /// multiple of the rating; `None` above the highest gate, where only the melting integral tells.
    pub fn carries_for(self, rated: Amps, current: Amps) -> Option<Seconds> {
        let multiple = current / rated * (1.0 - 1e-9);
        let gates = self.row(rated)?.gates;
        let ahead = gates.iter().filter(|gate: &&Gate| multiple <= gate.multiple);
        ahead.filter_map(|gate| gate.min_s).reduce(f64::max).map(Seconds)
    }

    /// Least current that surely opens the fuse at all.
    pub fn opening_current(self, rated: Amps) -> Option<Amps> {
        let gates = self.row(rated)?.gates;
        gates.iter().find(|gate| gate.max_s.is_some()).map(|gate| rated * gate.multiple)
    }

    /// How its gates are known.
    pub const fn known(self) -> Known {
        match self {
            Self::IecSheet1 => Known::Memory,
            Self::IecSheet2 | Self::Ul24814Slow => Known::SeenSecond,
            Self::IecSheet3 | Self::IecSheet5Older | Self::IecSheet5 => Known::Seen,
        }
    }

    /// Whether its ratings are meant in the UL 248-14 sense.
    pub const fn is_ul(self) -> bool {
        matches!(self, Self::Ul24814Slow)
    }
}

/// Rated current at an ambient, the maker's factor from points (ambient, factor) in ascending ambient, straight between
/// them; `None` outside the curve; see [`FUSE_RERATED`].
pub fn rerated(rated: Amps, curve: &[(f64, f64)], ambient_c: f64) -> Option<Amps> {
    let last = curve.last()?;
    if (ambient_c - last.0).abs() < 1e-9 {
        return Some(rated * last.1);
    }
    curve.windows(2).find_map(|pair| match pair {
        [a, b] if ambient_c >= a.0 && ambient_c < b.0 => {
            Some(rated * (a.1 + (b.1 - a.1) * (ambient_c - a.0) / (b.0 - a.0)))
        }
        _ => None,
    })
}

/// Rated current at an ambient where the maker gives a fraction per kelvin above a reference (23 °C for IEC, 25 °C for UL);
/// never above the rating, never below zero.
pub fn rerated_linear(rated: Amps, per_kelvin: f64, reference_c: f64, ambient_c: f64) -> Amps {
    rated * (1.0 - per_kelvin * (ambient_c - reference_c)).clamp(0.0, 1.0)
}

/// Steady load of a fuse: current over rerated rating.
pub fn steady_load(current_rms: Amps, rerated: Amps) -> Ratio {
    Ratio(current_rms / rerated)
}

/// Melting integral over what the inrush needs of it; below 1 the fuse ages or opens; see [`FUSE_PULSE`].
pub fn pulse_margin(melting: AmpsSquaredSeconds, inrush: AmpsSquaredSeconds, pulse_factor: Ratio) -> Ratio {
    Ratio(melting / (inrush * pulse_factor.0))
}

/// Breaking capacity of a class at a rating; see [`BREAKING_CAPACITY`].
pub fn breaking_capacity(class: BreakingClass, rated: Amps) -> Amps {
    match class {
        BreakingClass::Low => Amps((10.0 * rated.0).max(35.0)),
        BreakingClass::Enhanced => Amps(150.0),
        BreakingClass::High => Amps(1500.0),
    }
}

/// Longest time a UL slow fuse surely carries twice its rating.
pub fn ul_slow_carries_double_for(rated: Amps) -> Seconds {
    let row = UL_SLOW.iter().find(|row| rated.0 <= row.to_a);
    Seconds(row.and_then(|row| row.gates.iter().find(|gate| gate.multiple >= 2.0)?.min_s).unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    const SHEET_3: GateTable = GateTable::IecSheet3;

    /// Source: maker's data sheet to IEC 60127-2 sheet 3 (1 A time-lag): 1 h at 1.5, 2 min at 2.1, 0.6 to 10 s at 2.75,
    /// 0.15 to 3 s at 4, 0.02 to 0.3 s at 10 times the rating.
    #[test]
    fn sheet_3_meets_its_printed_gates() {
        let opens = |m: f64| SHEET_3.opens_within(Amps(1.0), Amps(m)).map(|s| s.0);
        assert_eq!(
            [opens(2.1), opens(2.75), opens(4.0), opens(10.0)],
            [Some(120.0), Some(10.0), Some(3.0), Some(0.3)]
        );
        let carries = |m: f64| SHEET_3.carries_for(Amps(1.0), Amps(m)).map(|s| s.0);
        assert_eq!(
            [carries(1.5), carries(2.75), carries(4.0), carries(10.0)],
            [Some(3600.0), Some(0.6), Some(0.15), Some(0.02)]
        );
    }

    /// Common practice: 2.3 times the rating (one shorted bridge diode) is promised to open only within two minutes, and
    /// twice the rating not at all.
    #[test]
    fn between_gates_only_the_gate_below_is_promised() {
        assert_eq!(SHEET_3.opens_within(Amps(1.0), Amps(2.3)), Some(Seconds(120.0)));
        assert_eq!(SHEET_3.opens_within(Amps(1.0), Amps(2.0)), None);
        assert_eq!(SHEET_3.carries_for(Amps(1.0), Amps(2.0)), Some(Seconds(0.6)));
        assert_eq!(SHEET_3.carries_for(Amps(1.0), Amps(11.0)), None);
        assert_eq!(SHEET_3.opens_within(Amps(16.0), Amps(160.0)), None);
    }

    /// Source: sheet 5 as quoted by makers: 1 s in a 1990s data sheet and 0.75 s later at 2.75 times the rating.
    #[test]
    fn the_two_editions_of_sheet_5_differ_as_printed() {
        let at = |table: GateTable, m: f64| table.carries_for(Amps(2.0), Amps(2.0 * m)).map(|s| s.0);
        assert_eq!(at(GateTable::IecSheet5Older, 2.75), Some(1.0));
        assert_eq!(at(GateTable::IecSheet5, 2.75), Some(0.75));
        assert_eq!(GateTable::IecSheet5Older.opens_within(Amps(2.0), Amps(20.0)), Some(Seconds(0.1)));
        assert_eq!(GateTable::IecSheet5.opens_within(Amps(2.0), Amps(20.0)), Some(Seconds(0.15)));
    }

    /// Source: UL 248-14 (second witness): 110 % for 4 h, opens at 135 % within 60 min and at 200 % within 120 s; slow types
    /// carry 200 % for 5 s to 3 A, 12 s above.
    #[test]
    fn the_ul_system_is_another_one() {
        let ul = GateTable::Ul24814Slow;
        assert_eq!(ul.opens_within(Amps(1.0), Amps(1.35)), Some(Seconds(3600.0)));
        assert_eq!(SHEET_3.opens_within(Amps(1.0), Amps(1.35)), None);
        assert_eq!(ul.opens_within(Amps(1.0), Amps(2.0)), Some(Seconds(120.0)));
        assert_eq!(ul.carries_for(Amps(1.0), Amps(1.1)), Some(Seconds(14_400.0)));
        assert_eq!(
            [ul_slow_carries_double_for(Amps(2.0)), ul_slow_carries_double_for(Amps(5.0))],
            [Seconds(5.0), Seconds(12.0)]
        );
        assert!(ul.is_ul() && !SHEET_3.is_ul());
    }

    /// Source: maker's data sheet to sheet 3: 35 A up to 3.15 A, then 40, 50 and 63 A at 4, 5 and 6.3 A.
    #[test]
    fn low_breaking_capacity_is_35_amps_or_ten_times_the_rating() {
        for (rated, printed) in [(1.0, 35.0), (3.15, 35.0), (4.0, 40.0), (5.0, 50.0), (6.3, 63.0)] {
            assert_relative_eq!(
                breaking_capacity(BreakingClass::Low, Amps(rated)).0,
                printed,
                max_relative = 1e-12
            );
        }
    }

    #[test]
    fn rerating_is_straight_between_points_and_stops_at_the_curve() {
        let curve = [(-20.0, 1.1), (25.0, 1.0), (85.0, 0.8)];
        assert_relative_eq!(rerated(Amps(2.0), &curve, 55.0).unwrap().0, 1.8, max_relative = 1e-12);
        assert_relative_eq!(rerated(Amps(2.0), &curve, 85.0).unwrap().0, 1.6, max_relative = 1e-12);
        assert_eq!(rerated(Amps(2.0), &curve, 86.0), None);
        assert_eq!(rerated(Amps(2.0), &[], 25.0), None);
        assert_relative_eq!(rerated_linear(Amps(2.0), 0.005, 25.0, 65.0).0, 1.6, max_relative = 1e-12);
        assert_relative_eq!(rerated_linear(Amps(2.0), 0.005, 25.0, -10.0).0, 2.0, max_relative = 1e-12);
        assert_relative_eq!(steady_load(Amps(0.8), Amps(1.6)).0, 0.5, max_relative = 1e-12);
    }

    /// Source: maker's data sheet to sheet 3: a 1 A part melts at 19.2 A²s nominal; 2.5 times 7.68 A²s is just that.
    #[test]
    fn a_fuse_just_carries_its_melting_integral_over_the_pulse_factor() {
        let found = pulse_margin(AmpsSquaredSeconds(19.2), AmpsSquaredSeconds(7.68), Ratio(2.5));
        assert_relative_eq!(found.0, 1.0, max_relative = 1e-12);
    }

    proptest! {
        #[test]
        fn more_current_opens_no_later_and_is_carried_no_longer(which in 0_usize..26, m in 1.0..12.0_f64, more in 0.0..3.0_f64) {
            let rated = Amps(RATED_CURRENTS_A[which]);
            for table in [GateTable::IecSheet1, GateTable::IecSheet2, SHEET_3, GateTable::IecSheet5, GateTable::Ul24814Slow] {
                let opens = |m: f64| table.opens_within(rated, rated * m).map_or(f64::MAX, |s| s.0);
                let carries = |m: f64| table.carries_for(rated, rated * m).map_or(0.0, |s| s.0);
                prop_assert!(opens(m + more) <= opens(m) && carries(m + more) <= carries(m));
                prop_assert!(carries(m) <= opens(m));
            }
        }
    }
}

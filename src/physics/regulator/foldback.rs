//! Current limit over output voltage: whether a load starts, and what a short draws.
//!
//! Knows no part; the curve is the catalog's least limit.

use super::super::domain::DomainError;
use super::super::formula::{Formula, Known, Source, sym};
use super::dropout::between;
use crate::quantity::{Amps, Ohms, Ratio, Volts};

/// What the workings print for [`LimitCurve::start_margin`].
pub const START_MARGIN: Formula = Formula::new(
    "regulator-start-margin",
    ("m", ""),
    "min(I_lim(V) / I_load(V))",
    &[
        sym("V", "V", "output voltage from zero to nominal"),
        sym("I_lim", "A", "least current limit there"),
        sym("I_load", "A", "load current there"),
    ],
    "both curves straight between corners",
    Source::Derived { from: "the output rises only while the limit exceeds the load" },
);

/// What the workings print for [`short_current`] and [`knee_current`].
pub const FOLDBACK_SHORT: Formula = Formula::new(
    "foldback-short-current",
    ("I_sc", "A"),
    "(V_s / R_sc) (R_3 + R_4) / R_4",
    &[
        sym("V_s", "V", "sense voltage"),
        sym("R_sc", "Ω", "sense resistor"),
        sym("R_3", "Ω", "upper foldback resistor"),
        sym("R_4", "Ω", "lower foldback resistor"),
    ],
    "adjustable limit with a divider from the output",
    Source::Published {
        title: "precision regulator data sheets",
        place: "foldback limiting",
        known: Known::Memory,
    },
);

/// Least current limit over output voltage, straight between points.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitCurve(Vec<(f64, f64)>);

/// How a load draws current while its supply rises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StartLoad {
    /// In proportion to the voltage.
    Resistive(Ohms),
    /// The same at any voltage above zero: the hardest.
    Constant(Amps),
}

impl LimitCurve {
    /// From (output voltage, limit) points, voltage ascending from zero.
    pub fn new(points: &[(Volts, Amps)]) -> Result<Self, DomainError> {
        DomainError::within("number of limit points", points.len() as f64, 1.0, 1e3)?;
        let mut below = -1e-12;
        for (index, (volts, amps)) in points.iter().enumerate() {
            let high = if index == 0 { 0.0 } else { 1e5 };
            below =
                DomainError::within("output voltage in V, ascending from 0", volts.0, below + 1e-12, high)?;
            DomainError::within("current limit in A", amps.0, 0.0, 1e5)?;
        }
        Ok(Self(points.iter().map(|(volts, amps)| (volts.0, amps.0)).collect()))
    }

    /// Limit at an output voltage; above the last point the last limit holds.
    pub fn at(&self, output: Volts) -> Amps {
        let last = self.0.last().copied().unwrap_or((0.0, 0.0));
        Amps(between(&self.0, output.0.clamp(0.0, last.0)).unwrap_or(last.1))
    }

    /// Least ratio of limit to load from zero to `nominal`; below 1 the supply hangs; see [`START_MARGIN`].
    ///
    /// On a straight piece the ratio to a straight load is monotone, so the corners decide.
    pub fn start_margin(&self, load: StartLoad, nominal: Volts) -> Ratio {
        let corners = self.0.iter().map(|(volts, _)| *volts).filter(|volts| *volts < nominal.0);
        let margin = corners.chain([nominal.0]).filter_map(|volts| {
            let drawn = match load {
                StartLoad::Resistive(ohms) => volts / ohms.0,
                StartLoad::Constant(amps) => amps.0,
            };
            (drawn > 0.0).then(|| self.at(Volts(volts)).0 / drawn)
        });
        Ratio(margin.fold(f64::INFINITY, f64::min))
    }
}

/// Short-circuit current of a foldback divider; see [`FOLDBACK_SHORT`].
pub fn short_current(sense: Volts, sense_resistor: Ohms, upper: Ohms, lower: Ohms) -> Amps {
    Amps(sense.0 / sense_resistor.0 * (upper.0 + lower.0) / lower.0)
}

/// Knee current at an output voltage: the short-circuit current plus `V R_3 / (R_sc R_4)`.
pub fn knee_current(short: Amps, output: Volts, sense_resistor: Ohms, upper: Ohms, lower: Ohms) -> Amps {
    Amps(short.0 + output.0 * upper.0 / (sense_resistor.0 * lower.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: precision regulator data sheets, foldback equations (from memory): 15 V, 0.65 V, 1 Ω, 1 kΩ, 9 kΩ: 0.722 A
    /// shorted, 2.389 A at the knee.
    #[test]
    fn foldback_of_the_data_sheet_form() {
        let short = short_current(Volts(0.65), Ohms(1.0), Ohms(1e3), Ohms(9e3));
        assert_relative_eq!(short.0, 0.7222, max_relative = 0.001);
        let knee = knee_current(short, Volts(15.0), Ohms(1.0), Ohms(1e3), Ohms(9e3));
        assert_relative_eq!(knee.0, 2.3889, max_relative = 0.001);
    }

    #[test]
    fn a_resistive_load_starts_where_a_constant_current_hangs() {
        let curve = LimitCurve::new(&[(Volts(0.0), Amps(0.5)), (Volts(12.0), Amps(2.0))]).unwrap();
        let resistive = curve.start_margin(StartLoad::Resistive(Ohms(12.0)), Volts(12.0));
        let constant = curve.start_margin(StartLoad::Constant(Amps(1.0)), Volts(12.0));
        assert_relative_eq!(resistive.0, 2.0, max_relative = 1e-12);
        assert_relative_eq!(constant.0, 0.5, max_relative = 1e-12);
    }

    #[test]
    fn a_curve_that_does_not_begin_at_zero_is_refused() {
        assert!(LimitCurve::new(&[(Volts(1.0), Amps(1.0))]).is_err());
        assert!(LimitCurve::new(&[]).is_err());
    }

    proptest! {
        /// Second method: the ratio on a fine grid.
        #[test]
        fn no_point_between_corners_is_worse_than_the_margin(a in 0.1..3.0_f64, b in 0.1..3.0_f64, c in 0.1..3.0_f64, r in 2.0..40.0_f64) {
            let curve = LimitCurve::new(&[(Volts(0.0), Amps(a)), (Volts(5.0), Amps(b)), (Volts(12.0), Amps(c))]).unwrap();
            let margin = curve.start_margin(StartLoad::Resistive(Ohms(r)), Volts(12.0)).0;
            for n in 1..=600 {
                let v = 0.02 * f64::from(n);
                prop_assert!(curve.at(Volts(v)).0 / (v / r) >= margin * (1.0 - 1e-9));
            }
        }
    }
}

//! The diode: straight line through catalog points, loss, surge bases.
//!
//! Knows no topology. The feedback of temperature on loss is in [`junction`](super::junction).

use super::domain::DomainError;
use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, AmpsSquaredSeconds, Celsius, Ohms, Ratio, Seconds, Volts, Watts};

/// What the workings print for [`Line::through`].
pub const DIODE_LINE: Formula = Formula::new(
    "diode-line",
    ("V_0", "V"),
    "(V_1 I_2 − V_2 I_1) / (I_2 − I_1)",
    &[
        sym("V_1", "V", "forward voltage at I_1"),
        sym("I_1", "A", "lower current"),
        sym("V_2", "V", "forward voltage at I_2"),
        sym("I_2", "A", "higher current"),
    ],
    "secant through two points of one junction temperature, slope (V_2 − V_1)/(I_2 − I_1); least squares where more",
    Source::Derived { from: "straight line v = V_0 + r i" },
);

/// What the workings print for [`Line::loss`].
pub const DIODE_LOSS: Formula = Formula::new(
    "diode-loss",
    ("P", "W"),
    "V_0 I_avg + r I_rms²",
    &[
        sym("V_0", "V", "threshold at the junction temperature"),
        sym("I_avg", "A", "mean current of one diode"),
        sym("r", "Ω", "slope resistance at the junction temperature"),
        sym("I_rms", "A", "rms current of one diode"),
    ],
    "conduction only; recovery is nothing at mains frequency",
    Source::Derived { from: "mean of v i with v = V_0 + r i" },
);

/// What the workings print for [`surge_integral`].
pub const SURGE_INTEGRAL: Formula = Formula::new(
    "diode-surge-integral",
    ("I²t", "A²s"),
    "I_FSM² t_p / 2",
    &[sym("I_FSM", "A", "peak of one half-sine"), sym("t_p", "s", "its base width, 10 or 8.3 ms")],
    "half-sine of the stated width",
    Source::Derived { from: "integral of a half-sine squared" },
);

/// Piecewise-linear diode at one junction temperature: `v = threshold + slope · i`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Forward voltage at vanishing current.
    pub threshold: Volts,
    /// Slope resistance.
    pub slope: Ohms,
}

impl Line {
    /// The line through catalog points (current, forward voltage) of one junction temperature: the secant of two, the
    /// least-squares line of more; see [`DIODE_LINE`].
    ///
    /// Refuses fewer than two distinct currents, and points whose line has a negative threshold or slope.
    pub fn through(points: &[(Amps, Volts)]) -> Result<Self, DomainError> {
        let count = points.len() as f64;
        DomainError::within("number of forward-voltage points", count, 2.0, 1e6)?;
        let mean_i = points.iter().map(|(i, _)| i.0).sum::<f64>() / count;
        let mean_v = points.iter().map(|(_, v)| v.0).sum::<f64>() / count;
        let spread: f64 = points.iter().map(|(i, _)| (i.0 - mean_i).powi(2)).sum();
        DomainError::within("spread of the currents in A²", spread, f64::MIN_POSITIVE, f64::MAX)?;
        let joint: f64 = points.iter().map(|(i, v)| (i.0 - mean_i) * (v.0 - mean_v)).sum();
        let slope = DomainError::within("slope resistance in Ω", joint / spread, 0.0, f64::MAX)?;
        let threshold = DomainError::within("threshold in V", mean_v - slope * mean_i, 0.0, f64::MAX)?;
        Ok(Self { threshold: Volts(threshold), slope: Ohms(slope) })
    }

    /// Forward voltage at a current.
    pub fn forward_voltage(self, current: Amps) -> Volts {
        Volts(self.threshold.0 + self.slope.0 * current.0)
    }

    /// Conduction loss of one diode; see [`DIODE_LOSS`].
    pub fn loss(self, average: Amps, rms: Amps) -> Watts {
        Watts(self.threshold.0 * average.0 + self.slope.0 * rms.0 * rms.0)
    }
}

/// A diode's line over junction temperature: two lines of two temperatures.
///
/// Between and below them linear in temperature (a junction's forward voltage is, to a few per cent, from −55 °C up:
/// common practice); above the hotter it stays as at the hotter, so that no unproven fall of the drop is counted as gain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmLine {
    cold: (Celsius, Line),
    hot: (Celsius, Line),
}

impl WarmLine {
    /// From lines at two junction temperatures, the cooler first.
    pub fn new(cold: (Celsius, Line), hot: (Celsius, Line)) -> Result<Self, DomainError> {
        DomainError::within("hot junction temperature in °C", hot.0.0, cold.0.0 + 1.0, 300.0)?;
        Ok(Self { cold, hot })
    }

    /// The same line at every temperature.
    pub const fn level(line: Line) -> Self {
        Self { cold: (Celsius(25.0), line), hot: (Celsius(125.0), line) }
    }

    /// The temperatures of the two lines.
    pub const fn temperatures(&self) -> (Celsius, Celsius) {
        (self.cold.0, self.hot.0)
    }

    /// Change of the line per kelvin below the hot temperature: (V/K, Ω/K).
    pub(super) fn per_kelvin(&self) -> (f64, f64) {
        let span_k = self.hot.0.0 - self.cold.0.0;
        (
            (self.hot.1.threshold.0 - self.cold.1.threshold.0) / span_k,
            (self.hot.1.slope.0 - self.cold.1.slope.0) / span_k,
        )
    }

    /// The line at a junction temperature; neither part falls below zero.
    pub fn at(&self, junction: Celsius) -> Line {
        let above_k = junction.0.min(self.hot.0.0) - self.cold.0.0;
        let (v_per_k, r_per_k) = self.per_kelvin();
        Line {
            threshold: Volts((self.cold.1.threshold.0 + v_per_k * above_k).max(0.0)),
            slope: Ohms((self.cold.1.slope.0 + r_per_k * above_k).max(0.0)),
        }
    }
}

/// I²t of one half-sine of a given peak and base width; see [`SURGE_INTEGRAL`].
pub fn surge_integral(peak: Amps, width: Seconds) -> AmpsSquaredSeconds {
    AmpsSquaredSeconds(peak.0 * peak.0 * width.0 / 2.0)
}

/// A surge rating on another pulse width, the integral held: `I √(t_from / t_to)`.
///
/// Valid between 8.3 and 10 ms, where the junction is nearly adiabatic. House practice (I²t constant).
pub fn surge_on_basis(peak: Amps, from: Seconds, to: Seconds) -> Amps {
    peak * (from / to).sqrt()
}

/// Leakage of a junction that doubles every so many kelvin, from its value at a reference temperature.
///
/// `I_R(T) = I_R(T_ref) 2^((T − T_ref)/d)` · `d` about 10 K: common practice, no source.
pub fn leakage(at_reference: Amps, reference: Celsius, junction: Celsius, doubling_k: f64) -> Amps {
    at_reference * ((junction.0 - reference.0) / doubling_k).exp2()
}

/// Peak reverse voltage of one diode of a rectifier, as a multiple of the peak EMF of the winding that feeds it (of one
/// half where there is a tap).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReverseCase {
    /// Half-wave with a reservoir: 2.
    HalfWaveReservoir,
    /// Half-wave into a resistance: 1.
    HalfWaveResistive,
    /// Centre-tap, any filter: 2.
    CentreTap,
    /// Bridge, any filter: 1.
    Bridge,
    /// Either doubler: 2.
    Doubler,
    /// Bridge on a centre-tapped winding with two rails: 2.
    Complementary,
}

/// How the factors of [`ReverseCase`] are known.
pub const REVERSE_SOURCE: Source = Source::Published {
    title: "Handbook for Sound Engineers",
    place: "Table 19-1 (per dc volt); reservoir cases: transformer selection guide sheet, 1.4 and 2.8 times V_ac",
    known: Known::Seen,
};

impl ReverseCase {
    /// The multiple of the peak EMF.
    pub const fn multiple(self) -> Ratio {
        match self {
            Self::HalfWaveResistive | Self::Bridge => Ratio(1.0),
            Self::HalfWaveReservoir | Self::CentreTap | Self::Doubler | Self::Complementary => Ratio(2.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn two_points_give_their_secant() {
        let line = Line::through(&[(Amps(1.0), Volts(0.9)), (Amps(3.0), Volts(1.1))]).unwrap();
        assert_relative_eq!(line.threshold.0, 0.8, max_relative = 1e-12);
        assert_relative_eq!(line.slope.0, 0.1, max_relative = 1e-12);
        assert_relative_eq!(line.loss(Amps(0.5), Amps(1.0)).0, 0.5, max_relative = 1e-12);
    }

    /// Source: transformer selection guide sheet (reprinted): reverse voltage 1.4 times the ac voltage full-wave, 2.8 half-wave with
    /// a capacitor; within the 2 % of its rounding.
    #[test]
    fn reverse_voltage_multiples_are_those_of_the_selection_sheet() {
        let over_rms = |case: ReverseCase| case.multiple().0 * std::f64::consts::SQRT_2;
        assert_relative_eq!(over_rms(ReverseCase::Bridge), 1.4, max_relative = 0.02);
        assert_relative_eq!(over_rms(ReverseCase::HalfWaveReservoir), 2.8, max_relative = 0.02);
    }

    /// Source: D. A. Bell, Electronic Devices and Circuits, Examples 3.6 and 3.10: PIV 43.4 V for a half-wave and 22.4 V for
    /// a bridge of 21.7 V and 22.4 V peak.
    #[test]
    fn reverse_voltages_are_those_of_the_worked_examples() {
        assert_relative_eq!(21.7 * ReverseCase::HalfWaveReservoir.multiple().0, 43.4, max_relative = 1e-12);
        assert_relative_eq!(22.4 * ReverseCase::Bridge.multiple().0, 22.4, max_relative = 1e-12);
    }

    #[test]
    fn one_current_or_a_falling_line_is_refused() {
        assert!(Line::through(&[(Amps(1.0), Volts(0.9))]).is_err());
        assert!(Line::through(&[(Amps(1.0), Volts(0.9)), (Amps(1.0), Volts(1.0))]).is_err());
        assert!(Line::through(&[(Amps(1.0), Volts(0.9)), (Amps(2.0), Volts(0.8))]).is_err());
    }

    /// Second method: numeric integral of a half-sine squared.
    #[test]
    fn the_surge_integral_is_that_of_a_half_sine() {
        let (steps, width) = (20_000, 0.01);
        let step = width / f64::from(steps);
        let sum: f64 = (0..steps)
            .map(|n| {
                let t = (f64::from(n) + 0.5) * step;
                (50.0 * (std::f64::consts::PI * t / width).sin()).powi(2) * step
            })
            .sum();
        assert_relative_eq!(surge_integral(Amps(50.0), Seconds(width)).0, sum, max_relative = 1e-6);
    }

    #[test]
    fn a_rating_at_8_3_ms_is_lower_at_10_ms_by_the_root() {
        let longer = surge_on_basis(Amps(100.0), Seconds(0.0083), Seconds(0.01));
        assert_relative_eq!(longer.0, 91.1, max_relative = 1e-3);
    }

    #[test]
    fn leakage_doubles_each_step() {
        assert_relative_eq!(
            leakage(Amps(1e-3), Celsius(125.0), Celsius(105.0), 10.0).0,
            0.25e-3,
            max_relative = 1e-12
        );
    }

    proptest! {
        #[test]
        fn least_squares_recovers_a_straight_line(v in 0.2..1.2_f64, r in 0.001..0.5_f64) {
            let points: Vec<_> = [0.1, 0.7, 2.0, 5.0].iter().map(|i| (Amps(*i), Volts(v + r * i))).collect();
            let line = Line::through(&points).unwrap();
            prop_assert!((line.threshold.0 - v).abs() < 1e-9 && (line.slope.0 - r).abs() < 1e-9);
        }

        #[test]
        fn the_line_meets_both_temperatures_and_lies_between(t in 25.0..150.0_f64) {
            let cold = Line { threshold: Volts(0.8), slope: Ohms(0.02) };
            let hot = Line { threshold: Volts(0.55), slope: Ohms(0.03) };
            let warm = WarmLine::new((Celsius(25.0), cold), (Celsius(150.0), hot)).unwrap();
            let near = |a: Line, b: Line| (a.threshold.0 - b.threshold.0).abs() < 1e-12 && (a.slope.0 - b.slope.0).abs() < 1e-12;
            prop_assert!(near(warm.at(Celsius(25.0)), cold) && near(warm.at(Celsius(150.0)), hot));
            prop_assert!(near(warm.at(Celsius(200.0)), hot));
            let between = warm.at(Celsius(t)).threshold.0;
            prop_assert!((0.55 - 1e-12..=0.8 + 1e-12).contains(&between));
        }
    }
}

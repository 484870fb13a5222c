//! Ideal rectifiers into a resistance: the constants of the textbooks, as exact expressions.
//!
//! Knows no winding resistance, no diode drop, no filter. Shown beside the exact figures of a real supply; nothing is
//! chosen by them. Where sources disagree each function says which definition it is.

use std::f64::consts::{FRAC_1_PI, FRAC_1_SQRT_2, PI, SQRT_2};

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::Ratio;

/// The three circuits the tables print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ideal {
    /// One diode.
    HalfWave,
    /// Two diodes on a tapped winding; EMF and winding figures are of one half.
    CentreTap,
    /// Four diodes on one winding.
    Bridge,
}

const CHART: Source = Source::Published {
    title: "Handbook for Sound Engineers",
    place: "ch. 19, Table 19-1, Rectifier Circuit Chart",
    known: Known::Seen,
};

/// What the workings print for [`Ideal::form_factor`].
pub const FORM_FACTOR: Formula = Formula::new(
    "textbook-form-factor",
    ("F", ""),
    "I_rms / I_avg",
    &[sym("I_rms", "A", "load current, rms"), sym("I_avg", "A", "load current, average")],
    "ideal diodes and winding, resistance load, no filter",
    CHART,
);

/// What the workings print for [`Ideal::ripple_factor`].
pub const RIPPLE_FACTOR: Formula = Formula::new(
    "textbook-ripple-factor",
    ("γ", ""),
    "√(F² − 1)",
    &[sym("F", "", "form factor")],
    "ideal diodes and winding, resistance load, no filter",
    CHART,
);

/// What the workings print for [`Ideal::efficiency`].
pub const EFFICIENCY: Formula = Formula::new(
    "textbook-efficiency",
    ("η", ""),
    "1 / F²",
    &[sym("F", "", "form factor")],
    "ideal diodes and winding, resistance load, no filter",
    Source::Derived { from: "dc power I_avg² R over all power I_rms² R" },
);

/// What the workings print for the utilisation factors.
pub const UTILISATION_FACTOR: Formula = Formula::new(
    "textbook-utilisation-factor",
    ("TUF", ""),
    "P_dc / Σ(E I)",
    &[
        sym("P_dc", "W", "I_avg² R"),
        sym("E", "V", "EMF of each winding, rms"),
        sym("I", "A", "its current, rms; of a half-wave primary without the dc part"),
    ],
    "ideal diodes and winding, resistance load, no filter",
    Source::Published {
        title: "Wikipedia, Transformer utilization factor",
        place: "definition and half-wave 0.287",
        known: Known::Seen,
    },
);

impl Ideal {
    /// All three.
    pub const ALL: [Self; 3] = [Self::HalfWave, Self::CentreTap, Self::Bridge];

    const fn is_full_wave(self) -> bool {
        !matches!(self, Self::HalfWave)
    }

    /// Average of the load over its peak: 1/π or 2/π.
    pub fn average(self) -> Ratio {
        Ratio(if self.is_full_wave() { 2.0 * FRAC_1_PI } else { FRAC_1_PI })
    }

    /// rms of the load over its peak: 1/2 or 1/√2.
    pub const fn rms(self) -> Ratio {
        Ratio(if self.is_full_wave() { FRAC_1_SQRT_2 } else { 0.5 })
    }

    /// rms of the ac component of the load over its peak: `√(rms² − average²)`.
    pub fn ac_component(self) -> Ratio {
        Ratio((self.rms().0.powi(2) - self.average().0.powi(2)).sqrt())
    }

    /// rms over average: π/2 or π/(2√2); see [`FORM_FACTOR`].
    pub fn form_factor(self) -> Ratio {
        Ratio(self.rms() / self.average())
    }

    /// ac component over average; see [`RIPPLE_FACTOR`].
    pub fn ripple_factor(self) -> Ratio {
        Ratio(self.ac_component() / self.average())
    }

    /// dc power over ac power: 4/π² or 8/π²; see [`EFFICIENCY`]. Many books print 40.6 % and twice that, 81.2 %; the exact
    /// values are 40.53 % and 81.06 %.
    pub fn efficiency(self) -> Ratio {
        Ratio((self.average() / self.rms()).powi(2))
    }

    /// Greatest reverse voltage of one diode over the peak EMF of the winding (half): 1, 2, 1.
    pub const fn reverse_voltage(self) -> Ratio {
        Ratio(if matches!(self, Self::CentreTap) { 2.0 } else { 1.0 })
    }

    /// Average output over the rms EMF of the winding (half): √2/π or 2√2/π.
    pub fn output_per_emf(self) -> Ratio {
        Ratio(SQRT_2 * self.average().0)
    }

    /// Average of one diode over the average of the load: 1 or 1/2.
    pub const fn diode_average(self) -> Ratio {
        Ratio(if self.is_full_wave() { 0.5 } else { 1.0 })
    }

    /// rms of one diode over the average of the load: π/2 or π/4.
    pub const fn diode_rms(self) -> Ratio {
        Ratio(if self.is_full_wave() { PI / 4.0 } else { PI / 2.0 })
    }

    /// rms of the winding (of one half) over the average of the load: π/2, π/4, π/(2√2).
    pub const fn winding_rms(self) -> Ratio {
        match self {
            Self::HalfWave => Ratio(PI / 2.0),
            Self::CentreTap => Ratio(PI / 4.0),
            Self::Bridge => Ratio(PI / (2.0 * SQRT_2)),
        }
    }

    /// Lowest ripple frequency over the mains frequency.
    pub const fn ripple_multiple(self) -> u32 {
        if self.is_full_wave() { 2 } else { 1 }
    }

    /// dc power over the apparent power of the secondary: 2√2/π², 4√2/π², 8/π²; see [`UTILISATION_FACTOR`].
    pub fn utilisation_secondary(self) -> Ratio {
        let halves = if matches!(self, Self::CentreTap) { 2.0 } else { 1.0 };
        Ratio(self.output_per_emf().0 / (halves * self.winding_rms().0))
    }

    /// dc power over the apparent power of the primary. A half-wave's primary carries the ac part only (the chart's
    /// assumption); the others a full sine.
    pub fn utilisation_primary(self) -> Ratio {
        match self {
            Self::HalfWave => Ratio(self.output_per_emf().0 / self.ripple_factor().0),
            Self::CentreTap | Self::Bridge => Self::Bridge.utilisation_secondary(),
        }
    }

    /// dc power over the mean of both apparent powers: the definition used here, because it sizes the transformer. For a
    /// centre-tap 0.672; the 0.693 that also circulates is [`utilisation_arithmetic`](Self::utilisation_arithmetic).
    pub fn utilisation_mean(self) -> Ratio {
        let (secondary, primary) = (self.utilisation_secondary().0, self.utilisation_primary().0);
        Ratio(2.0 / (1.0 / secondary + 1.0 / primary))
    }

    /// Arithmetic mean of the two utilisation factors, printed in many books for the centre-tap (0.693).
    pub fn utilisation_arithmetic(self) -> Ratio {
        Ratio(f64::midpoint(self.utilisation_secondary().0, self.utilisation_primary().0))
    }
}

/// Constants with a very large choke in the dc path: load current constant.
pub mod choke_input {
    use super::{FRAC_1_SQRT_2, Ideal, PI, SQRT_2};
    use crate::quantity::Ratio;

    /// rms of one diode over the load current: 1/√2 (full-wave).
    pub const DIODE_RMS: Ratio = Ratio(FRAC_1_SQRT_2);
    /// Power factor of the square-wave primary current: 2√2/π.
    pub const POWER_FACTOR: Ratio = Ratio(2.0 * SQRT_2 / PI);

    /// Apparent power of the secondary over the dc power; `None` for a half-wave, which has no such state.
    pub fn va_secondary(circuit: Ideal) -> Option<Ratio> {
        match circuit {
            Ideal::HalfWave => None,
            Ideal::CentreTap => Some(Ratio(PI / 2.0)),
            Ideal::Bridge => Some(Ratio(PI / (2.0 * SQRT_2))),
        }
    }
}

#[cfg(test)]
#[expect(clippy::approx_constant, reason = "tables are copied as printed")]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn near(found: Ratio, printed: f64, relative: f64) {
        assert_relative_eq!(found.0, printed, max_relative = relative);
    }

    /// Source: Handbook for Sound Engineers, Table 19-1, half-wave column, per average volt and ampere. (Its rms-to-dc 1.67
    /// is a misprint of 1.571 and is not used.)
    #[test]
    fn half_wave_meets_the_rectifier_circuit_chart() {
        let it = Ideal::HalfWave;
        near(Ratio(1.0 / it.average().0), 3.14, 0.005);
        near(Ratio(it.reverse_voltage().0 / it.average().0), 3.14, 0.005);
        near(it.diode_average(), 1.0, 0.005);
        near(it.diode_rms(), 1.57, 0.005);
        near(it.ripple_factor(), 1.21, 0.005);
        near(Ratio(1.0 / it.output_per_emf().0), 2.22, 0.005);
        near(Ratio(1.0 / it.utilisation_secondary().0), 3.49, 0.005);
        near(Ratio(1.0 / it.utilisation_primary().0), 2.69, 0.005);
        near(Ratio(1.0 / it.utilisation_mean().0), 3.09, 0.005);
        assert_eq!(it.ripple_multiple(), 1);
    }

    /// Source: Handbook for Sound Engineers, Table 19-1, centre-tapped column.
    #[test]
    fn centre_tap_meets_the_rectifier_circuit_chart() {
        let it = Ideal::CentreTap;
        near(it.form_factor(), 1.11, 0.01);
        near(Ratio(1.0 / it.average().0), 1.57, 0.01);
        near(Ratio(it.reverse_voltage().0 / it.average().0), 3.14, 0.01);
        near(it.diode_average(), 0.5, 0.01);
        near(it.diode_rms(), 0.785, 0.01);
        near(choke_input::DIODE_RMS, 0.707, 0.01);
        near(it.ripple_factor(), 0.48, 0.01);
        near(Ratio(1.0 / it.output_per_emf().0), 1.11, 0.01);
        near(choke_input::va_secondary(it).unwrap(), 1.57, 0.01);
        assert_eq!(it.ripple_multiple(), 2);
    }

    /// Source: Handbook for Sound Engineers, Table 19-1, bridge column.
    #[test]
    fn bridge_meets_the_rectifier_circuit_chart() {
        let it = Ideal::Bridge;
        near(it.form_factor(), 1.11, 0.01);
        near(Ratio(it.reverse_voltage().0 / it.average().0), 1.57, 0.01);
        near(it.diode_rms(), 0.785, 0.01);
        near(it.ripple_factor(), 0.48, 0.01);
        near(Ratio(1.0 / it.output_per_emf().0), 1.11, 0.01);
        near(choke_input::va_secondary(it).unwrap(), 1.11, 0.01);
        near(choke_input::POWER_FACTOR, 0.9, 0.01);
    }

    /// Source: Wikipedia, Transformer utilization factor: 0.287. A question-and-answer compilation (aic-components.com)
    /// prints 0.812 for the bridge and both 0.693 and 0.672 for the centre-tap.
    #[test]
    fn utilisation_factors_are_the_printed_ones_by_their_two_definitions() {
        near(Ideal::HalfWave.utilisation_secondary(), 0.287, 0.003);
        near(Ideal::Bridge.utilisation_secondary(), 0.812, 0.003);
        near(Ideal::CentreTap.utilisation_arithmetic(), 0.693, 0.003);
        near(Ideal::CentreTap.utilisation_mean(), 0.672, 0.003);
        near(Ideal::CentreTap.utilisation_secondary(), 0.573, 0.003);
    }

    /// Source: S. Salivahanan et al., Electronic Devices and Circuits, Example 18.1: half-wave, 325 V peak, 100 Ω + 1 kΩ:
    /// 94.046 mA average, 147.725 mA rms, 36.85 %; the ideal efficiency times 1000/1100.
    #[test]
    fn half_wave_of_salivahanan_18_1() {
        let it = Ideal::HalfWave;
        let peak_a = 325.0 / 1100.0;
        near(Ratio(it.average().0 * peak_a), 94.046e-3, 0.002);
        near(Ratio(it.rms().0 * peak_a), 147.725e-3, 0.002);
        near(Ratio(it.efficiency().0 * 1000.0 / 1100.0), 0.3685, 0.002);
    }

    /// Source: S. Salivahanan et al., Example 18.7: bridge on 57.5 V: 51.76 V, PIV 81.3 V; Hammond, Design Guide for
    /// Rectifier Use: 0.45 (half-wave) and 0.90 (bridge) of the secondary, currents 0.64 and 0.9 of its rms.
    #[test]
    fn averages_meet_salivahanan_and_the_makers_guide() {
        near(Ratio(57.5 * Ideal::Bridge.output_per_emf().0), 51.76, 0.012);
        near(Ratio(57.5 * SQRT_2 * Ideal::Bridge.reverse_voltage().0), 81.3, 0.012);
        near(Ideal::HalfWave.output_per_emf(), 0.45, 0.02);
        near(Ideal::Bridge.output_per_emf(), 0.90, 0.02);
        near(Ratio(1.0 / Ideal::HalfWave.winding_rms().0), 0.64, 0.02);
        near(Ratio(1.0 / Ideal::Bridge.winding_rms().0), 0.9, 0.02);
    }

    /// Second method: numeric means of a rectified sine.
    #[test]
    fn average_and_rms_are_the_integrals_of_a_rectified_sine() {
        let steps = 200_000;
        for it in Ideal::ALL {
            let (mut sum, mut squares) = (0.0, 0.0);
            for n in 0..steps {
                let sine = (2.0 * PI * (f64::from(n) + 0.5) / f64::from(steps)).sin();
                let v = if it == Ideal::HalfWave { sine.max(0.0) } else { sine.abs() };
                sum += v;
                squares += v * v;
            }
            near(it.average(), sum / f64::from(steps), 1e-8);
            near(it.rms(), (squares / f64::from(steps)).sqrt(), 1e-8);
        }
    }
}

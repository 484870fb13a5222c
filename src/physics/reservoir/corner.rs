//! Capacitance, series resistance and hold-up of a reservoir at a corner of its tolerances and its life.
//!
//! Knows no catalog; factors come in as numbers.

use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Farads, Hertz, Ohms, Ratio, Seconds, Volts};

/// What the workings print for [`capacitance`].
pub const CAPACITANCE_CORNER: Formula = Formula::new(
    "reservoir-capacitance-corner",
    ("C_min", "F"),
    "n C (1 − δ) (1 − e)",
    &[
        sym("n", "", "equal parts in parallel"),
        sym("C", "F", "nominal capacitance of one"),
        sym("δ", "", "lower tolerance"),
        sym("e", "", "loss of capacitance at end of life"),
    ],
    "tolerance and end of life multiply",
    Source::CommonPractice,
);

/// What the workings print for [`series_resistance`].
pub const ESR_CORNER: Formula = Formula::new(
    "reservoir-esr-corner",
    ("ESR", "Ω"),
    "ESR_20 w c / n",
    &[
        sym("ESR_20", "Ω", "greatest series resistance of one part, new, at 20 °C"),
        sym("w", "", "factor at end of life"),
        sym("c", "", "factor at the lowest temperature"),
        sym("n", "", "equal parts in parallel"),
    ],
    "at the ripple frequency of the rating",
    Source::CommonPractice,
);

/// What the workings print for [`esr_from_loss_factor`].
pub const ESR_FROM_LOSS: Formula = Formula::new(
    "reservoir-esr",
    ("ESR", "Ω"),
    "tan_δ / (2 π f C)",
    &[
        sym("tan_δ", "", "loss factor"),
        sym("π", "", "3.14159"),
        sym("f", "Hz", "frequency of the loss factor"),
        sym("C", "F", "nominal capacitance"),
    ],
    "at that frequency; higher frequencies have less",
    Source::Published {
        title: "capacitor maker's training slides",
        place: "DF = tan δ = ESR/X_c",
        known: Known::Seen,
    },
);

/// What the workings print for [`hold_up_time`].
pub const HOLD_UP: Formula = Formula::new(
    "reservoir-hold-up",
    ("t", "s"),
    "C (V_valley − V_min) / I",
    &[
        sym("C", "F", "capacitance at its lower corner"),
        sym("V_valley", "V", "least reservoir voltage in the steady state"),
        sym("V_min", "V", "least voltage the load works from"),
        sym("I", "A", "load current, constant"),
    ],
    "mains lost at the worst instant; drop in the series resistance included in V_valley",
    Source::Derived { from: "constant current discharges a capacitor linearly" },
);

/// Capacitance of a bank at a corner: `tolerance` and `end_of_life` are factors such as 0.8; see [`CAPACITANCE_CORNER`].
pub fn capacitance(nominal: Farads, parts: u32, tolerance: Ratio, end_of_life: Ratio) -> Farads {
    nominal * (f64::from(parts) * tolerance.0 * end_of_life.0)
}

/// Series resistance of a bank at a corner; see [`ESR_CORNER`].
pub fn series_resistance(new_at_20: Ohms, parts: u32, end_of_life: Ratio, cold: Ratio) -> Ohms {
    new_at_20 * (end_of_life.0 * cold.0 / f64::from(parts.max(1)))
}

/// Series resistance from the loss factor at a frequency; see [`ESR_FROM_LOSS`].
pub fn esr_from_loss_factor(loss_factor: Ratio, frequency: Hertz, nominal: Farads) -> Ohms {
    Ohms(loss_factor.0 / (std::f64::consts::TAU * frequency.0 * nominal.0))
}

/// Hold-up after the mains is lost at the valley; zero where the valley is too low already; see [`HOLD_UP`].
pub fn hold_up_time(capacitance: Farads, valley: Volts, least: Volts, load: Amps) -> Seconds {
    Seconds((capacitance.0 * (valley.0 - least.0) / load.0).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: capacitor maker's training slides (relation): 1000 µF, tan δ 0.14 at 120 Hz: 0.1857 Ω.
    #[test]
    fn a_millifarad_with_14_percent_loss_has_186_milliohms() {
        let found = esr_from_loss_factor(Ratio(0.14), Hertz(120.0), Farads(1e-3));
        assert_relative_eq!(found.0, 0.1857, max_relative = 0.001);
    }

    /// Common practice: −20 % tolerance and 20 % end-of-life loss leave 64 %.
    #[test]
    fn tolerance_and_end_of_life_leave_64_percent() {
        let found = capacitance(Farads(4.7e-3), 2, Ratio(0.8), Ratio(0.8));
        assert_relative_eq!(found.0, 0.64 * 9.4e-3, max_relative = 1e-12);
        assert_relative_eq!(
            series_resistance(Ohms(0.05), 2, Ratio(3.0), Ratio(4.0)).0,
            0.3,
            max_relative = 1e-12
        );
    }

    #[test]
    fn hold_up_is_charge_over_current_and_never_negative() {
        assert_relative_eq!(
            hold_up_time(Farads(10e-3), Volts(20.0), Volts(15.0), Amps(1.0)).0,
            0.05,
            max_relative = 1e-12
        );
        assert_relative_eq!(
            hold_up_time(Farads(10e-3), Volts(14.0), Volts(15.0), Amps(1.0)).0,
            0.0,
            epsilon = 1e-12
        );
    }
}

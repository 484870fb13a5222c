//! The resistor: what power and voltage it may have at its temperature.
//!
//! Knows no policy; the derated limits are the policy's.

use super::formula::{Formula, Source, sym};
use crate::quantity::{Celsius, Ohms, Ratio, Volts, Watts};

/// What the workings print for [`power_rating`].
pub const RESISTOR_POWER_RATING: Formula = Formula::new(
    "resistor-power-rating",
    ("P_T", "W"),
    "P_70 (T_max − T) / (T_max − 70)",
    &[
        sym("P_70", "W", "rating at 70 °C"),
        sym("T_max", "°C", "temperature at which nothing is left"),
        sym("T", "°C", "air at the part"),
    ],
    "above 70 °C; P_70 up to there",
    Source::CommonPractice,
);

/// What the workings print for [`voltage_rating`].
pub const RESISTOR_VOLTAGE_RATING: Formula = Formula::new(
    "resistor-voltage-rating",
    ("V_r", "V"),
    "min(√(P_70 R), V_max)",
    &[
        sym("P_70", "W", "rating at 70 °C"),
        sym("R", "Ω", "nominal resistance"),
        sym("V_max", "V", "limiting voltage"),
    ],
    "dc or rms",
    Source::CommonPractice,
);

/// Power rating at an air temperature, falling linearly from 70 °C; see [`RESISTOR_POWER_RATING`]. Never negative.
pub fn power_rating(at_70: Watts, air: Celsius, air_max: Celsius) -> Watts {
    at_70 * ((air_max.0 - air.0) / (air_max.0 - 70.0)).clamp(0.0, 1.0)
}

/// Voltage rating; see [`RESISTOR_VOLTAGE_RATING`].
pub fn voltage_rating(at_70: Watts, resistance: Ohms, limiting: Volts) -> Volts {
    Volts((at_70.0 * resistance.0).sqrt()).min(limiting)
}

/// Resistance over temperature, `R (1 + TCR (T − 20))` with the coefficient per kelvin: its relative change.
pub fn drift(coefficient_per_k: f64, air: Celsius) -> Ratio {
    Ratio(coefficient_per_k * (air.0 - 20.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn power_is_full_to_70_half_midway_and_nothing_at_the_end() {
        let at = |t: f64| power_rating(Watts(0.6), Celsius(t), Celsius(155.0)).0;
        assert_relative_eq!(at(25.0), 0.6, max_relative = 1e-12);
        assert_relative_eq!(at(70.0), 0.6, max_relative = 1e-12);
        assert_relative_eq!(at(112.5), 0.3, max_relative = 1e-12);
        assert_relative_eq!(at(200.0), 0.0, epsilon = 1e-12);
    }

    #[test]
    fn voltage_is_bound_by_power_below_and_by_the_body_above() {
        assert_relative_eq!(
            voltage_rating(Watts(0.25), Ohms(1e3), Volts(250.0)).0,
            15.811,
            max_relative = 1e-4
        );
        assert_relative_eq!(
            voltage_rating(Watts(0.25), Ohms(1e6), Volts(250.0)).0,
            250.0,
            max_relative = 1e-12
        );
    }

    #[test]
    fn a_hundred_ppm_is_half_a_percent_in_fifty_kelvin() {
        assert_relative_eq!(drift(100e-6, Celsius(70.0)).0, 0.005, max_relative = 1e-12);
    }
}

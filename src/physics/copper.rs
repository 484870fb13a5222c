//! Copper: resistance and temperature of a winding.
//!
//! Knows nothing of how warm a winding gets; that is [`transformer`](super::transformer).

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Celsius, Ohms};

/// Temperature coefficient of annealed copper at 20 °C, per kelvin. Source: IEC 60028:1925 (from memory).
pub const ALPHA_20_PER_K: f64 = 0.00393;

/// What the workings print for [`resistance_at`].
pub const COPPER_RESISTANCE: Formula = Formula::new(
    "copper-resistance",
    ("R_T", "Ω"),
    "R_20 (1 + α (T − 20))",
    &[
        sym("R_20", "Ω", "resistance at 20 °C"),
        sym("α", "1/K", "0.00393, annealed copper at 20 °C"),
        sym("T", "°C", "temperature of the winding"),
    ],
    "-50 to 200 °C",
    Source::Published { title: "IEC 60028:1925", place: "standard annealed copper", known: Known::Memory },
);

/// Ratio of the resistance at `t` to that at 20 °C.
pub fn factor(t: Celsius) -> f64 {
    1.0 + ALPHA_20_PER_K * (t.0 - 20.0)
}

/// Resistance of copper at a temperature.
///
/// ```text
/// R_T = R_20 (1 + α (T − 20))
/// ```
/// `R_20` resistance at 20 °C · `α` 0.00393/K · valid −50 to 200 °C (it reaches zero at −234.5 °C, far outside).
///
/// Source: IEC 60028:1925 (from memory).
pub fn resistance_at(r_20: Ohms, t: Celsius) -> Ohms {
    r_20 * factor(t)
}

/// Resistance at 20 °C from one measured or computed at `t`: the inverse of [`resistance_at`].
pub fn resistance_20(r_t: Ohms, t: Celsius) -> Ohms {
    r_t / factor(t)
}

/// Mean temperature of a winding from its resistance cold and hot.
///
/// ```text
/// T_2 = (R_2 / R_1) (234.5 + T_1) − 234.5
/// ```
/// Source: measurement of rise by resistance, IEC 61558-1, 234.5 for copper (seen in a second witness:
/// Tauscher Transformatoren, "temperature of transformers").
pub fn temperature_by_resistance(r_1: Ohms, t_1: Celsius, r_2: Ohms) -> Celsius {
    let zero_k = 1.0 / ALPHA_20_PER_K - 20.0;
    Celsius((r_2 / r_1) * (zero_k + t_1.0) - zero_k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: IEC 60028:1925, standard annealed copper, α = 0.003 93 K⁻¹ at 20 °C (from memory).
    #[test]
    fn copper_winding_gains_31_percent_from_20_to_100_celsius() {
        assert_relative_eq!(resistance_at(Ohms(1.0), Celsius(100.0)).0, 1.3144, epsilon = 1e-12);
    }

    /// Source: the constant 234.5 of the winding-rise formula, Tauscher Transformatoren (second witness of IEC 61558-1).
    #[test]
    fn the_constant_of_the_rise_formula_is_234_5() {
        assert_relative_eq!(1.0 / ALPHA_20_PER_K - 20.0, 234.5, epsilon = 0.05);
        let by_standard = (1.3 / 1.0) * (234.5 + 23.0) - 234.5;
        let ours = temperature_by_resistance(Ohms(1.0), Celsius(23.0), Ohms(1.3)).0;
        assert_relative_eq!(ours, by_standard, epsilon = 0.02);
    }

    proptest! {
        #[test]
        fn hot_and_cold_resistance_are_inverse(r in 1e-3..1e3_f64, t in -50.0..200.0_f64) {
            let back = resistance_20(resistance_at(Ohms(r), Celsius(t)), Celsius(t)).0;
            prop_assert!((back - r).abs() <= 1e-12 * r);
            let found = temperature_by_resistance(Ohms(r), Celsius(20.0), resistance_at(Ohms(r), Celsius(t))).0;
            prop_assert!((found - t).abs() <= 1e-9);
        }
    }
}

//! Mean winding temperature from losses, with the resistance rising as the winding warms.
//!
//! Knows no insulation class. The currents are given; a caller whose currents depend on the resistance repeats.

use super::super::copper::{ALPHA_20_PER_K, factor};
use super::super::domain::Settling;
use super::super::formula::{Formula, Source, sym};
use crate::quantity::{Celsius, Kelvins, KelvinsPerWatt, Watts};

/// What the workings print for [`settled_temperature`].
pub const WINDING_TEMPERATURE: Formula = Formula::new(
    "winding-temperature",
    ("T", "°C"),
    "(T_air + G (P_20 (1 − 20 α) + P_fe)) / (1 − G α P_20)",
    &[
        sym("T_air", "°C", "air around the transformer"),
        sym("G", "K/W", "rated rise over rated total loss"),
        sym("P_20", "W", "copper loss of all windings with resistances at 20 °C"),
        sym("α", "1/K", "0.00393, copper at 20 °C"),
        sym("P_fe", "W", "core loss"),
    ],
    "rise proportional to total loss; G α P_20 below 1, else thermal runaway",
    Source::Derived {
        from: "fixed point of T = T_air + rated rise × (P_cu(T) + P_fe)/P_rated, P_cu linear in T",
    },
);

/// Thermal resistance of the winding from the maker's rated rise at rated total loss (copper hot plus core).
pub fn thermal_resistance(rated_rise: Kelvins, rated_loss: Watts) -> KelvinsPerWatt {
    KelvinsPerWatt(rated_rise.0 / rated_loss.0)
}

/// Temperature at which loss and rise agree; see [`WINDING_TEMPERATURE`].
///
/// `copper_loss_20` is the copper loss of all windings with each resistance at 20 °C and the rms currents of the corner.
pub fn settled_temperature(
    air: Celsius,
    resistance: KelvinsPerWatt,
    copper_loss_20: Watts,
    core_loss: Watts,
) -> Settling {
    let feedback = resistance.0 * ALPHA_20_PER_K * copper_loss_20.0;
    let top_c = air.0 + resistance.0 * (copper_loss_20.0 * factor(Celsius(0.0)) + core_loss.0);
    let settled_c = top_c / (1.0 - feedback);
    if feedback < 1.0 && settled_c.is_finite() {
        Settling::Settled(Celsius(settled_c))
    } else {
        Settling::Runaway
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn at_rated_loss_the_winding_shows_its_rated_rise() {
        let resistance = thermal_resistance(Kelvins(60.0), Watts(12.0));
        let copper_20 = Watts(10.0 / factor(Celsius(100.0)));
        let found = settled_temperature(Celsius(40.0), resistance, copper_20, Watts(2.0));
        assert_relative_eq!(found.temperature().unwrap().0, 100.0, max_relative = 1e-12);
    }

    #[test]
    fn enough_copper_loss_runs_away() {
        let found = settled_temperature(Celsius(40.0), KelvinsPerWatt(5.0), Watts(51.0), Watts(0.0));
        assert_eq!(found, Settling::Runaway);
        let just = settled_temperature(Celsius(40.0), KelvinsPerWatt(5.0), Watts(50.0), Watts(0.0));
        assert!(just.temperature().is_some());
    }

    proptest! {
        /// Second method: repeated substitution.
        #[test]
        fn the_closed_form_is_where_repeated_substitution_ends(
            air in -20.0..70.0_f64, g in 0.1..6.0_f64, copper in 0.1..10.0_f64, core in 0.0..10.0_f64,
        ) {
            let found = settled_temperature(Celsius(air), KelvinsPerWatt(g), Watts(copper), Watts(core));
            let mut t = air;
            for _ in 0..400 {
                t = air + g * (copper * factor(Celsius(t)) + core);
            }
            prop_assert!((found.temperature().unwrap().0 - t).abs() < 1e-6);
        }
    }
}

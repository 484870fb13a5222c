//! Failure rates by the parts count of MIL-HDBK-217F Notice 2, appendix A: what a list of parts alone tells.
//!
//! ```text
//! λ = Σ N λ_g π_Q
//! ```
//! `N` pieces of a kind · `λ_g` generic rate of the kind in an environment, per million hours · `π_Q` quality. The generic
//! rates are the part-stress models at the appendix's usual conditions, not at those of the circuit. Semiconductors and
//! fuses stand as the appendix prints them; its tables of capacitors, resistors and inductive parts could not be read, so
//! these are worked out from the models here. All of it from memory. A comparison between variants, never a life.

use super::{
    formula::{Formula, Known, Source, sym},
    reliability::{
        CapacitorStyle, Environment, POWER_TRANSFORMER_BASE, PerMillionHours, ResistorStyle, capacitor,
        hot_spot, magnetic, resistor,
    },
};
use crate::quantity::{Celsius, Ratio, Watts};

/// What the workings print for a parts count.
pub const PARTS_COUNT: Formula = Formula::new(
    "reliability-parts-count",
    ("λ", "1/10⁶h"),
    "Σ N λ_g π_Q",
    &[
        sym("N", "", "pieces of a kind"),
        sym("λ_g", "1/10⁶h", "generic rate of the kind at the appendix's usual conditions"),
        sym("π_Q", "", "quality"),
    ],
    "comparison of variants in one edition, before stresses are known",
    Source::Published {
        title: "MIL-HDBK-217F Notice 2, 28 February 1995",
        place: "appendix A",
        known: Known::Memory,
    },
);

/// Share of a rating at which the generic capacitors and resistors work.
pub const STRESS: Ratio = Ratio(0.5);
/// Capacitance of the generic aluminium electrolytic, µF.
pub const ELECTROLYTIC_MICROFARADS: f64 = 1700.0;

/// Air about the generic part. Source: MIL-HDBK-217F, appendix A (from memory).
pub const fn air(environment: Environment) -> Celsius {
    Celsius(match environment {
        Environment::GroundBenign => 30.0,
        Environment::GroundFixed | Environment::NavalSheltered => 40.0,
        Environment::GroundMobile => 45.0,
    })
}

/// Junction of the generic semiconductor: 20 K above [`air`]. Source: MIL-HDBK-217F, appendix A (from memory).
pub const fn junction(environment: Environment) -> Celsius {
    Celsius(air(environment).0 + 20.0)
}

const fn of(environment: Environment, row: [f64; 4]) -> f64 {
    match environment {
        Environment::GroundBenign => row[0],
        Environment::GroundFixed => row[1],
        Environment::GroundMobile => row[2],
        Environment::NavalSheltered => row[3],
    }
}

/// Generic rate of a power rectifier, Schottky included. Source: MIL-HDBK-217F, appendix A (from memory).
pub const fn power_rectifier(environment: Environment) -> PerMillionHours {
    PerMillionHours(of(environment, [0.0028, 0.022, 0.039, 0.034]))
}

/// Generic rate of a low-frequency bipolar power transistor. Source: MIL-HDBK-217F, appendix A (from memory).
pub const fn power_transistor(environment: Environment) -> PerMillionHours {
    PerMillionHours(of(environment, [0.0057, 0.042, 0.069, 0.063]))
}

/// Generic rate of a linear circuit of up to 100 transistors. Source: MIL-HDBK-217F, appendix A (from memory).
pub const fn linear_circuit(environment: Environment) -> PerMillionHours {
    PerMillionHours(of(environment, [0.0095, 0.024, 0.039, 0.034]))
}

/// Generic rate of a capacitor at half its rated voltage, with the pieces' own capacitance where they are no electrolytic.
pub fn generic_capacitor(
    style: CapacitorStyle,
    microfarads: f64,
    environment: Environment,
) -> PerMillionHours {
    let size = match style {
        CapacitorStyle::Electrolytic => ELECTROLYTIC_MICROFARADS,
        CapacitorStyle::Film | CapacitorStyle::Ceramic => microfarads,
    };
    capacitor(style, air(environment), size, STRESS, 1.0, environment)
}

/// Generic rate of a film resistor at half its rated power.
pub fn film_resistor(rated: Watts, environment: Environment) -> PerMillionHours {
    resistor(ResistorStyle::Film, air(environment), rated * STRESS.0, rated, 1.0, environment)
}

/// Generic rate of a power transformer at its rated rise.
pub fn power_transformer(rated_rise_k: f64, environment: Environment) -> PerMillionHours {
    let spot = hot_spot(air(environment), rated_rise_k);
    magnetic(POWER_TRANSFORMER_BASE, spot, 1.0, environment)
}

#[cfg(test)]
mod tests {
    use super::super::reliability::{
        DiodeKind, Family, arrhenius, diode, environment_factor, fuse, solder_joint, transistor,
    };
    use super::Environment::{GroundBenign, GroundFixed, GroundMobile, NavalSheltered};
    use super::*;
    use approx::assert_relative_eq;

    const ALL: [Environment; 4] = [GroundBenign, GroundFixed, GroundMobile, NavalSheltered];

    /// Source: MIL-HDBK-217F, appendix A, power rectifiers (from memory): 0.0028, 0.022, 0.039, 0.034. Second method: the
    /// part-stress model at 70 % of reverse voltage and the junction temperatures above gives the same in two figures.
    #[test]
    fn printed_rectifiers_are_the_stress_model_at_the_usual_conditions() {
        for environment in ALL {
            let model = diode(DiodeKind::PowerRectifier, junction(environment), Ratio(0.7), 1.0, environment);
            assert_relative_eq!(model.0, power_rectifier(environment).0, max_relative = 0.025);
        }
    }

    /// Source: MIL-HDBK-217F, appendix A, low-frequency power transistors (from memory): 0.0057, 0.042, 0.069, 0.063. Second
    /// method: the part-stress model of a linear 100 W transistor at 80 % of its voltage gives the same in two figures.
    #[test]
    fn printed_power_transistors_are_the_stress_model_at_the_usual_conditions() {
        for environment in ALL {
            let model = transistor(junction(environment), Watts(100.0), Ratio(0.8), 1.0, environment);
            assert_relative_eq!(model.0, power_transistor(environment).0, max_relative = 0.025);
        }
    }

    /// Source: MIL-HDBK-217F, appendix A, linear circuits of 1 to 100 transistors, 14 pins, hermetic (from memory): 0.0095,
    /// 0.024, 0.039, 0.034. Second method: `C_1 π_T + C_2 π_E` with `C_2 = 2.8e-4 · 14^1.08` gives the same in two figures.
    #[test]
    fn printed_linear_circuits_are_the_stress_model_at_the_usual_conditions() {
        for environment in ALL {
            let pins = 2.8e-4 * 14.0f64.powf(1.08) * environment_factor(Family::Microcircuit, environment);
            let model = 0.010 * 0.1 * arrhenius(0.65, junction(environment)) + pins;
            assert_relative_eq!(model, linear_circuit(environment).0, max_relative = 0.025);
        }
    }

    /// Source: MIL-HDBK-217F of 1991, appendix A, aluminium electrolytics (from memory): 0.029, 0.081, 0.58, 0.24; its model
    /// `0.0028 ((S/0.55)³ + 1) exp(4.09 ((T + 273)/358)^5.9) · 0.32 C^0.19 · π_E` with 1, 2, 12, 6. It is that edition's, of
    /// use here only to show half stress, 1700 µF and the air above as the appendix's conditions.
    #[test]
    fn the_usual_conditions_give_back_the_printed_electrolytics_of_1991() {
        let cubed = (STRESS.0 / 0.55).powi(3) + 1.0;
        let size = 0.32 * ELECTROLYTIC_MICROFARADS.powf(0.19);
        for (environment, factor, printed) in [
            (GroundBenign, 1.0, 0.029),
            (GroundFixed, 2.0, 0.081),
            (GroundMobile, 12.0, 0.58),
            (NavalSheltered, 6.0, 0.24),
        ] {
            let base = 0.0028 * cubed * (4.09 * ((air(environment).0 + 273.0) / 358.0).powf(5.9)).exp();
            assert_relative_eq!(base * size * factor, printed, max_relative = 0.04);
        }
    }

    /// Source: case W-7 of independently worked cases, the model of 1991: 4700 µF, 0.5556 of its voltage, 55 °C: 0.065261 and
    /// 1.5953. It holds the formula that the test above uses.
    #[test]
    fn the_model_of_1991_meets_its_worked_case() {
        let base = 0.0028 * ((0.55556f64 / 0.55).powi(3) + 1.0) * (4.09 * (328.0f64 / 358.0).powf(5.9)).exp();
        assert_relative_eq!(base, 0.065261, max_relative = 2e-3);
        assert_relative_eq!(0.32 * 4700.0f64.powf(0.19), 1.5953, max_relative = 2e-4);
    }

    /// Limit case: at the usual conditions a part's stress rate is its generic rate times its quality. Source of the fuse and
    /// the connection, which know no stress: MIL-HDBK-217F Notice 2, sections 22.1 and 17.1 (from memory).
    #[test]
    fn at_the_usual_conditions_count_and_stress_agree() {
        for environment in ALL {
            let style = CapacitorStyle::Electrolytic;
            let stressed = capacitor(style, air(environment), 1700.0, Ratio(0.5), 10.0, environment);
            let counted = generic_capacitor(style, 4700.0, environment);
            assert_relative_eq!(stressed.0, 10.0 * counted.0, max_relative = 1e-12);
            assert!(film_resistor(Watts(0.4), environment).0 > 0.0);
            assert!(power_transformer(60.0, environment) > power_transformer(40.0, environment));
        }
        assert_relative_eq!(fuse(GroundBenign).0, 0.010);
        assert_relative_eq!(solder_joint(GroundFixed).0, 0.0026);
    }
}

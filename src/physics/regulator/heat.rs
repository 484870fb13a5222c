//! Heat of a linear regulator in service and with its output shorted.
//!
//! Knows no thermal path; see [`heat`](super::super::heat).

use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Ratio, Volts, Watts};

/// What the workings print for [`dissipation`].
pub const REGULATOR_DISSIPATION: Formula = Formula::new(
    "regulator-dissipation",
    ("P", "W"),
    "(V_in − V_out) I + V_in I_gnd",
    &[
        sym("V_in", "V", "mean input voltage"),
        sym("V_out", "V", "output at its lower accuracy"),
        sym("I", "A", "output current, constant"),
        sym("I_gnd", "A", "ground current"),
    ],
    "constant current: the mean of the product is the product of the means",
    Source::Derived { from: "mean of (v_in − v_out) i + v_in i_gnd" },
);

/// What the workings print for [`short_dissipation`].
pub const SHORT_DISSIPATION: Formula = Formula::new(
    "regulator-short-dissipation",
    ("P_sc", "W"),
    "V_in I_lim",
    &[
        sym("V_in", "V", "mean input voltage at that current"),
        sym("I_lim", "A", "greatest current limit at zero output"),
    ],
    "until thermal shutdown",
    Source::Derived { from: "the whole input stands across the pass element" },
);

/// Mean dissipation in service; see [`REGULATOR_DISSIPATION`].
pub fn dissipation(input_mean: Volts, output: Volts, current: Amps, ground: Amps) -> Watts {
    Watts((input_mean.0 - output.0) * current.0 + input_mean.0 * ground.0)
}

/// Dissipation with the output shorted; see [`SHORT_DISSIPATION`].
pub fn short_dissipation(input_mean: Volts, limit: Amps) -> Watts {
    input_mean * limit
}

/// What the workings print for [`efficiency`].
pub const REGULATOR_EFFICIENCY: Formula = Formula::new(
    "regulator-efficiency",
    ("η", ""),
    "V_out / V_in",
    &[sym("V_out", "V", "output"), sym("V_in", "V", "mean input")],
    "ground current left out",
    Source::Published {
        title: "A. Malvino and D. Bates, Electronic Principles, 7th ed.",
        place: "Example 24-8",
        known: Known::Seen,
    },
);

/// Efficiency of the series element; see [`REGULATOR_EFFICIENCY`].
pub fn efficiency(output: Volts, input_mean: Volts) -> Ratio {
    Ratio(output / input_mean)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: A. Malvino and D. Bates, Electronic Principles, 7th ed., Examples 24-7 and 24-8: 15 V in, 9.2 V out, 40 Ω:
    /// 1.33 W and 61.3 %.
    #[test]
    fn the_series_regulator_of_malvino_24_7_heats_with_1_33_watts() {
        let found = dissipation(Volts(15.0), Volts(9.2), Amps(9.2 / 40.0), Amps(0.0));
        assert_relative_eq!(found.0, 1.33, max_relative = 0.004);
        assert_relative_eq!(efficiency(Volts(9.2), Volts(15.0)).0, 0.613, max_relative = 0.003);
    }

    /// Source: one-page note on a 5 V series regulator with 14 V in at 0.5 A: 4.5 W.
    #[test]
    fn nine_volts_at_half_an_ampere_are_4_5_watts() {
        assert_relative_eq!(
            dissipation(Volts(14.0), Volts(5.0), Amps(0.5), Amps(0.0)).0,
            4.5,
            max_relative = 1e-12
        );
        assert_relative_eq!(
            dissipation(Volts(14.0), Volts(5.0), Amps(0.5), Amps(0.01)).0,
            4.64,
            max_relative = 1e-12
        );
        assert_relative_eq!(short_dissipation(Volts(14.0), Amps(2.0)).0, 28.0, max_relative = 1e-12);
    }
}

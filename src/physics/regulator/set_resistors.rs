//! Choice of the two resistors that set an adjustable regulator: least worst-case error within one series.
//!
//! Knows no catalog: series and tolerance come in; whether the values are stocked is not asked here.

use super::super::formula::{Formula, Source, sym};
use super::super::preferred::Series;
use super::accuracy::{Divider, Spread};
use crate::quantity::{Amps, Ohms, Ratio, Volts};

/// What the workings print for the greatest R1.
pub const R1_MAX: Formula = Formula::new(
    "set-resistor-r1-max",
    ("R_1_max", "Ω"),
    "V_ref_min / (I_min (1 + δ))",
    &[
        sym("V_ref_min", "V", "least reference"),
        sym("I_min", "A", "least current the divider must draw for the minimum load"),
        sym("δ", "", "tolerance of the resistor"),
    ],
    "adjust current left out, which is never optimistic",
    Source::Derived { from: "the reference stands across R1" },
);

/// What the workings print for the R2 that balances both extremes about the target.
pub const R2_BALANCED: Formula = Formula::new(
    "set-resistor-r2",
    ("R_2", "Ω"),
    "(2 V − V_ref_max − V_ref_min) / (g_max + g_min)",
    &[
        sym("V", "V", "target"),
        sym("V_ref_max", "V", "greatest reference"),
        sym("V_ref_min", "V", "least reference"),
        sym("g_max", "A", "V_ref_max (1 + δ) / (R_1 (1 − δ)) + I_adj_max (1 + δ)"),
        sym("g_min", "A", "V_ref_min (1 − δ) / (R_1 (1 + δ)) + I_adj_min (1 − δ)"),
    ],
    "then the neighbours in the series",
    Source::Derived { from: "greatest output − target = target − least output, both linear in R2" },
);

/// What is asked of the divider.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Output voltage.
    pub target: Volts,
    /// Reference over temperature.
    pub reference: Spread<Volts>,
    /// Adjust current over temperature.
    pub adjust: Spread<Amps>,
    /// Least current the divider must draw (the regulator's minimum load less what the rail surely draws); above zero.
    pub current_min: Amps,
    /// Greatest current the divider may draw; above `current_min`.
    pub current_max: Amps,
    /// Series both resistors come from.
    pub series: Series,
    /// Relative tolerance of each, drift with temperature included.
    pub tolerance: Ratio,
}

/// The chosen divider and its worst case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetChoice {
    /// The resistors.
    pub divider: Divider,
    /// Output, least, nominal and greatest, of reference, resistors and adjust current together.
    pub output: Spread<Volts>,
    /// Greatest departure from the target, relative.
    pub worst: Ratio,
}

/// The divider of least worst-case error; of equally good ones the one of greatest R1.
///
/// For each R1 the worst case is convex in R2 with its least at [`R2_BALANCED`], so only the two neighbours of that value in
/// the series are looked at. `None` where no R1 meets both current bounds or the target is not above the reference.
pub fn choose(wanted: &Wanted) -> Option<SetChoice> {
    let tol = wanted.tolerance.0;
    let r_1_max = wanted.reference.min.0 / (wanted.current_min.0 * (1.0 + tol));
    let r_1_min = wanted.reference.max.0 / (wanted.current_max.0 * (1.0 - tol));
    let mut best: Option<SetChoice> = None;
    for r_1 in wanted.series.between(r_1_min, r_1_max).into_iter().rev() {
        let balanced = balanced_r_2(wanted, r_1);
        for r_2 in
            [wanted.series.at_or_below(balanced), wanted.series.at_or_above(balanced)].into_iter().flatten()
        {
            let found =
                judge(wanted, Divider { r_1: Ohms(r_1), r_2: Ohms(r_2), tolerance: wanted.tolerance });
            if best.is_none_or(|so_far| found.worst.0 < so_far.worst.0 - 1e-12) {
                best = Some(found);
            }
        }
    }
    best
}

/// The R2, Ω, that balances both extremes about the target for an R1, Ω; see [`R2_BALANCED`].
pub fn balanced_r_2(wanted: &Wanted, r_1: f64) -> f64 {
    let (up, down) = (1.0 + wanted.tolerance.0, 1.0 - wanted.tolerance.0);
    let (high, low) = (wanted.reference.max.0, wanted.reference.min.0);
    let gain = high * up / (r_1 * down)
        + wanted.adjust.max.0 * up
        + low * down / (r_1 * up)
        + wanted.adjust.min.0 * down;
    (2.0 * wanted.target.0 - high - low) / gain
}

/// The worst case of one divider.
pub fn judge(wanted: &Wanted, divider: Divider) -> SetChoice {
    let tol = divider.tolerance.0;
    let output = Spread {
        min: divider.output(wanted.reference.min, wanted.adjust.min, -tol),
        nom: divider.output(wanted.reference.nom, wanted.adjust.nom, 0.0),
        max: divider.output(wanted.reference.max, wanted.adjust.max, tol),
    };
    let above = output.max.0 - wanted.target.0;
    let below = wanted.target.0 - output.min.0;
    SetChoice { divider, output, worst: Ratio(above.max(below) / wanted.target.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn wanted(target: f64, series: Series, tolerance: f64) -> Wanted {
        Wanted {
            target: Volts(target),
            reference: Spread { min: Volts(1.2), nom: Volts(1.25), max: Volts(1.3) },
            adjust: Spread { min: Amps(0.0), nom: Amps(50e-6), max: Amps(100e-6) },
            current_min: Amps(5e-3),
            current_max: Amps(15e-3),
            series,
            tolerance: Ratio(tolerance),
        }
    }

    /// Source: university design answer for an adjustable three-terminal regulator (ques10.com): 240 Ω, 100 µA: 1.45 kΩ
    /// (truncated from 1.460) for 9 V, 2.59 kΩ for 15 V.
    #[test]
    fn the_set_resistor_of_the_design_answer_is_met_without_tolerances() {
        let exact = Wanted {
            reference: Spread { min: Volts(1.25), nom: Volts(1.25), max: Volts(1.25) },
            adjust: Spread { min: Amps(100e-6), nom: Amps(100e-6), max: Amps(100e-6) },
            ..wanted(9.0, Series::E96, 0.0)
        };
        assert_relative_eq!(balanced_r_2(&exact, 240.0), 1450.0, max_relative = 0.008);
        assert_relative_eq!(
            balanced_r_2(&Wanted { target: Volts(15.0), ..exact }, 240.0),
            2590.0,
            max_relative = 0.008
        );
    }

    #[test]
    fn the_minimum_load_is_met_at_the_worst_resistor_and_reference() {
        let found = choose(&wanted(12.0, Series::E24, 0.05)).unwrap();
        assert!(1.2 / (found.divider.r_1.0 * 1.05) >= 5e-3);
        assert!(1.3 / (found.divider.r_1.0 * 0.95) <= 15e-3);
    }

    #[test]
    fn no_divider_sets_less_than_the_reference() {
        assert_eq!(choose(&wanted(1.0, Series::E96, 0.01)), None);
        assert_eq!(choose(&Wanted { current_min: Amps(0.02), ..wanted(12.0, Series::E96, 0.01) }), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        /// Second method: every pair of the series.
        #[test]
        fn no_pair_of_the_series_does_better(target in 2.0..35.0_f64, which in 0_usize..4) {
            let (series, tol) = [(Series::E24, 0.05), (Series::E24, 0.01), (Series::E48, 0.02), (Series::E96, 0.01)][which];
            let asked = wanted(target, series, tol);
            let found = choose(&asked).unwrap();
            let (low, high) = (1.3 / (15e-3 * (1.0 - tol)), 1.2 / (5e-3 * (1.0 + tol)));
            for r_1 in series.between(low, high) {
                for r_2 in series.between(1.0, 1e5) {
                    let pair = Divider { r_1: Ohms(r_1), r_2: Ohms(r_2), tolerance: Ratio(tol) };
                    prop_assert!(judge(&asked, pair).worst.0 >= found.worst.0 - 1e-9);
                }
            }
        }
    }
}

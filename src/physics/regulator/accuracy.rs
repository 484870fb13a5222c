//! Output accuracy term by term: what each cause adds to the greatest and the least output.
//!
//! Knows no limit. The terms are taken one after another at their extremes, so that they add up exactly to the extreme.

use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Ohms, Ratio, Volts};

/// What the workings print for [`Divider::output`].
pub const ADJUSTABLE_OUTPUT: Formula = Formula::new(
    "regulator-adjustable-output",
    ("V_out", "V"),
    "V_ref (1 + R_2 / R_1) + I_adj R_2",
    &[
        sym("V_ref", "V", "reference"),
        sym("R_1", "Ω", "output to adjust pin"),
        sym("R_2", "Ω", "adjust pin to common"),
        sym("I_adj", "A", "adjust current, out of the pin"),
    ],
    "regulator in regulation, minimum load met",
    Source::Published {
        title: "adjustable three-terminal regulator data sheet, application information",
        place: "V_o = V_ref(1 + R_2/R_1) + I_adj R_2",
        known: Known::Seen,
    },
);

/// What the workings print for [`Budget::output_max`].
pub const ACCURACY_SUM: Formula = Formula::new(
    "regulator-accuracy",
    ("ΔV", "V"),
    "Σ|ΔV_i|",
    &[sym("ΔV_i", "V", "set value, reference, resistors, adjust current, line, load, temperature")],
    "worst case: all terms at their extremes together",
    Source::CommonPractice,
);

/// One cause of error: what it adds to the greatest and to the least output (the second usually negative).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// The cause in a word or two.
    pub cause: &'static str,
    /// Added to the greatest output.
    pub to_max: Volts,
    /// Added to the least output.
    pub to_min: Volts,
}

impl Term {
    /// A cause of equal reach both ways.
    pub const fn symmetric(cause: &'static str, reach: Volts) -> Self {
        Self { cause, to_max: reach, to_min: Volts(-reach.0) }
    }
}

/// All causes about the voltage asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// Voltage asked for.
    pub target: Volts,
    /// The causes, in the order they are printed.
    pub terms: Vec<Term>,
}

impl Budget {
    /// Greatest output.
    pub fn output_max(&self) -> Volts {
        self.target + self.terms.iter().map(|term| term.to_max).sum()
    }

    /// Least output.
    pub fn output_min(&self) -> Volts {
        self.target + self.terms.iter().map(|term| term.to_min).sum()
    }

    /// Greatest departure from the target, relative.
    pub fn worst(&self) -> Ratio {
        let above = (self.output_max() - self.target).0;
        let below = (self.target - self.output_min()).0;
        Ratio(above.max(below) / self.target.0)
    }
}

/// Least, nominal and greatest value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<T> {
    /// Least.
    pub min: T,
    /// Nominal or typical.
    pub nom: T,
    /// Greatest.
    pub max: T,
}

/// The divider that sets an adjustable regulator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Divider {
    /// Output to adjust pin, nominal.
    pub r_1: Ohms,
    /// Adjust pin to common, nominal.
    pub r_2: Ohms,
    /// Relative tolerance of each, drift with temperature included.
    pub tolerance: Ratio,
}

impl Divider {
    /// Output for definite values; see [`ADJUSTABLE_OUTPUT`]. `skew` is the relative change of R2, R1 changing oppositely.
    pub fn output(&self, reference: Volts, adjust: Amps, skew: f64) -> Volts {
        let (r_1, r_2) = (self.r_1.0 * (1.0 - skew), self.r_2.0 * (1.0 + skew));
        Volts(reference.0 * (1.0 + r_2 / r_1) + adjust.0 * r_2)
    }

    /// Terms of the set value, the reference over its range, the resistors and the adjust current, about `target`.
    pub fn terms(&self, target: Volts, reference: Spread<Volts>, adjust: Spread<Amps>) -> [Term; 4] {
        let tol = self.tolerance.0;
        let nominal = self.output(reference.nom, adjust.nom, 0.0);
        let (ref_hi, ref_lo) =
            (self.output(reference.max, adjust.nom, 0.0), self.output(reference.min, adjust.nom, 0.0));
        let (res_hi, res_lo) =
            (self.output(reference.max, adjust.nom, tol), self.output(reference.min, adjust.nom, -tol));
        let (adj_hi, adj_lo) =
            (self.output(reference.max, adjust.max, tol), self.output(reference.min, adjust.min, -tol));
        [
            Term { cause: "set value", to_max: nominal - target, to_min: nominal - target },
            Term { cause: "reference", to_max: ref_hi - nominal, to_min: ref_lo - nominal },
            Term { cause: "set resistors", to_max: res_hi - ref_hi, to_min: res_lo - ref_lo },
            Term { cause: "adjust current", to_max: adj_hi - res_hi, to_min: adj_lo - res_lo },
        ]
    }

    /// Heat in the divider at an output voltage: (R1 across the reference, R2 across the rest).
    pub fn voltages(&self, output: Volts, reference: Volts) -> (Volts, Volts) {
        (reference, output - reference)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    const fn divider(r_1: f64, r_2: f64) -> Divider {
        Divider { r_1: Ohms(r_1), r_2: Ohms(r_2), tolerance: Ratio(0.01) }
    }

    /// Source: R. L. Boylestad and L. Nashelsky, Electronic Devices and Circuit Theory, Example 15.15 (numbers from memory):
    /// 240 Ω, 2.4 kΩ, 100 µA, 1.25 V: 13.99 V.
    #[test]
    fn the_adjustable_regulator_of_boylestad_15_15_gives_13_99_volts() {
        let found = divider(240.0, 2400.0).output(Volts(1.25), Amps(100e-6), 0.0);
        assert_relative_eq!(found.0, 13.99, max_relative = 0.001);
    }

    /// Source: A. Malvino and D. Bates, Electronic Principles, 7th ed., Example 24-13: 2 kΩ and 22 kΩ: 15 V; 8th ed. Example
    /// 22-13: 46 kΩ: 30 V (adjust current neglected).
    #[test]
    fn the_adjustable_regulator_of_malvino_gives_15_and_30_volts() {
        assert_relative_eq!(
            divider(2e3, 22e3).output(Volts(1.25), Amps(0.0), 0.0).0,
            15.0,
            max_relative = 0.001
        );
        assert_relative_eq!(
            divider(2e3, 46e3).output(Volts(1.25), Amps(0.0), 0.0).0,
            30.0,
            max_relative = 0.001
        );
    }

    #[test]
    fn symmetric_terms_widen_both_ends() {
        let terms = vec![Term::symmetric("reference", Volts(0.2)), Term::symmetric("load", Volts(0.05))];
        let budget = Budget { target: Volts(5.0), terms };
        assert_relative_eq!(budget.output_max().0, 5.25, max_relative = 1e-12);
        assert_relative_eq!(budget.output_min().0, 4.75, max_relative = 1e-12);
        assert_relative_eq!(budget.worst().0, 0.05, max_relative = 1e-12);
    }

    proptest! {
        /// Second method: all vertices of reference, both resistors and adjust current.
        #[test]
        fn the_terms_add_up_to_the_worst_vertex(r_1 in 100.0..1e3_f64, r_2 in 100.0..2e4_f64, tol in 0.001..0.05_f64) {
            let divider = Divider { r_1: Ohms(r_1), r_2: Ohms(r_2), tolerance: Ratio(tol) };
            let reference = Spread { min: Volts(1.2), nom: Volts(1.25), max: Volts(1.3) };
            let adjust = Spread { min: Amps(0.0), nom: Amps(50e-6), max: Amps(100e-6) };
            let budget = Budget { target: Volts(12.0), terms: divider.terms(Volts(12.0), reference, adjust).to_vec() };
            let mut vertices = Vec::new();
            for v in [1.2, 1.3] {
                for a in [1.0 - tol, 1.0 + tol] {
                    for b in [1.0 - tol, 1.0 + tol] {
                        for i in [0.0, 100e-6] {
                            vertices.push(v * (1.0 + r_2 * b / (r_1 * a)) + i * r_2 * b);
                        }
                    }
                }
            }
            let (low, high) = vertices.iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
            prop_assert!((budget.output_max().0 - high).abs() < 1e-9 * high);
            prop_assert!((budget.output_min().0 - low).abs() < 1e-9 * high);
        }
    }
}

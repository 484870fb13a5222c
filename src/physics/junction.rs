//! Junction temperature of a diode whose loss depends on that temperature.
//!
//! Knows no mounting: one thermal resistance to a reference. More than one element on it counts through `elements`.

use super::diode::{Line, WarmLine, leakage};
use super::domain::Settling;
use super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Celsius, KelvinsPerWatt, Volts, Watts};

/// Agreement of loss and temperature asked of the fixed point, in kelvin.
pub const TOLERANCE_K: f64 = 1e-9;
/// Steps after which the fixed point is given up; Newton from below needs fewer than ten.
pub const STEPS_MAX: u32 = 200;
/// No rectifier junction lives above this; a solution beyond counts as none.
pub const JUNCTION_CEILING: Celsius = Celsius(400.0);

/// What the workings print for [`settle`].
pub const JUNCTION_FIXED_POINT: Formula = Formula::new(
    "diode-junction",
    ("T_j", "°C"),
    "T_ref + R_th (n P(T_j) + n V_R I_R(T_j))",
    &[
        sym("T_ref", "°C", "case, lead or air"),
        sym("R_th", "K/W", "junction to that reference"),
        sym("n", "", "elements that share the thermal resistance"),
        sym("P", "W", "conduction loss of one element at the junction temperature"),
        sym("V_R", "V", "mean reverse voltage of one element over the whole period"),
        sym("I_R", "A", "leakage at the junction temperature"),
        sym("T_j", "°C", "junction temperature, both sides"),
    ],
    "lowest solution; none is thermal runaway",
    Source::Derived {
        from: "heat balance; loss convex in temperature, so Newton from below meets the lowest solution",
    },
);

/// Leakage that heats a blocking diode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeakageHeat {
    /// Reverse voltage of one element, averaged over the whole period.
    pub reverse_mean: Volts,
    /// Leakage at the reference temperature.
    pub at_reference: Amps,
    /// Temperature of that value, usually the greatest junction temperature.
    pub reference: Celsius,
    /// Kelvin per doubling.
    pub doubling_k: f64,
}

/// Everything the heat balance of the junctions of one package needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Package {
    /// Line over temperature of one element.
    pub line: WarmLine,
    /// Mean current of one element.
    pub average: Amps,
    /// rms current of one element.
    pub rms: Amps,
    /// Leakage of one element, where it counts.
    pub leakage: Option<LeakageHeat>,
    /// Elements that heat the thermal resistance together: 1 for a diode, 4 for a bridge.
    pub elements: f64,
}

/// Where the heat balance settles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Junction temperature.
    pub junction: Celsius,
    /// Loss of the whole package.
    pub loss: Watts,
    /// The diode's line there.
    pub line: Line,
}

impl Package {
    /// Loss of the whole package at a junction temperature.
    pub fn loss(&self, junction: Celsius) -> Watts {
        let conduction = self.line.at(junction).loss(self.average, self.rms);
        let blocking = self.leakage.map_or(Watts(0.0), |leak| {
            leak.reverse_mean * leakage(leak.at_reference, leak.reference, junction, leak.doubling_k)
        });
        (conduction + blocking) * self.elements
    }

    fn loss_per_kelvin(&self, junction: Celsius) -> f64 {
        let conduction = if junction < self.line.temperatures().1 {
            let (v_per_k, r_per_k) = self.line.per_kelvin();
            v_per_k * self.average.0 + r_per_k * self.rms.0 * self.rms.0
        } else {
            0.0
        };
        let blocking = self.leakage.map_or(0.0, |leak| {
            let amps = leakage(leak.at_reference, leak.reference, junction, leak.doubling_k).0;
            leak.reverse_mean.0 * amps * std::f64::consts::LN_2 / leak.doubling_k
        });
        (conduction + blocking) * self.elements
    }
}

/// Lowest temperature at which loss and rise agree, to [`TOLERANCE_K`]; `None` in thermal runaway (no solution below
/// [`JUNCTION_CEILING`]); see [`JUNCTION_FIXED_POINT`].
pub fn settle(package: &Package, reference: Celsius, resistance: KelvinsPerWatt) -> Option<Settled> {
    let mut junction = reference;
    for _ in 0..STEPS_MAX {
        let excess_k = reference.0 + resistance.0 * package.loss(junction).0 - junction.0;
        let slope = resistance.0 * package.loss_per_kelvin(junction) - 1.0;
        let step_k = -excess_k / slope;
        if step_k.abs() <= TOLERANCE_K {
            return Some(Settled { junction, loss: package.loss(junction), line: package.line.at(junction) });
        }
        if slope >= 0.0 || !step_k.is_finite() {
            return None;
        }
        junction = Celsius(junction.0 + step_k);
        if junction > JUNCTION_CEILING {
            return None;
        }
    }
    None
}

/// [`settle`] as a temperature or a runaway.
pub fn settled_temperature(package: &Package, reference: Celsius, resistance: KelvinsPerWatt) -> Settling {
    settle(package, reference, resistance)
        .map_or(Settling::Runaway, |found| Settling::Settled(found.junction))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Ohms;
    use proptest::prelude::*;

    fn package(leak_a: f64, average_a: f64) -> Package {
        let cold = Line { threshold: Volts(0.45), slope: Ohms(0.02) };
        let hot = Line { threshold: Volts(0.25), slope: Ohms(0.03) };
        Package {
            line: WarmLine::new((Celsius(25.0), cold), (Celsius(125.0), hot)).unwrap(),
            average: Amps(average_a),
            rms: Amps(2.0 * average_a),
            leakage: Some(LeakageHeat {
                reverse_mean: Volts(15.0),
                at_reference: Amps(leak_a),
                reference: Celsius(125.0),
                doubling_k: 10.0,
            }),
            elements: 1.0,
        }
    }

    #[test]
    fn a_leaky_junction_on_a_poor_mounting_runs_away_and_a_tight_one_does_not() {
        let leaky = settled_temperature(&package(0.1, 2.0), Celsius(70.0), KelvinsPerWatt(40.0));
        assert_eq!(leaky, Settling::Runaway);
        let tight = settled_temperature(&package(0.0, 2.0), Celsius(70.0), KelvinsPerWatt(20.0));
        assert!(tight.temperature().is_some());
    }

    #[test]
    fn without_loss_the_junction_is_at_its_reference() {
        let idle = settled_temperature(&package(0.0, 0.0), Celsius(40.0), KelvinsPerWatt(20.0));
        assert_eq!(idle, Settling::Settled(Celsius(40.0)));
    }

    proptest! {
        /// Second method: the lowest crossing found by walking up in small steps, or none below the ceiling.
        #[test]
        fn newton_finds_the_lowest_crossing_that_a_walk_finds(
            leak in 0.0..0.05_f64, amps in 0.1..5.0_f64, air in 0.0..90.0_f64, r in 2.0..40.0_f64,
        ) {
            let parts = package(leak, amps);
            let excess = |t: f64| air + r * parts.loss(Celsius(t)).0 - t;
            let walked = (0..8000).map(|n| air + f64::from(n) * 0.05).find(|t| *t <= 400.0 && excess(*t) <= 0.0);
            match (settle(&parts, Celsius(air), KelvinsPerWatt(r)), walked) {
                (Some(found), Some(t)) => {
                    prop_assert!(found.junction.0 <= t + 1e-6 && found.junction.0 >= t - 0.051);
                    prop_assert!(excess(found.junction.0).abs() < 1e-6);
                }
                (None, None) => {}
                // A tangent crossing narrower than the walk's step.
                (Some(found), None) => prop_assert!(excess(found.junction.0).abs() < 1e-6),
                (None, Some(t)) => prop_assert!(t > 399.0, "missed a crossing at {t}"),
            }
        }
    }
}

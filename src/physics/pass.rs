//! The pass transistor: its dc operating area over case temperature, sharing through ballast resistors, base current.
//!
//! Knows no circuit: voltages, currents and temperatures come in as numbers.

use super::domain::DomainError;
use super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Celsius, Ohms, Ratio, Volts};

/// What the workings print for [`OperatingArea::current_at`].
pub const AREA_DERATING: Formula = Formula::new(
    "pass-operating-area",
    ("I_T", "A"),
    "I_s (T_j_max − T_c) / (T_j_max − T_s)",
    &[
        sym("I_s", "A", "current of the dc line at the working voltage, straight between points in log-log"),
        sym("T_j_max", "°C", "greatest junction temperature"),
        sym("T_c", "°C", "case temperature"),
        sym("T_s", "°C", "case temperature of the line, usually 25"),
    ],
    "the second-breakdown part of the line falls less with temperature, so this is a lower bound there",
    Source::CommonPractice,
);

/// What the workings print for [`greatest_share`].
pub const SHARING: Formula = Formula::new(
    "pass-sharing",
    ("I_1", "A"),
    "I / n + (ΔV_BE / R_E) (n − 1) / n",
    &[
        sym("I", "A", "current of all transistors"),
        sym("n", "", "transistors in parallel"),
        sym("ΔV_BE", "V", "greatest difference of base-emitter voltages at equal current"),
        sym("R_E", "Ω", "ballast resistor of each"),
    ],
    "one transistor low, all others high; slope of the junctions left out, which is never optimistic",
    Source::Derived { from: "equal base voltages: V_BE + R_E I alike in all" },
);

/// What the workings print for [`drive_voltage`].
pub const DRIVE_VOLTAGE: Formula = Formula::new(
    "pass-drive-voltage",
    ("V_B", "V"),
    "(I + Σ(V_BE_k / R_E_k)) / (1 / R_B + Σ(1 / R_E_k))",
    &[
        sym("I", "A", "current of regulator and transistors together"),
        sym("V_BE_k", "V", "base-emitter voltage of each transistor"),
        sym("R_E_k", "Ω", "ballast resistor of each"),
        sym("R_B", "Ω", "drive resistor between input and regulator"),
    ],
    "bases at the regulator's input, emitters through ballast at the stage's input; those with V_BE above V_B do not conduct",
    Source::Derived {
        from: "one voltage over the drive resistor and over each ballast with its base-emitter junction",
    },
);

/// What the workings print for [`regulator_share`].
pub const REGULATOR_SHARE: Formula = Formula::new(
    "pass-regulator-share",
    ("I_R", "A"),
    "V_B / R_B + (I − V_B / R_B) / (h + 1)",
    &[
        sym("V_B", "V", "voltage over the drive resistor"),
        sym("R_B", "Ω", "drive resistor"),
        sym("I", "A", "current of regulator and transistors together"),
        sym("h", "", "least current gain of the transistors"),
    ],
    "the base currents return through the regulator",
    Source::Derived { from: "Kirchhoff's current law at the regulator's input" },
);

/// What the workings print for [`sensed_limit`].
pub const SENSED_LIMIT: Formula = Formula::new(
    "pass-sensed-limit",
    ("I_E_max", "A"),
    "(V_BE_s + ΔV_BE) / R_E",
    &[
        sym(
            "V_BE_s",
            "V",
            "greatest base-emitter voltage of the limit transistor, which takes the base drive away",
        ),
        sym(
            "ΔV_BE",
            "V",
            "greatest difference between the transistor that is sensed and the one most loaded",
        ),
        sym("R_E", "Ω", "least ballast resistor"),
    ],
    "the limit transistor stands across one ballast resistor; the regulator's own limit comes on top",
    Source::CommonPractice,
);

/// dc limit of a transistor's operating area.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatingArea {
    /// (voltage, current) corners, voltage ascending.
    points: Vec<(f64, f64)>,
    /// Case temperature at which the corners hold.
    stated_c: f64,
    /// Greatest junction temperature.
    junction_max_c: f64,
}

impl OperatingArea {
    /// From corners of the dc line in ascending voltage with currents that do not rise, at one case temperature.
    pub fn new(
        points: &[(Volts, Amps)],
        stated: Celsius,
        junction_max: Celsius,
    ) -> Result<Self, DomainError> {
        DomainError::within("number of operating-area points", points.len() as f64, 2.0, 1e3)?;
        DomainError::within("greatest junction temperature in °C", junction_max.0, stated.0 + 1.0, 400.0)?;
        let mut last = (0.0, f64::MAX);
        for (volts, amps) in points {
            let v =
                DomainError::within("operating-area voltage in V, ascending", volts.0, last.0 + 1e-9, 1e5)?;
            let i = DomainError::within(
                "operating-area current in A, not rising",
                amps.0,
                f64::MIN_POSITIVE,
                last.1,
            )?;
            last = (v, i);
        }
        let points = points.iter().map(|(volts, amps)| (volts.0, amps.0)).collect();
        Ok(Self { points, stated_c: stated.0, junction_max_c: junction_max.0 })
    }

    /// Greatest dc current at a voltage and case temperature; the first corner's below its voltage, `None` above the last.
    /// See [`AREA_DERATING`].
    pub fn current_at(&self, voltage: Volts, case: Celsius) -> Option<Amps> {
        let first = self.points.first()?;
        let cold_a = if voltage.0 <= first.0 {
            first.1
        } else {
            self.points.windows(2).find_map(|pair| match pair {
                [a, b] if voltage.0 <= b.0 => {
                    let part = (voltage.0 / a.0).ln() / (b.0 / a.0).ln();
                    Some(a.1 * (b.1 / a.1).powf(part))
                }
                _ => None,
            })?
        };
        let factor = (self.junction_max_c - case.0) / (self.junction_max_c - self.stated_c);
        Some(Amps(cold_a * factor.clamp(0.0, 1.0)))
    }
}

/// Current of the most loaded of `count` transistors with ballast; see [`SHARING`].
pub fn greatest_share(total: Amps, count: u32, base_emitter_spread: Volts, ballast: Ohms) -> Amps {
    let n = f64::from(count.max(1));
    Amps(total.0 / n + base_emitter_spread.0 / ballast.0 * (n - 1.0) / n)
}

/// Current of the most loaded over the equal share.
pub fn imbalance(total: Amps, count: u32, base_emitter_spread: Volts, ballast: Ohms) -> Ratio {
    Ratio(greatest_share(total, count, base_emitter_spread, ballast).0 * f64::from(count.max(1)) / total.0)
}

/// Voltage over the drive resistor and over each ballast resistor with its base-emitter junction; see [`DRIVE_VOLTAGE`].
///
/// `units` are groups of transistors alike: how many, base-emitter voltage, ballast resistor. Without enough current none
/// conducts and the regulator carries it all: `I R_B`.
pub fn drive_voltage(total: Amps, drive: Ohms, units: &[(u32, Volts, Ohms)]) -> Volts {
    // From all conducting downward: a unit above the voltage found is left out. That lowers the voltage, so that none left out
    // conducts after all: each round leaves out those above the last voltage.
    let mut reached_v = f64::INFINITY;
    loop {
        let (mut current, mut conductance) = (total.0, 1.0 / drive.0);
        let on = |volts: f64| volts <= reached_v;
        for (count, volts, ballast) in units.iter().filter(|(_, volts, _)| on(volts.0)) {
            current += f64::from(*count) * volts.0 / ballast.0;
            conductance += f64::from(*count) / ballast.0;
        }
        let found = current / conductance;
        if units.iter().all(|(_, volts, _)| !on(volts.0) || volts.0 <= found) {
            return Volts(found);
        }
        reached_v = found;
    }
}

/// Current of the regulator: through the drive resistor, and all base currents; see [`REGULATOR_SHARE`].
pub fn regulator_share(total: Amps, drive_voltage: Volts, drive: Ohms, gain_min: Ratio) -> Amps {
    let through = (drive_voltage.0 / drive.0).min(total.0);
    Amps(through + (total.0 - through) / (gain_min.0 + 1.0))
}

/// Greatest emitter current that a limit transistor across one ballast resistor allows any of them; see [`SENSED_LIMIT`].
pub fn sensed_limit(sense: Volts, base_emitter_spread: Volts, ballast: Ohms) -> Amps {
    Amps((sense.0 + base_emitter_spread.0) / ballast.0)
}

/// Greatest base current: collector current over the least current gain.
pub fn base_current(collector: Amps, gain_min: Ratio) -> Amps {
    collector / gain_min.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn area() -> OperatingArea {
        let corners = [(Volts(10.0), Amps(10.0)), (Volts(40.0), Amps(2.5)), (Volts(80.0), Amps(0.5))];
        OperatingArea::new(&corners, Celsius(25.0), Celsius(150.0)).unwrap()
    }

    /// A straight log-log piece from 10 V, 10 A to 40 V, 2.5 A is the hyperbola of 100 W.
    #[test]
    fn a_constant_power_piece_of_the_line_is_met_everywhere() {
        for volts in [10.0, 15.0, 20.0, 33.0, 40.0] {
            let found = area().current_at(Volts(volts), Celsius(25.0)).unwrap();
            assert_relative_eq!(found.0 * volts, 100.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn beyond_the_last_corner_nothing_is_allowed_and_below_the_first_its_current() {
        assert_eq!(area().current_at(Volts(80.1), Celsius(25.0)), None);
        assert_relative_eq!(
            area().current_at(Volts(2.0), Celsius(25.0)).unwrap().0,
            10.0,
            max_relative = 1e-12
        );
        assert_relative_eq!(
            area().current_at(Volts(20.0), Celsius(87.5)).unwrap().0,
            2.5,
            max_relative = 1e-12
        );
        assert_relative_eq!(area().current_at(Volts(20.0), Celsius(150.0)).unwrap().0, 0.0, epsilon = 1e-12);
    }

    #[test]
    fn a_rising_line_is_refused() {
        let rising = [(Volts(10.0), Amps(1.0)), (Volts(20.0), Amps(2.0))];
        assert!(OperatingArea::new(&rising, Celsius(25.0), Celsius(150.0)).is_err());
    }

    /// By hand: 8 A, three transistors of 0.7 V behind 0.3 Ω, drive 2 Ω: (8 + 3·0.7/0.3)/(1/2 + 3/0.3) = 15/10.5 = 1.428571 V;
    /// 0.714286 A through the drive, 2.428571 A in each; with a gain of 24 the regulator carries 0.714286 + 7.285714/25 A.
    #[test]
    fn drive_voltage_and_shares_add_up_to_the_total() {
        let units = [(3, Volts(0.7), Ohms(0.3))];
        let found = drive_voltage(Amps(8.0), Ohms(2.0), &units);
        assert_relative_eq!(found.0, 15.0 / 10.5, max_relative = 1e-12);
        let each = (found.0 - 0.7) / 0.3;
        assert_relative_eq!(found.0 / 2.0 + 3.0 * each, 8.0, max_relative = 1e-12);
        let share = regulator_share(Amps(8.0), found, Ohms(2.0), Ratio(24.0));
        assert_relative_eq!(share.0, 0.714_286 + 7.285_714 / 25.0, max_relative = 1e-6);
    }

    /// Limit: below `V_BE/R_B` the transistors rest and the regulator carries everything.
    #[test]
    fn a_small_load_is_the_regulators_alone() {
        let found = drive_voltage(Amps(0.2), Ohms(2.0), &[(3, Volts(0.7), Ohms(0.3))]);
        assert_relative_eq!(found.0, 0.4, max_relative = 1e-12);
        assert_relative_eq!(
            regulator_share(Amps(0.2), found, Ohms(2.0), Ratio(24.0)).0,
            0.2,
            max_relative = 1e-12
        );
    }

    /// By hand: (0.95 V + 0.05 V)/0.25 Ω.
    #[test]
    fn the_sensed_limit_is_a_base_emitter_voltage_over_a_ballast_resistor() {
        assert_relative_eq!(sensed_limit(Volts(0.95), Volts(0.05), Ohms(0.25)).0, 4.0, max_relative = 1e-12);
    }

    /// Definition of the current gain.
    #[test]
    fn base_current_is_collector_over_least_gain() {
        assert_relative_eq!(base_current(Amps(1.0), Ratio(50.0)).0, 0.02, max_relative = 1e-12);
    }

    proptest! {
        /// Second method: solve V_BE,k + R I_k alike with the currents summing to the total.
        #[test]
        fn the_low_transistor_takes_what_the_circuit_equations_say(
            total in 1.0..20.0_f64, count in 2_u32..6, spread in 0.0..0.1_f64, r in 0.05..0.5_f64,
        ) {
            let n = f64::from(count);
            let node = (total * r + (n - 1.0) * spread) / n;
            let low = node / r;
            let high = (node - spread) / r;
            prop_assert!((low + (n - 1.0) * high - total).abs() < 1e-9 * total);
            let found = greatest_share(Amps(total), count, Volts(spread), Ohms(r));
            prop_assert!((found.0 - low).abs() < 1e-9 * low);
            prop_assert!(imbalance(Amps(total), count, Volts(spread), Ohms(r)).0 >= 1.0 - 1e-12);
        }
    }
}

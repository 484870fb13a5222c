//! The bleeder: how fast a reservoir empties, what that costs, what is stored.
//!
//! Counts the bleeder alone: a load or a regulator may be absent when the supply is opened.

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Farads, Joules, Ohms, Seconds, Volts, Watts};

/// What the workings print for [`discharge_time`].
pub const DISCHARGE_TIME: Formula = Formula::new(
    "bleeder-discharge-time",
    ("t", "s"),
    "R C ln(V / V_low)",
    &[
        sym("R", "Ω", "bleeder at upper tolerance"),
        sym("C", "F", "reservoir at upper tolerance"),
        sym("V", "V", "reservoir without load at mains high"),
        sym("V_low", "V", "voltage to be reached"),
    ],
    "bleeder alone; leakage of the capacitor left out, which is never optimistic",
    Source::Published { title: "discharge of a capacitor", place: "t = R C ln(V_0/V)", known: Known::Memory },
);

/// What the workings print for [`discharge_time_of_two`].
pub const DISCHARGE_TIME_OF_TWO: Formula = Formula::new(
    "bleeder-discharge-time-of-two",
    ("t", "s"),
    "τ ln(V / (V_low (1 − R_s C_1 / τ)))",
    &[
        sym(
            "τ",
            "s",
            "slowest motion: greater root of τ² − (R C_2 + (R + R_s) C_1) τ + R R_s C_1 C_2, R the bleeder",
        ),
        sym("V", "V", "both banks without load at mains high"),
        sym("V_low", "V", "voltage to be reached"),
        sym("R_s", "Ω", "resistor or choke between the banks"),
        sym("C_1", "F", "first bank at upper tolerance"),
    ],
    "bleeder across the second bank alone; never less than the exact time",
    Source::Derived { from: "two capacitors that discharge through one resistor" },
);

/// What the workings print for [`resistance_max`].
pub const BLEEDER_RESISTANCE: Formula = Formula::new(
    "bleeder-resistance",
    ("R_max", "Ω"),
    "t / (C ln(V / V_low) (1 + δ))",
    &[
        sym("t", "s", "time allowed"),
        sym("C", "F", "reservoir at upper tolerance"),
        sym("V", "V", "reservoir without load at mains high"),
        sym("V_low", "V", "voltage to be reached"),
        sym("δ", "", "tolerance of the resistor"),
    ],
    "V above V_low, else no bleeder is asked for",
    Source::Derived { from: "the discharge time solved for the resistance" },
);

/// What the workings print for [`power`].
pub const BLEEDER_POWER: Formula = Formula::new(
    "bleeder-power",
    ("P", "W"),
    "V² / R",
    &[sym("V", "V", "reservoir, rms, mains high without load"), sym("R", "Ω", "bleeder at lower tolerance")],
    "steady",
    Source::Derived { from: "Ohm and Joule" },
);

/// What the workings print for [`stored_energy`].
pub const STORED_ENERGY: Formula = Formula::new(
    "stored-energy",
    ("E", "J"),
    "C V² / 2",
    &[sym("C", "F", "capacitance at upper tolerance"), sym("V", "V", "peak voltage")],
    "any",
    Source::Derived { from: "work of charging" },
);

/// Time for a resistance alone to bring a capacitor from one voltage to another; zero where it is there already.
/// See [`DISCHARGE_TIME`].
pub fn discharge_time(resistance: Ohms, capacitance: Farads, from: Volts, to: Volts) -> Seconds {
    if from <= to { Seconds(0.0) } else { Seconds(resistance.0 * capacitance.0 * (from / to).ln()) }
}

/// Time within which a resistance across the second of two capacitors, the first behind a resistance of its own, brings both
/// from one voltage to another: never less than the exact one.
///
/// ```text
/// τ² − (R C_2 + (R + R_s) C_1) τ + R R_s C_1 C_2 = 0,   V_1(t) ≤ V e^(−t/τ)/(1 − R_s C_1/τ),   V_2(t) ≤ V e^(−t/τ)
/// ```
/// `R` across · `R_s` between · `C_1`, `C_2` · `V` both at first · `τ` the slowest motion (greater root). Both lie below the
/// slowest motion that begins above them, since more charge on either never discharges the other sooner. Derived.
pub fn discharge_time_of_two(
    across: Ohms,
    between: Ohms,
    (first, second): (Farads, Farads),
    from: Volts,
    to: Volts,
) -> Seconds {
    if from <= to {
        return Seconds(0.0);
    }
    let slowest = slowest_of_two(across, between, (first, second)).0;
    let above = 1.0 / (1.0 - between.0 * first.0 / slowest);
    Seconds(slowest * (above * (from / to)).ln())
}

/// Time constant of the slowest motion of two capacitors; see [`discharge_time_of_two`].
pub fn slowest_of_two(across: Ohms, between: Ohms, (first, second): (Farads, Farads)) -> Seconds {
    let sum = across.0 * second.0 + (across.0 + between.0) * first.0;
    let product = across.0 * between.0 * first.0 * second.0;
    Seconds(0.5 * (sum + (sum * sum - 4.0 * product).max(0.0).sqrt()))
}

/// Greatest nominal resistance whose upper tolerance still discharges in time; `None` where none is needed.
/// See [`BLEEDER_RESISTANCE`].
pub fn resistance_max(
    time: Seconds,
    capacitance: Farads,
    from: Volts,
    to: Volts,
    tolerance: f64,
) -> Option<Ohms> {
    (from > to).then(|| Ohms(time.0 / (capacitance.0 * (from / to).ln() * (1.0 + tolerance))))
}

/// Heat in a resistance across a voltage (rms); see [`BLEEDER_POWER`].
pub fn power(voltage_rms: Volts, resistance: Ohms) -> Watts {
    Watts(voltage_rms.0 * voltage_rms.0 / resistance.0)
}

/// Energy of a charged capacitor; see [`STORED_ENERGY`].
pub fn stored_energy(capacitance: Farads, voltage: Volts) -> Joules {
    Joules(0.5 * capacitance.0 * voltage.0 * voltage.0)
}

/// Voltage left after a time through a resistance alone.
pub fn voltage_after(time: Seconds, resistance: Ohms, capacitance: Farads, from: Volts) -> Volts {
    from * (-time.0 / (resistance.0 * capacitance.0)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: discharge relation (from memory): 10 mF from 60 V to 10 V in 30 s: 1674.3 Ω, 2.15 W, 18 J.
    #[test]
    fn ten_millifarads_at_60_volts_need_1674_ohms_for_30_seconds() {
        let (c, v) = (Farads(10e-3), Volts(60.0));
        let ohms = resistance_max(Seconds(30.0), c, v, Volts(10.0), 0.0).unwrap();
        assert_relative_eq!(ohms.0, 1674.3, max_relative = 0.001);
        assert_relative_eq!(power(v, ohms).0, 2.15, max_relative = 0.001);
        assert_relative_eq!(stored_energy(c, v).0, 18.0, max_relative = 1e-9);
    }

    /// Source: M. H. Rashid, Power Electronics, 4th ed., Example 2.4 (set-up seen): 220 V, 44 Ω, 0.1 µF, 2 µs: 139.64 V left
    /// of 2.42 mJ.
    #[test]
    fn the_discharge_of_rashid_2_4_leaves_139_64_volts() {
        let left = voltage_after(Seconds(2e-6), Ohms(44.0), Farads(0.1e-6), Volts(220.0));
        assert_relative_eq!(left.0, 139.64, max_relative = 0.001);
        assert_relative_eq!(stored_energy(Farads(0.1e-6), Volts(220.0)).0, 2.42e-3, max_relative = 0.001);
    }

    #[test]
    fn below_the_low_voltage_there_is_nothing_to_discharge() {
        assert_eq!(discharge_time(Ohms(1e3), Farads(1e-3), Volts(20.0), Volts(60.0)), Seconds(0.0));
        assert_eq!(resistance_max(Seconds(1.0), Farads(1e-3), Volts(20.0), Volts(60.0), 0.05), None);
    }

    proptest! {
        #[test]
        fn time_and_remaining_voltage_are_inverse(r in 1.0..1e6_f64, c in 1e-6..0.1_f64, v in 11.0..400.0_f64) {
            let time = discharge_time(Ohms(r), Farads(c), Volts(v), Volts(10.0));
            let left = voltage_after(time, Ohms(r), Farads(c), Volts(v));
            prop_assert!((left.0 - 10.0).abs() < 1e-9);
            let back = resistance_max(time, Farads(c), Volts(v), Volts(10.0), 0.0).unwrap();
            prop_assert!((back.0 - r).abs() < 1e-9 * r);
        }
    }
}

//! The second section: choke input and its critical current, LC and RC smoothing.
//!
//! Textbook relations of the fundamental; the exact circuit is solved elsewhere.

use std::f64::consts::{PI, SQRT_2, TAU};

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Farads, Henries, Hertz, Ohms, Ratio, Volts, Watts};

/// What the workings print for [`critical_inductance`].
pub const CRITICAL_INDUCTANCE: Formula = Formula::new(
    "choke-critical-inductance",
    ("L_c", "H"),
    "R / (6 π f)",
    &[sym("R", "Ω", "load resistance, greatest"), sym("π", "", "3.14159"), sym("f", "Hz", "mains frequency")],
    "full-wave choke input, large capacitor; first harmonic only; all harmonics together give 0.8 % less",
    Source::Published { title: "Wikipedia, Rectifier", place: "output smoothing", known: Known::Seen },
);

/// What the workings print for [`critical_current`].
pub const CRITICAL_CURRENT: Formula = Formula::new(
    "choke-critical-current",
    ("I_c", "A"),
    "V_dc / (6 π f L)",
    &[
        sym("V_dc", "V", "mean output"),
        sym("π", "", "3.14159"),
        sym("f", "Hz", "mains frequency"),
        sym("L", "H", "inductance at that current"),
    ],
    "below it the output rises towards the peak",
    Source::Derived { from: "critical inductance with R = V_dc/I" },
);

/// What the workings print for [`lc_ripple_factor`].
pub const LC_RIPPLE: Formula = Formula::new(
    "filter-lc-ripple-factor",
    ("γ", ""),
    "√2 / (12 ω² L C)",
    &[sym("ω", "rad/s", "2 π mains frequency"), sym("L", "H", "inductance"), sym("C", "F", "capacitance")],
    "full-wave, continuous choke current, far above resonance",
    Source::Published {
        title: "S. Salivahanan et al., Electronic Devices and Circuits",
        place: "Example 18.10",
        known: Known::Seen,
    },
);

/// What the workings print for [`behind_section`].
pub const SECTION_DROP: Formula = Formula::new(
    "filter-section-drop",
    ("V_2", "V"),
    "V_1 − R I",
    &[
        sym("V_1", "V", "mean of the first bank"),
        sym("R", "Ω", "resistor or choke between the banks"),
        sym("I", "A", "mean current, all that is drawn from the second bank"),
    ],
    "steady state: no mean current flows into a capacitor, no mean voltage stands over an inductance",
    Source::Derived { from: "Kirchhoff and Ohm" },
);

/// What the workings print for [`section_heat`].
pub const SECTION_HEAT: Formula = Formula::new(
    "filter-section-heat",
    ("P", "W"),
    "R I²",
    &[
        sym("R", "Ω", "resistor or choke between the banks"),
        sym("I", "A", "rms current, what ripples into the second bank in it"),
    ],
    "any",
    Source::Derived { from: "Joule" },
);

/// What the workings print for [`rc_ripple`].
pub const RC_RIPPLE: Formula = Formula::new(
    "filter-rc-ripple",
    ("ΔV_out", "V"),
    "(2 / π) ΔV_in X_c / √(R² + X_c²)",
    &[
        sym("π", "", "3.14159"),
        sym("ΔV_in", "V", "sawtooth ripple, peak to peak"),
        sym("X_c", "Ω", "1/(2 π f_r C) at the ripple frequency"),
        sym("R", "Ω", "series resistance"),
    ],
    "sawtooth replaced by its fundamental",
    Source::Published {
        title: "D. A. Bell, Electronic Devices and Circuits",
        place: "Example 3.12",
        known: Known::Seen,
    },
);

/// Least inductance of a full-wave choke input; see [`CRITICAL_INDUCTANCE`].
pub fn critical_inductance(load: Ohms, mains: Hertz) -> Henries {
    Henries(load.0 / (6.0 * PI * mains.0))
}

/// Least current of a full-wave choke input; see [`CRITICAL_CURRENT`].
pub fn critical_current(output_mean: Volts, inductance: Henries, mains: Hertz) -> Amps {
    Amps(output_mean.0 / (6.0 * PI * mains.0 * inductance.0))
}

/// Ripple factor behind a choke input; see [`LC_RIPPLE`].
pub fn lc_ripple_factor(inductance: Henries, capacitance: Farads, mains: Hertz) -> Ratio {
    let omega = TAU * mains.0;
    Ratio(SQRT_2 / (12.0 * omega * omega * inductance.0 * capacitance.0))
}

/// Reactance of a capacitor.
pub fn capacitive_reactance(capacitance: Farads, frequency: Hertz) -> Ohms {
    Ohms(1.0 / (TAU * frequency.0 * capacitance.0))
}

/// Mean behind a second section; see [`SECTION_DROP`].
pub fn behind_section(before: Volts, resistance: Ohms, current: Amps) -> Volts {
    Volts(before.0 - resistance.0 * current.0)
}

/// Heat of what joins two banks; see [`SECTION_HEAT`].
pub fn section_heat(resistance: Ohms, current_rms: Amps) -> Watts {
    Watts(resistance.0 * current_rms.0 * current_rms.0)
}

/// Ripple behind an RC section, peak to peak; see [`RC_RIPPLE`].
pub fn rc_ripple(
    ripple_in_pp: Volts,
    resistance: Ohms,
    capacitance: Farads,
    ripple_frequency: Hertz,
) -> Volts {
    let x = capacitive_reactance(capacitance, ripple_frequency).0;
    Volts(2.0 / PI * ripple_in_pp.0 * x / x.hypot(resistance.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: Wikipedia, Rectifier: L = R/(6 π f), often quoted R/1130 at 60 Hz and R/940 at 50 Hz.
    #[test]
    fn critical_inductance_is_the_quoted_fraction() {
        assert_relative_eq!(
            1.0 / critical_inductance(Ohms(1.0), Hertz(60.0)).0,
            1130.0,
            max_relative = 0.002
        );
        assert_relative_eq!(1.0 / critical_inductance(Ohms(1.0), Hertz(50.0)).0, 940.0, max_relative = 0.003);
    }

    /// Second method: the whole rectified sine. With ω L = 1 and peak 1 the choke current about its mean is
    /// `1 − cos θ − 2θ/π`, least where sin θ = 2/π.
    #[test]
    fn all_harmonics_together_ask_for_0_8_percent_less() {
        let theta = (2.0 / PI).asin();
        let dip = -(1.0 - theta.cos() - 2.0 * theta / PI);
        let exact_over_r_per_omega = dip * PI / 2.0;
        let first = critical_inductance(Ohms(1.0), Hertz(1.0 / TAU)).0;
        assert_relative_eq!(exact_over_r_per_omega / first, 0.992, max_relative = 1e-3);
    }

    /// Source: S. Salivahanan et al., Electronic Devices and Circuits, Example 18.10: 50 Ω, 50 Hz: critical 53 mH; ripple
    /// factor 0.02 needs L C = 59.7 H µF.
    #[test]
    fn the_choke_filter_of_salivahanan_18_10() {
        assert_relative_eq!(critical_inductance(Ohms(50.0), Hertz(50.0)).0, 53.0e-3, max_relative = 0.01);
        let found = lc_ripple_factor(Henries(1.0), Farads(59.7e-6), Hertz(50.0));
        assert_relative_eq!(found.0, 0.02, max_relative = 0.01);
        let current = critical_current(Volts(10.0), Henries(53.0e-3), Hertz(50.0));
        assert_relative_eq!(current.0, 0.2, max_relative = 0.01);
    }

    /// Source: D. A. Bell, Electronic Devices and Circuits, Example 3.12: 2 V through 22 Ω and 150 µF at 120 Hz: 8.84 Ω,
    /// 475.3 mV.
    #[test]
    fn the_rc_section_of_bell_3_12() {
        assert_relative_eq!(capacitive_reactance(Farads(150e-6), Hertz(120.0)).0, 8.84, max_relative = 0.003);
        let found = rc_ripple(Volts(2.0), Ohms(22.0), Farads(150e-6), Hertz(120.0));
        assert_relative_eq!(found.0, 475.3e-3, max_relative = 0.003);
    }
}

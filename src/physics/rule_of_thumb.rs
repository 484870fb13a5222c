//! Rules of thumb for a rectifier with a reservoir: the textbook column, and nothing else.
//!
//! They take the discharge to last the whole period between peaks and the winding to be stiff; a real supply differs by
//! tens of per cent. No part is chosen by them.

use std::f64::consts::PI;

use super::formula::{Formula, Known, Source, sym};
use super::textbook::Ideal;
use crate::quantity::{Amps, Farads, Hertz, Ratio, VoltAmps, Volts, Watts};

const MALVINO: Source = Source::Published {
    title: "A. Malvino and D. Bates, Electronic Principles, 7th ed.",
    place: "Examples 4-6 to 4-9",
    known: Known::Seen,
};

/// What the workings print for [`ripple_pp`].
pub const RIPPLE_PP: Formula = Formula::new(
    "thumb-ripple",
    ("ΔV", "V"),
    "I / (n f C)",
    &[
        sym("I", "A", "load current"),
        sym("n", "", "peaks per mains period: 1 half-wave, 2 full-wave"),
        sym("f", "Hz", "mains frequency"),
        sym("C", "F", "capacitance"),
    ],
    "ripple small against the output; reads 7 to 16 % high at 2 to 10 % ripple",
    MALVINO,
);

/// What the workings print for [`mean_output`].
pub const MEAN_OUTPUT: Formula = Formula::new(
    "thumb-mean-output",
    ("V_dc", "V"),
    "V_pk − ΔV / 2",
    &[sym("V_pk", "V", "peak EMF less diode drops"), sym("ΔV", "V", "ripple, peak to peak")],
    "stiff winding: reads high by the winding's drop",
    Source::Published {
        title: "S. W. Fardo and D. R. Patrick, Electrical Power Systems Technology",
        place: "p. 197, V_dc = V_pk − 4.16 I/C",
        known: Known::Seen,
    },
);

/// What the workings print for [`ripple_rms`].
pub const RIPPLE_RMS: Formula = Formula::new(
    "thumb-ripple-rms",
    ("V_r", "V"),
    "ΔV / (2 √3)",
    &[sym("ΔV", "V", "ripple, peak to peak")],
    "sawtooth ripple",
    Source::Published {
        title: "S. W. Fardo and D. R. Patrick, Electrical Power Systems Technology",
        place: "p. 196, V_r = 2.4 I/C at 60 Hz",
        known: Known::Seen,
    },
);

/// What the workings print for [`diode_peak`].
pub const DIODE_PEAK: Formula = Formula::new(
    "thumb-diode-peak",
    ("I_pk", "A"),
    "I (1 + 2 π √(2 V_pk / (n² ΔV)))",
    &[
        sym("I", "A", "load current"),
        sym("π", "", "3.14159"),
        sym("V_pk", "V", "peak output"),
        sym("n", "", "peaks per mains period"),
        sym("ΔV", "V", "ripple, peak to peak"),
    ],
    "stiff winding: reads far too high with a real one",
    Source::Published {
        title: "A. S. Sedra and K. C. Smith, Microelectronic Circuits, 5th ed.",
        place: "Example 3.9 and the bridge exercise",
        known: Known::Memory,
    },
);

/// What the workings print for [`winding_rms`].
pub const WINDING_RMS: Formula = Formula::new(
    "thumb-winding-rms",
    ("I_w", "A"),
    "x I",
    &[
        sym("x", "", "maker's factor: bridge 1.8, centre-tap 1.2, half-wave 2.6"),
        sym("I", "A", "load current"),
    ],
    "capacitor input; a book uses 1.6 for the bridge, another maker 0.8 for the centre-tap",
    Source::Published {
        title: "ATC-Frost Magnetics and Petra-Toroid, methods of determining secondary current ratings in dc circuits",
        place: "with capacitor",
        known: Known::Seen,
    },
);

/// What the workings print for [`rating`].
pub const RATING: Formula = Formula::new(
    "thumb-va",
    ("S", "VA"),
    "y (P + d I)",
    &[
        sym("y", "", "maker's factor: bridge 1.4, centre-tap 1.7, half-wave 2.3"),
        sym("P", "W", "output power"),
        sym("d", "", "diodes in the path"),
        sym("I", "A", "load current"),
    ],
    "capacitor input; another maker uses 1.4 for the centre-tap",
    Source::Published {
        title: "ATC-Frost Magnetics and Petra-Toroid, methods of determining secondary current ratings in dc circuits",
        place: "with capacitor",
        known: Known::Seen,
    },
);

/// Peak-to-peak ripple; see [`RIPPLE_PP`].
pub fn ripple_pp(circuit: Ideal, load: Amps, mains: Hertz, capacitance: Farads) -> Volts {
    Volts(load.0 / (f64::from(circuit.ripple_multiple()) * mains.0 * capacitance.0))
}

/// Capacitance for a peak-to-peak ripple: the inverse of [`ripple_pp`].
pub fn capacitance(circuit: Ideal, load: Amps, mains: Hertz, ripple_pp: Volts) -> Farads {
    Farads(load.0 / (f64::from(circuit.ripple_multiple()) * mains.0 * ripple_pp.0))
}

/// Mean output; see [`MEAN_OUTPUT`].
pub fn mean_output(peak: Volts, ripple_pp: Volts) -> Volts {
    peak - ripple_pp / 2.0
}

/// rms ripple; see [`RIPPLE_RMS`].
pub fn ripple_rms(ripple_pp: Volts) -> Volts {
    ripple_pp / (2.0 * 3.0_f64.sqrt())
}

/// Conduction angle of one diode in degrees of the mains: `√(2 ΔV/V_pk)` radians. Source: as [`DIODE_PEAK`].
pub fn conduction_deg(peak: Volts, ripple_pp: Volts) -> f64 {
    (2.0 * ripple_pp.0 / peak.0).sqrt().to_degrees()
}

/// Peak current of one diode; see [`DIODE_PEAK`].
pub fn diode_peak(circuit: Ideal, load: Amps, peak: Volts, ripple_pp: Volts) -> Amps {
    let root = (2.0 * peak.0 / ripple_pp.0).sqrt() / f64::from(circuit.ripple_multiple());
    load * (1.0 + 2.0 * PI * root)
}

/// Average of one diode over its conduction: `I (1 + π √(2 V_pk/(n² ΔV)))`. Source: as [`DIODE_PEAK`].
pub fn diode_average_conducting(circuit: Ideal, load: Amps, peak: Volts, ripple_pp: Volts) -> Amps {
    let root = (2.0 * peak.0 / ripple_pp.0).sqrt() / f64::from(circuit.ripple_multiple());
    load * (1.0 + PI * root)
}

/// Maker's factor of winding rms over load current with a capacitor; see [`WINDING_RMS`].
pub const fn winding_factor(circuit: Ideal) -> Ratio {
    Ratio(match circuit {
        Ideal::HalfWave => 2.6,
        Ideal::CentreTap => 1.2,
        Ideal::Bridge => 1.8,
    })
}

/// The lower end of what is printed for the bridge: D. A. Bell, Electronic Devices and Circuits, Example 3.11.
pub const WINDING_FACTOR_BRIDGE_LOW: Ratio = Ratio(1.6);

/// Winding current, rms; see [`WINDING_RMS`].
pub fn winding_rms(circuit: Ideal, load: Amps) -> Amps {
    load * winding_factor(circuit).0
}

/// Transformer rating; see [`RATING`].
pub fn rating(circuit: Ideal, output: Watts, load: Amps) -> VoltAmps {
    let (factor, diodes) = match circuit {
        Ideal::HalfWave => (2.3, 1.0),
        Ideal::CentreTap => (1.7, 1.0),
        Ideal::Bridge => (1.4, 2.0),
    };
    VoltAmps(factor * (output.0 + diodes * load.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const HW: Ideal = Ideal::HalfWave;
    const FW: Ideal = Ideal::Bridge;

    fn near(found: f64, printed: f64, relative: f64) {
        assert_relative_eq!(found, printed, max_relative = relative);
    }

    /// Source: A. Malvino and D. Bates, Electronic Principles, 7th ed., Examples 4-6, 4-7 and 4-9.
    #[test]
    fn ripples_of_malvino_4_6_to_4_9() {
        near(ripple_pp(HW, Amps(33.941 / 5e3), Hertz(60.0), Farads(100e-6)).0, 1.1, 0.03);
        near(ripple_pp(Ideal::CentreTap, Amps(16.971 / 5e3), Hertz(60.0), Farads(100e-6)).0, 0.28, 0.02);
        near(ripple_pp(FW, Amps(9.914 / 500.0), Hertz(60.0), Farads(4700e-6)).0, 35e-3, 0.01);
    }

    /// Source: D. A. Bell, Electronic Devices and Circuits, Examples 3.3 and 3.4: 3.43 V; 333.33 µF for 10 %.
    #[test]
    fn ripples_of_bell_3_3_and_3_4() {
        near(ripple_pp(HW, Amps(28.0 / 200.0), Hertz(60.0), Farads(680e-6)).0, 3.43, 0.003);
        near(capacitance(HW, Amps(20.0 / 500.0), Hertz(60.0), Volts(2.0)).0, 333.33e-6, 0.002);
    }

    /// Source: S. W. Fardo and D. R. Patrick, pp. 196-197: 6.4 V rms of 800 mA, 300 µF; 25.7 V of 28.2 V peak, 300 mA, 500 µF.
    #[test]
    fn mean_and_rms_of_fardo() {
        let ripple = ripple_pp(FW, Amps(0.8), Hertz(60.0), Farads(300e-6));
        near(ripple_rms(ripple).0, 6.4, 0.005);
        let ripple = ripple_pp(FW, Amps(0.3), Hertz(60.0), Farads(500e-6));
        near(mean_output(Volts(28.2), ripple).0, 25.7, 0.002);
    }

    /// Source: S. Salivahanan et al., Electronic Devices and Circuits, Example 18.9: 72.2 µF for a ripple factor of 1 % into
    /// 4 kΩ at 50 Hz.
    #[test]
    fn capacitance_of_salivahanan_18_9() {
        let pp_per_volt = 0.01 * 2.0 * 3.0_f64.sqrt();
        near(capacitance(FW, Amps(1.0 / 4e3), Hertz(50.0), Volts(pp_per_volt)).0, 72.2e-6, 0.005);
    }

    /// Source: A. S. Sedra and K. C. Smith, Microelectronic Circuits, 5th ed., Example 3.9 and the 12 V bridge exercise (both
    /// from memory).
    #[test]
    fn diode_peaks_of_sedra() {
        near(diode_peak(HW, Amps(10e-3), Volts(100.0), Volts(2.0)).0, 638e-3, 0.003);
        near(diode_average_conducting(HW, Amps(10e-3), Volts(100.0), Volts(2.0)).0, 324e-3, 0.003);
        near(conduction_deg(Volts(100.0), Volts(2.0)), 0.2_f64.to_degrees(), 0.003);
        let (peak, ripple, load) = (Volts(15.37), Volts(1.0), Amps(0.1487));
        near(diode_peak(FW, load, peak, ripple).0, 2.74, 0.01);
        near(diode_average_conducting(FW, load, peak, ripple).0, 1.45, 0.01);
        near(conduction_deg(peak, ripple), 20.7, 0.01);
    }

    /// Source: D. A. Neamen, Electronic Circuit Analysis and Design, Example 2.3 (title from memory): 1667 µF and 2.5 A.
    #[test]
    fn bridge_supply_of_neamen_2_3() {
        near(capacitance(FW, Amps(0.12), Hertz(60.0), Volts(0.6)).0, 1667e-6, 0.006);
        near(diode_peak(FW, Amps(0.12), Volts(12.0), Volts(0.6)).0, 2.5, 0.006);
    }

    /// Source: ATC-Frost Magnetics: half-wave 5 V, 0.1 A: 0.26 A, 1.4 VA; centre-tap 5 V, 2 A: 2.4 A, 20.4 VA. Petra-Toroid:
    /// bridge 12 V, 1 A: 1.8 A, 19.6 VA. D. A. Bell, Example 3.11: 64 mA of 40 mA for a bridge.
    #[test]
    fn makers_factors_give_the_makers_numbers() {
        near(winding_rms(HW, Amps(0.1)).0, 0.26, 0.02);
        near(rating(HW, Watts(0.5), Amps(0.1)).0, 1.4, 0.02);
        near(winding_rms(Ideal::CentreTap, Amps(2.0)).0, 2.4, 0.001);
        near(rating(Ideal::CentreTap, Watts(10.0), Amps(2.0)).0, 20.4, 0.001);
        near(winding_rms(FW, Amps(1.0)).0, 1.8, 0.001);
        near(rating(FW, Watts(12.0), Amps(1.0)).0, 19.6, 0.001);
        near(WINDING_FACTOR_BRIDGE_LOW.0 * 40.0, 64.0, 0.005);
    }
}

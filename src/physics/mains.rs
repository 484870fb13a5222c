//! The mains: its corners and the systems of the world.
//!
//! Tolerances are those at the equipment inlet; the drop inside a building and the source's resistance are never added
//! silently.

use super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Hertz, Ratio, Volts};

/// What the workings print for [`Mains::high`].
pub const MAINS_CORNER: Formula = Formula::new(
    "mains-corner",
    ("V_high", "V"),
    "V_nom (1 + δ)",
    &[
        sym("V_nom", "V", "nominal mains, rms"),
        sym("δ", "", "upper tolerance at the inlet; the lower for mains low"),
    ],
    "steady state; transients are the policy's",
    Source::Derived { from: "definition of a relative tolerance" },
);

/// What the workings print for [`peak`].
pub const MAINS_PEAK: Formula = Formula::new(
    "mains-peak",
    ("V_pk", "V"),
    "√2 V p",
    &[sym("V", "V", "rms"), sym("p", "", "peak factor of flat-topped mains, 1 where low is not the worst")],
    "0.95 to 1",
    Source::CommonPractice,
);

/// A mains supply at the inlet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mains {
    /// Nominal voltage, rms.
    pub nominal: Volts,
    /// Lower tolerance, positive.
    pub below: Ratio,
    /// Upper tolerance, positive.
    pub above: Ratio,
    /// Nominal frequency.
    pub frequency: Hertz,
    /// Relative tolerance of the frequency, both ways.
    pub frequency_tolerance: Ratio,
}

impl Mains {
    /// Lowest steady voltage, rms.
    pub fn low(&self) -> Volts {
        self.nominal * (1.0 - self.below.0)
    }

    /// Highest steady voltage, rms; see [`MAINS_CORNER`].
    pub fn high(&self) -> Volts {
        self.nominal * (1.0 + self.above.0)
    }

    /// Lowest frequency.
    pub fn frequency_low(&self) -> Hertz {
        self.frequency * (1.0 - self.frequency_tolerance.0)
    }

    /// Highest frequency.
    pub fn frequency_high(&self) -> Hertz {
        self.frequency * (1.0 + self.frequency_tolerance.0)
    }
}

/// Peak of a voltage; see [`MAINS_PEAK`].
pub fn peak(rms: Volts, peak_factor: Ratio) -> Volts {
    rms * (std::f64::consts::SQRT_2 * peak_factor.0)
}

/// A public supply as a standard or statute states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct System {
    /// Where, by which standard.
    pub name: &'static str,
    /// Its corners.
    pub mains: Mains,
    /// How the figures are known.
    pub known: Known,
}

const fn system(
    name: &'static str,
    nominal: f64,
    below: f64,
    above: f64,
    hertz: f64,
    frequency: f64,
    known: Known,
) -> System {
    let mains = Mains {
        nominal: Volts(nominal),
        below: Ratio(below),
        above: Ratio(above),
        frequency: Hertz(hertz),
        frequency_tolerance: Ratio(frequency),
    };
    System { name, mains, known }
}

/// Supplies a requirement may quote. Frequency tolerances: EN 50160 ±1 % for 99.5 % of the year; elsewhere ±1 % is common
/// practice.
pub const SYSTEMS: [System; 5] = [
    system("IEC 60038, 230 V, 50 Hz", 230.0, 0.10, 0.10, 50.0, 0.01, Known::Memory),
    system("United Kingdom, 230 V, 50 Hz, statutory", 230.0, 0.06, 0.10, 50.0, 0.01, Known::Memory),
    system("ANSI C84.1 range A, 120 V, 60 Hz, service", 120.0, 0.05, 0.05, 60.0, 0.01, Known::SeenSecond),
    system("Japan east, 101 V, 50 Hz", 101.0, 6.0 / 101.0, 6.0 / 101.0, 50.0, 0.01, Known::Memory),
    system("Japan west, 101 V, 60 Hz", 101.0, 6.0 / 101.0, 6.0 / 101.0, 60.0, 0.01, Known::Memory),
];

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: IEC 60038 (from memory) 207 to 253 V; United Kingdom 216.2 to 253 V (from memory); ANSI C84.1 range A 114 to
    /// 126 V (second witness); Japan 95 to 107 V (from memory).
    #[test]
    fn every_system_has_its_printed_corners() {
        let printed = [(207.0, 253.0), (216.2, 253.0), (114.0, 126.0), (95.0, 107.0), (95.0, 107.0)];
        for (system, (low, high)) in SYSTEMS.iter().zip(printed) {
            assert_relative_eq!(system.mains.low().0, low, max_relative = 1e-9);
            assert_relative_eq!(system.mains.high().0, high, max_relative = 1e-9);
        }
    }

    /// Source: A. Malvino and D. Bates, Electronic Principles, 7th ed., Example 4-5: 120 V have a peak of 170 V.
    #[test]
    fn the_peak_of_120_volts_is_170() {
        assert_relative_eq!(peak(Volts(120.0), Ratio(1.0)).0, 170.0, max_relative = 0.005);
    }

    #[test]
    fn fifty_hertz_within_one_percent_is_49_5_to_50_5() {
        let mains = SYSTEMS[0].mains;
        assert_relative_eq!(mains.frequency_low().0, 49.5, max_relative = 1e-12);
        assert_relative_eq!(mains.frequency_high().0, 50.5, max_relative = 1e-12);
    }
}

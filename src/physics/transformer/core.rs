//! The core: loss, flux and no-load current away from rated mains.
//!
//! Knows no steel; laws of similarity from the maker's rated point. The worst is mains high at frequency low.

use super::super::domain::DomainError;
use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Hertz, Ratio, Volts, Watts};

/// Exponent of the voltage in [`core_loss`]: common practice for grain-oriented and plain silicon steel below the knee.
pub const CORE_LOSS_VOLTAGE_EXPONENT: f64 = 2.0;
/// Exponent of the frequency in [`core_loss`] at equal voltage: common practice (loss ∝ f^1.5 B², B ∝ V/f).
pub const CORE_LOSS_FREQUENCY_EXPONENT: f64 = -0.5;
/// Greatest relative flux for which the no-load power law between the catalog's two points is continued.
pub const NO_LOAD_FLUX_MAX: f64 = 1.15;

/// What the workings print for [`core_loss`].
pub const CORE_LOSS: Formula = Formula::new(
    "transformer-core-loss",
    ("P_fe", "W"),
    "P_r (V / V_r)² √(f_r / f)",
    &[
        sym("P_r", "W", "core loss at rated mains"),
        sym("V", "V", "mains, rms"),
        sym("V_r", "V", "rated primary voltage, rms"),
        sym("f_r", "Hz", "frequency of the rating"),
        sym("f", "Hz", "mains frequency"),
    ],
    "flux up to about 1.15 of rated; beyond the knee the loss rises faster",
    Source::CommonPractice,
);

/// What the workings print for [`relative_flux`].
pub const RELATIVE_FLUX: Formula = Formula::new(
    "transformer-relative-flux",
    ("b", ""),
    "(V / f) / (V_r / f_min)",
    &[
        sym("V", "V", "mains, rms"),
        sym("f", "Hz", "mains frequency"),
        sym("V_r", "V", "primary voltage the core is built for, rms"),
        sym("f_min", "Hz", "lowest rated frequency"),
    ],
    "sinusoidal mains",
    Source::Published {
        title: "transformer equation of the electrical-engineering textbooks",
        place: "V = 4.44 f N B A",
        known: Known::Seen,
    },
);

/// What the workings print for [`no_load_current`].
pub const NO_LOAD_CURRENT: Formula = Formula::new(
    "transformer-no-load-current",
    ("I_0", "A"),
    "I_r b^(ln(I_110 / I_r) / ln(1.1))",
    &[
        sym("I_r", "A", "no-load current at rated mains, rms"),
        sym("b", "", "relative flux"),
        sym("I_110", "A", "no-load current at 1.1 of rated mains, rms"),
    ],
    "relative flux 1 to 1.15; below 1 proportional to b, which is never optimistic",
    Source::Derived { from: "power law through the catalog's two points; a magnetising curve only steepens" },
);

/// What the workings print for [`dc_magnetisation`].
pub const DC_MAGNETISATION: Formula = Formula::new(
    "transformer-dc-magnetisation",
    ("m", ""),
    "I_dc n / (√2 I_mag)",
    &[
        sym("I_dc", "A", "mean current of the secondary"),
        sym("n", "", "secondary over primary turns"),
        sym("I_mag", "A", "magnetising current, rms"),
    ],
    "half-wave loads",
    Source::Derived { from: "dc ampere-turns over peak magnetising ampere-turns" },
);

/// Core loss at another voltage and frequency; see [`CORE_LOSS`]. Common practice, no source: the exponents are constants
/// of this file.
pub fn core_loss(rated: Watts, voltage_ratio: Ratio, frequency_ratio: Ratio) -> Watts {
    rated
        * (voltage_ratio.0.powf(CORE_LOSS_VOLTAGE_EXPONENT)
            * frequency_ratio.0.powf(CORE_LOSS_FREQUENCY_EXPONENT))
}

/// Peak flux relative to that at a rated voltage and frequency; see [`RELATIVE_FLUX`].
pub fn relative_flux(mains: Volts, frequency: Hertz, rated: Volts, rated_frequency: Hertz) -> Ratio {
    Ratio((mains.0 / frequency.0) / (rated.0 / rated_frequency.0))
}

/// No-load current of the primary, rms, at a relative flux, from the catalog's values at rated mains and at 10 % more.
///
/// Above rated flux the power law through the two points; below it proportional to flux, an upper bound because the
/// magnetising curve steepens. Refused beyond [`NO_LOAD_FLUX_MAX`]; see [`NO_LOAD_CURRENT`].
pub fn no_load_current(rated: Amps, at_110_percent: Amps, flux: Ratio) -> Result<Amps, DomainError> {
    let b = DomainError::within("relative flux", flux.0, 0.0, NO_LOAD_FLUX_MAX)?;
    let steepness = DomainError::within(
        "no-load current at 110 % over that at rated mains",
        at_110_percent / rated,
        1.0,
        100.0,
    )?;
    let exponent = if b > 1.0 { steepness.ln() / 1.1_f64.ln() } else { 1.0 };
    Ok(rated * b.powf(exponent))
}

/// Magnetising part of a no-load current: `√(I_0² − (P_fe/V)²)`, zero where the loss takes it all.
pub fn magnetising_current(no_load: Amps, loss: Watts, mains: Volts) -> Amps {
    let loss_a = loss.0 / mains.0;
    Amps((no_load.0 * no_load.0 - loss_a * loss_a).max(0.0).sqrt())
}

/// dc ampere-turns over the peak of the magnetising ampere-turns; see [`DC_MAGNETISATION`].
pub fn dc_magnetisation(secondary_mean: Amps, turns_ratio: Ratio, magnetising_rms: Amps) -> Ratio {
    Ratio(secondary_mean.0 * turns_ratio.0 / (std::f64::consts::SQRT_2 * magnetising_rms.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: electrical-engineering textbook, FOSSEE companion 1445, ch. 7, Example 12 (set-up seen): 400 V, 50 Hz, no
    /// load 10 A at power factor 0.25: 1000 W of iron loss and 9.68 A magnetising.
    #[test]
    fn magnetising_current_of_the_textbook_core_is_9_68_amps() {
        let found = magnetising_current(Amps(10.0), Watts(1000.0), Volts(400.0));
        assert_relative_eq!(found.0, 9.68, max_relative = 0.001);
    }

    /// Source: transformer equation V = 4.44 f N B A, FOSSEE companion 1445, ch. 7, Example 10: 495.5 turns carry 6600 V at
    /// 1.2 T, 50 Hz, 0.05 m²; the same core at 60 Hz runs at 1/1.2 of the flux.
    #[test]
    fn a_50_hz_core_runs_cooler_at_60_hz_and_not_the_reverse() {
        let turns = 495.5;
        let tesla = |volts: f64, hertz: f64| volts / (4.44 * hertz * turns * 0.05);
        assert_relative_eq!(tesla(6600.0, 50.0), 1.2, max_relative = 0.001);
        let flux = relative_flux(Volts(6600.0), Hertz(60.0), Volts(6600.0), Hertz(50.0));
        assert_relative_eq!(flux.0, tesla(6600.0, 60.0) / tesla(6600.0, 50.0), max_relative = 1e-12);
        assert!(relative_flux(Volts(120.0), Hertz(50.0), Volts(120.0), Hertz(60.0)).0 > 1.19);
    }

    #[test]
    fn the_no_load_law_passes_through_both_catalog_points() {
        let at = |flux| no_load_current(Amps(0.02), Amps(0.045), Ratio(flux)).map(|amps| amps.0);
        assert_relative_eq!(at(1.0).unwrap(), 0.02, max_relative = 1e-12);
        assert_relative_eq!(at(1.1).unwrap(), 0.045, max_relative = 1e-12);
        assert_relative_eq!(at(0.5).unwrap(), 0.01, max_relative = 1e-12);
        assert!(at(1.2).is_err());
    }

    /// Second method: Steinmetz form f^1.5 B² with B ∝ V/f.
    #[test]
    fn core_loss_follows_the_steinmetz_form() {
        let (v, f) = (1.1_f64, 0.94_f64);
        let steinmetz = f.powf(1.5) * (v / f).powi(2);
        assert_relative_eq!(
            core_loss(Watts(3.0), Ratio(v), Ratio(f)).0,
            3.0 * steinmetz,
            max_relative = 1e-12
        );
    }

    /// Limit: a secondary of equal turns whose mean current is the peak magnetising current doubles the peak excitation.
    #[test]
    fn one_is_a_dc_excitation_as_large_as_the_magnetising_peak() {
        let ratio = dc_magnetisation(Amps(std::f64::consts::SQRT_2), Ratio(1.0), Amps(1.0));
        assert_relative_eq!(ratio.0, 1.0, max_relative = 1e-12);
    }

    proptest! {
        #[test]
        fn core_loss_and_no_load_current_rise_with_mains_and_fall_with_frequency(
            low in 0.8..1.1_f64, more in 0.001..0.05_f64,
        ) {
            let loss = |v, f| core_loss(Watts(1.0), Ratio(v), Ratio(f)).0;
            prop_assert!(loss(low + more, 1.0) > loss(low, 1.0));
            prop_assert!(loss(1.0, low + more) < loss(1.0, low));
            let amps = |b| no_load_current(Amps(0.01), Amps(0.02), Ratio(b)).unwrap().0;
            prop_assert!(amps(low + more) > amps(low));
        }
    }
}

//! Currents and loading: the primary's total, its rating, and how well the transformer is used.
//!
//! The load part comes in as the rms of the instantaneous sum over all secondaries: pulses coincide, so the root of
//! summed squares would be too small.

use super::super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Ohms, Ratio, VoltAmps, Volts, Watts};

/// What the workings print for [`primary_current`].
pub const PRIMARY_CURRENT: Formula = Formula::new(
    "transformer-primary-current",
    ("I_p", "A"),
    "√((I_load + P_fe / V)² + I_mag²)",
    &[
        sym("I_load", "A", "referred load current, rms of the instantaneous sum"),
        sym("P_fe", "W", "core loss"),
        sym("V", "V", "mains, rms"),
        sym("I_mag", "A", "magnetising current, rms"),
    ],
    "adds load and core loss as if in phase, which is never optimistic",
    Source::Derived { from: "in-phase parts add, the magnetising current is in quadrature" },
);

/// What the workings print for [`primary_rating`].
pub const PRIMARY_RATING: Formula = Formula::new(
    "transformer-primary-rating",
    ("I_pr", "A"),
    "√((k S / V_p + P_fe / V_p)² + I_mag²)",
    &[
        sym("k", "", "open-circuit over rated voltage"),
        sym("S", "VA", "rated apparent power"),
        sym("V_p", "V", "rated primary voltage, rms"),
        sym("P_fe", "W", "rated core loss"),
        sym("I_mag", "A", "magnetising current at rated mains, rms"),
    ],
    "all secondaries at rating, unity power factor",
    Source::Derived { from: "the primary current the maker's own rating implies" },
);

/// What the workings print for [`utilisation`].
pub const UTILISATION: Formula = Formula::new(
    "transformer-utilisation",
    ("TUF", ""),
    "P_dc / Σ(V I)",
    &[
        sym("P_dc", "W", "load power"),
        sym("V", "V", "winding voltage, rms"),
        sym("I", "A", "winding current, rms"),
    ],
    "say whether secondary, primary or the mean is meant",
    Source::Derived { from: "definition" },
);

/// What the workings print for [`copper_loss`].
pub const COPPER_LOSS: Formula = Formula::new(
    "transformer-copper-loss",
    ("P_cu", "W"),
    "Σ(R I²)",
    &[sym("R", "Ω", "own resistance of each winding, primary included"), sym("I", "A", "its current, rms")],
    "resistances at the temperature of the winding",
    Source::Derived { from: "Joule" },
);

/// Primary current, rms; see [`PRIMARY_CURRENT`].
pub fn primary_current(load_rms: Amps, core_loss: Watts, mains: Volts, magnetising_rms: Amps) -> Amps {
    Amps((load_rms.0 + core_loss.0 / mains.0).hypot(magnetising_rms.0))
}

/// Primary current, rms, that the maker's rating implies; see [`PRIMARY_RATING`].
pub fn primary_rating(
    k: Ratio,
    rating: VoltAmps,
    primary: Volts,
    core_loss: Watts,
    magnetising_rms: Amps,
) -> Amps {
    primary_current(Amps(k.0 * rating.0 / primary.0), core_loss, primary, magnetising_rms)
}

/// Copper loss of windings given as (resistance, rms current); see [`COPPER_LOSS`].
pub fn copper_loss(windings: &[(Ohms, Amps)]) -> Watts {
    Watts(windings.iter().map(|(ohms, amps)| ohms.0 * amps.0 * amps.0).sum())
}

/// Load power over apparent power; see [`UTILISATION`].
pub fn utilisation(load: Watts, apparent: VoltAmps) -> Ratio {
    Ratio(load.0 / apparent.0)
}

/// rms-weighted apparent power of a load that comes and goes: `√(Σ S² t / Σ t)` over (apparent power, duration) pairs.
///
/// Valid for cycles short against the thermal time constant of the winding. Source: Precision Inc., standard power toroid
/// notes, duty cycle (which prints the root without the square; the intended form).
pub fn duty_rms(profile: &[(VoltAmps, f64)]) -> VoltAmps {
    let total: f64 = profile.iter().map(|(_, share)| share).sum();
    let squares: f64 = profile.iter().map(|(va, share)| va.0 * va.0 * share).sum();
    VoltAmps((squares / total).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: electrical-engineering textbook, FOSSEE companion 1445, ch. 7, Example 12: without load the primary takes
    /// 10 A (1000 W of iron loss at 400 V, 9.68 A magnetising).
    #[test]
    fn without_load_the_primary_takes_the_textbook_no_load_current() {
        let found = primary_current(Amps(0.0), Watts(1000.0), Volts(400.0), Amps(9.682458));
        assert_relative_eq!(found.0, 10.0, max_relative = 1e-6);
    }

    /// Source: Precision Inc., standard power toroid notes, duty cycle: 100 VA for 60 s in 240 s counts as 50 VA.
    #[test]
    fn a_quarter_of_the_time_counts_as_half_the_apparent_power() {
        let found = duty_rms(&[(VoltAmps(100.0), 60.0), (VoltAmps(0.0), 180.0)]);
        assert_relative_eq!(found.0, 50.0, max_relative = 1e-12);
    }

    #[test]
    fn an_ideal_transformer_draws_its_rating_over_its_voltage() {
        let found = primary_rating(Ratio(1.0), VoltAmps(230.0), Volts(230.0), Watts(0.0), Amps(0.0));
        assert_relative_eq!(found.0, 1.0, max_relative = 1e-12);
    }

    #[test]
    fn equal_windings_share_the_loss_of_their_sum() {
        let found = copper_loss(&[(Ohms(0.5), Amps(2.0)), (Ohms(0.25), Amps(4.0))]);
        assert_relative_eq!(found.0, 6.0, max_relative = 1e-12);
        assert_relative_eq!(utilisation(Watts(28.7), VoltAmps(100.0)).0, 0.287, max_relative = 1e-12);
    }
}

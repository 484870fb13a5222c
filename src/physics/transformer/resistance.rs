//! Resistances of the windings from regulation and rating, primary and secondaries kept apart.
//!
//! Gives hot values (at rated temperature); copper loss and EMF at rating. Does not know how windings are joined.

use super::super::domain::DomainError;
use super::super::formula::{Formula, Known, Source, sym};
use crate::quantity::{Amps, Ohms, Ratio, VoltAmps, Volts, Watts};

/// Share of the copper loss taken to sit in the primary where a maker states regulation only: common practice.
pub const PRIMARY_SHARE_ASSUMED: Ratio = Ratio(0.5);

/// What the workings print for [`copper_loss_rated`].
pub const COPPER_LOSS_RATED: Formula = Formula::new(
    "transformer-copper-loss-rated",
    ("P_cu", "W"),
    "(k − 1) S",
    &[
        sym("k", "", "open-circuit over rated voltage of the secondary, at rated mains"),
        sym("S", "VA", "rated apparent power"),
    ],
    "unity-power-factor load at rating; exact where leakage reactance is negligible",
    Source::Derived {
        from: "the regulation drop (k − 1) V at rated current is resistive, and drop × current is the loss",
    },
);

/// What the workings print for the secondary part of [`from_regulation`], all windings of equal regulation.
pub const SECONDARY_RESISTANCE: Formula = Formula::new(
    "transformer-secondary-resistance",
    ("R_s", "Ω"),
    "(1 − s) (k − 1) V / I",
    &[
        sym("s", "", "share of the copper loss in the primary"),
        sym("k", "", "open-circuit over rated voltage"),
        sym("V", "V", "rated secondary voltage, rms"),
        sym("I", "A", "rated secondary current, rms"),
    ],
    "hot value; every secondary loaded at rating",
    Source::Published {
        title: "Precision Inc. and Bicron Electronics, transformer notes",
        place: "regulation = (V_NL − V_FL)/V_FL; the division between windings is common practice",
        known: Known::Seen,
    },
);

/// What the workings print for the primary part of [`from_regulation`].
pub const PRIMARY_RESISTANCE: Formula = Formula::new(
    "transformer-primary-resistance",
    ("R_p", "Ω"),
    "s (k − 1) V_p² / (k² S)",
    &[
        sym("s", "", "share of the copper loss in the primary"),
        sym("k", "", "open-circuit over rated voltage"),
        sym("V_p", "V", "rated primary voltage, rms"),
        sym("S", "VA", "rated apparent power, all secondaries"),
    ],
    "hot value; every secondary loaded at rating; magnetising current left out of the copper loss",
    Source::Derived { from: "referred primary current k S / V_p and loss s (k − 1) S" },
);

/// What the workings print for [`referred`].
pub const REFERRED_RESISTANCE: Formula = Formula::new(
    "transformer-referred-resistance",
    ("R_p'", "Ω"),
    "R_p (E / V_p)²",
    &[
        sym("R_p", "Ω", "primary resistance"),
        sym("E", "V", "open-circuit voltage of one secondary, rms"),
        sym("V_p", "V", "primary voltage it belongs to, rms"),
    ],
    "turns ratio = ratio of open-circuit voltages",
    Source::Derived { from: "equal loss on both sides of an ideal transformer" },
);

/// What the workings print for [`open_emf`].
pub const OPEN_EMF: Formula = Formula::new(
    "transformer-open-emf",
    ("E", "V"),
    "k V m t",
    &[
        sym("k", "", "open-circuit over rated voltage"),
        sym("V", "V", "rated secondary voltage, rms"),
        sym("m", "", "mains over rated primary voltage"),
        sym("t", "", "1 ± tolerance of the secondary voltage"),
    ],
    "no-load drop of the primary is inside k",
    Source::Derived { from: "definition of k; EMF proportional to the mains" },
);

/// One secondary as rated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatedSecondary {
    /// Rated voltage at rated current, rms.
    pub voltage: Volts,
    /// Rated current, rms.
    pub current: Amps,
    /// Open-circuit over rated voltage.
    pub k: Ratio,
}

/// Hot resistances of all windings.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistances {
    /// The primary's own.
    pub primary: Ohms,
    /// Each secondary's own, in the order given.
    pub secondaries: Vec<Ohms>,
}

/// Copper loss of all windings at rating, `(k − 1) S`.
///
/// Exact by the definition of regulation at a unity-power-factor load; see [`COPPER_LOSS_RATED`].
pub fn copper_loss_rated(k: Ratio, rating: VoltAmps) -> Watts {
    Watts((k.0 - 1.0) * rating.0)
}

/// Hot resistances where regulation is stated, with the share of the copper loss that sits in the primary
/// ([`PRIMARY_SHARE_ASSUMED`] where the maker is silent: a stated assumption).
///
/// With `d` the primary's relative drop at full load of all secondaries,
/// ```text
/// d = s Σ(k_j − 1) V_j I_j / Σ k_j V_j I_j,   R_j = ((k_j − 1) − d k_j) V_j / I_j,   R_p = d V_p² / Σ k_j V_j I_j
/// ```
/// which for equal `k` is `R_j = (1 − s)(k − 1) V_j/I_j` and `R_p = s (k − 1) V_p²/(k² S)`.
/// Refuses `k` below 1 or above 3, shares outside 0 to 1, and a set of `k` so unequal that a secondary's own resistance
/// would be negative.
pub fn from_regulation(
    primary: Volts,
    secondaries: &[RatedSecondary],
    primary_share: Ratio,
) -> Result<Resistances, DomainError> {
    let share = DomainError::within("share of copper loss in the primary", primary_share.0, 0.0, 1.0)?;
    DomainError::within("primary voltage in V", primary.0, f64::MIN_POSITIVE, 1e5)?;
    let mut loss_w = 0.0;
    let mut open_va = 0.0;
    for one in secondaries {
        let k = DomainError::within("open-circuit over rated voltage", one.k.0, 1.0, 3.0)?;
        let volts = DomainError::within("secondary voltage in V", one.voltage.0, f64::MIN_POSITIVE, 1e5)?;
        let amps = DomainError::within("secondary current in A", one.current.0, f64::MIN_POSITIVE, 1e5)?;
        loss_w += (k - 1.0) * volts * amps;
        open_va += k * volts * amps;
    }
    DomainError::within("rated apparent power in VA", open_va, f64::MIN_POSITIVE, f64::MAX)?;
    let drop = share * loss_w / open_va;
    let own = secondaries
        .iter()
        .map(|one| {
            let relative = (one.k.0 - 1.0) - drop * one.k.0;
            let ohms = relative * one.voltage.0 / one.current.0;
            DomainError::within("own resistance of a secondary in Ω", ohms, 0.0, f64::MAX).map(Ohms)
        })
        .collect::<Result<_, _>>()?;
    Ok(Resistances { primary: Ohms(drop * primary.0 * primary.0 / open_va), secondaries: own })
}

/// A primary resistance seen from one secondary, `R_p (E/V_p)²`; see [`REFERRED_RESISTANCE`].
pub fn referred(primary: Ohms, secondary_open: Volts, primary_voltage: Volts) -> Ohms {
    let turns = secondary_open / primary_voltage;
    primary * (turns * turns)
}

/// Open-circuit EMF of one secondary, rms: `k V · mains ratio · (1 ± tolerance)`; see [`OPEN_EMF`].
pub fn open_emf(rated: Volts, k: Ratio, mains_ratio: Ratio, tolerance_factor: Ratio) -> Volts {
    rated * (k.0 * mains_ratio.0 * tolerance_factor.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Source: Precision Inc. standard power toroid notes; Bicron transformer design basics: 13.2 V open, 12 V loaded is
    /// 10 %. Total resistance = regulation · V/I for an 18 V, 50 VA, 13 % part is 0.842 Ω (standard relation, from memory).
    #[test]
    fn regulation_gives_the_total_resistance_of_the_standard_relation() {
        let amps = 50.0 / 18.0;
        let one = RatedSecondary { voltage: Volts(18.0), current: Amps(amps), k: Ratio(1.13) };
        let all = from_regulation(Volts(230.0), &[one], PRIMARY_SHARE_ASSUMED).unwrap();
        let seen = referred(all.primary, Volts(18.0 * 1.13), Volts(230.0));
        assert_relative_eq!((all.secondaries[0] + seen).0, 0.842, max_relative = 0.002);
        assert_relative_eq!(copper_loss_rated(Ratio(1.1), VoltAmps(50.0)).0, 5.0, max_relative = 1e-12);
    }

    #[test]
    fn all_the_loss_in_the_secondary_leaves_no_primary_resistance() {
        let one = RatedSecondary { voltage: Volts(12.0), current: Amps(2.0), k: Ratio(1.2) };
        let all = from_regulation(Volts(230.0), &[one], Ratio(0.0)).unwrap();
        assert_eq!(all.primary, Ohms(0.0));
        assert_relative_eq!(all.secondaries[0].0, 1.2, max_relative = 1e-12);
    }

    #[test]
    fn regulation_below_nothing_is_refused() {
        let one = RatedSecondary { voltage: Volts(12.0), current: Amps(2.0), k: Ratio(0.99) };
        assert!(from_regulation(Volts(230.0), &[one], Ratio(0.5)).is_err());
        assert!(from_regulation(Volts(230.0), &[], Ratio(0.5)).is_err());
    }

    proptest! {
        /// Second method: load every secondary with its rated current in the two-winding T model and read the terminals.
        #[test]
        fn loaded_at_rating_every_secondary_gives_its_rated_voltage_and_loss_agrees(
            v1 in 5.0..60.0_f64, v2 in 5.0..60.0_f64, i1 in 0.1..10.0_f64, i2 in 0.1..10.0_f64,
            k in 1.03..1.4_f64, share in 0.2..0.8_f64,
        ) {
            let rated = |v, i| RatedSecondary { voltage: Volts(v), current: Amps(i), k: Ratio(k) };
            let all = from_regulation(Volts(230.0), &[rated(v1, i1), rated(v2, i2)], Ratio(share)).unwrap();
            let primary_a = (k * v1 * i1 + k * v2 * i2) / 230.0;
            let emf_ratio = (230.0 - all.primary.0 * primary_a) / 230.0;
            let at_1 = k * v1 * emf_ratio - all.secondaries[0].0 * i1;
            let at_2 = k * v2 * emf_ratio - all.secondaries[1].0 * i2;
            prop_assert!((at_1 - v1).abs() < 1e-9 * v1 && (at_2 - v2).abs() < 1e-9 * v2);
            let loss = all.primary.0 * primary_a.powi(2)
                + all.secondaries[0].0 * i1 * i1 + all.secondaries[1].0 * i2 * i2;
            let rated_loss = copper_loss_rated(Ratio(k), VoltAmps(v1 * i1 + v2 * i2)).0;
            prop_assert!((loss - rated_loss).abs() < 1e-9 * rated_loss);
        }
    }
}

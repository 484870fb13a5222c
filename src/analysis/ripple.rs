//! The ripple rating of a capacitor, and its ripple current weighted by the maker's frequency multipliers.
//!
//! Knows no limit but the rating itself.

use crate::{
    circuit::reservoir::Harmonic,
    document::{Fields, Value},
    physics::{
        domain::DomainError,
        reservoir::ripple::{Multipliers, equivalent},
    },
    quantity::{Amps, Hertz, Ratio},
};

/// Key of the first capacitor's rating.
pub(super) const FIRST: &str = "c1_ripple";
/// Key of the second capacitor's rating.
pub(super) const SECOND: &str = "c2_ripple";

/// A maker's ripple rating.
#[derive(Clone, Debug, PartialEq)]
pub struct RippleRating {
    /// Rated ripple current, rms.
    pub rated: Amps,
    /// Multipliers by frequency.
    pub multipliers: Multipliers,
}

/// One harmonic of the capacitor's current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighted {
    /// Order.
    pub order: u32,
    /// rms, A.
    pub rms_a: f64,
    /// The maker's multiplier at its frequency.
    pub multiplier: f64,
    /// `rms_a / multiplier`, A.
    pub weighted_a: f64,
}

/// A capacitor's ripple current against its rating.
#[derive(Clone, Debug, PartialEq)]
pub struct RippleUse {
    /// Key of the capacitor: `c1` or `c2`.
    pub capacitor: &'static str,
    /// Rated, A.
    pub rated_a: f64,
    /// `√(Σ(I_h/k_h)²)`, what the listed harmonics leave counted at the last multiplier, A.
    pub equivalent_a: f64,
    /// Every harmonic.
    pub harmonics: Vec<Weighted>,
}

/// Reads a rating.
pub(super) fn read(fields: &mut Fields<'_>, key: &'static str) -> Option<RippleRating> {
    fields.optional(key, rating)
}

fn rating(from: Value<'_>) -> Option<RippleRating> {
    let mut fields = from.fields()?;
    let rated = fields.required("rated", |value| value.quantity(Amps(1e-6)..=Amps(1e4)));
    let multipliers = fields.required("multipliers", multipliers);
    fields.finish();
    Some(RippleRating { rated: rated?, multipliers: multipliers? })
}

/// `[[50 Hz, 0.9], [100 Hz, 1]]`, in rising frequency.
fn multipliers(from: Value<'_>) -> Option<Multipliers> {
    let pairs = from.list_of_some(|item| {
        let mut parts = item.items()?;
        let (Some(frequency), Some(multiplier), None) = (parts.next(), parts.next(), parts.next()) else {
            item.refuse("this is no pair", "a frequency and a multiplier such as `[100 Hz, 1]`", None);
            return None;
        };
        let frequency: Option<Hertz> = frequency.quantity(Hertz(1.0)..=Hertz(1e7));
        let multiplier = multiplier.number(0.1..=10.0);
        Some((frequency?, Ratio(multiplier?)))
    })?;
    match Multipliers::new(&pairs) {
        Ok(multipliers) => Some(multipliers),
        Err(error) => {
            from.refuse(error.to_string(), "frequencies in rising order", None);
            None
        }
    }
}

/// A capacitor's current against its rating; an error where the mains lies below the first frequency of the table.
pub(super) fn weigh(
    capacitor: &'static str,
    rating: &RippleRating,
    total_a: f64,
    harmonics: &[Harmonic],
    mains: Hertz,
) -> Result<RippleUse, DomainError> {
    // What rounding leaves of a harmonic that is none would still ask for a multiplier at its frequency.
    let floor = 1e-9 * total_a;
    let mut list = Vec::new();
    for one in harmonics.iter().filter(|one| one.rms_a() > floor) {
        let frequency = Hertz(f64::from(one.order) * mains.0);
        let multiplier = rating.multipliers.at(frequency)?.0;
        let rms_a = one.rms_a();
        list.push(Weighted { order: one.order, rms_a, multiplier, weighted_a: rms_a / multiplier });
    }
    let pairs: Vec<(Hertz, Amps)> =
        list.iter().map(|one| (Hertz(f64::from(one.order) * mains.0), Amps(one.rms_a))).collect();
    let equivalent_a = equivalent(Amps(total_a), &pairs, &rating.multipliers)?.0;
    Ok(RippleUse { capacitor, rated_a: rating.rated.0, equivalent_a, harmonics: list })
}

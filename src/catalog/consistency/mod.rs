//! Whether the ratings of parts agree with one another and with physics.
//!
//! Knows nothing of how they are used. Bands without a published source are common practice and wide: they catch slips
//! of a digit or a unit, not a maker's optimism. A rating that is not stated is not judged.

mod choke;
mod electrolytic;
mod heat;
mod protection;
mod rectifier;
mod regulator;
mod transformer;
mod transistor;

use super::{Catalog, Common, PartId};

/// A rating that does not agree with the others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The part.
    pub part: PartId,
    /// Stable name of the check.
    pub check: &'static str,
    /// What was found and what was expected.
    pub message: String,
}

/// Every finding, by check and part.
pub fn consistency(catalog: &Catalog) -> Vec<Finding> {
    let mut judge = Judge::default();
    transformer::judge(catalog, &mut judge);
    rectifier::judge(catalog, &mut judge);
    electrolytic::judge(catalog, &mut judge);
    regulator::judge(catalog, &mut judge);
    transistor::judge(catalog, &mut judge);
    choke::judge(catalog, &mut judge);
    heat::judge(catalog, &mut judge);
    protection::judge(catalog, &mut judge);
    for common in catalog.commons() {
        offers(common, &mut judge);
    }
    judge.findings.sort_by(|a, b| (a.check, &a.part).cmp(&(b.check, &b.part)));
    judge.findings
}

/// A price does not rise with the quantity, and buying is possible in the first place.
fn offers(common: &Common, judge: &mut Judge) {
    for offer in &common.offers {
        let falls = offer.breaks.windows(2).all(|pair| match pair {
            [low, high] => low.from < high.from && low.each >= high.each,
            _ => true,
        });
        judge
            .holds(common, "offer-prices-fall", falls, || format!("the price of `{}` rises", offer.supplier));
        let sold = !offer.breaks.is_empty() && offer.pack > 0;
        judge.holds(common, "offer-sells", sold, || {
            format!("`{}` sells no pack at any price", offer.supplier)
        });
    }
}

/// Collects findings.
#[derive(Debug, Default)]
struct Judge {
    findings: Vec<Finding>,
}

impl Judge {
    /// Something that must be true.
    fn holds(&mut self, common: &Common, check: &'static str, holds: bool, why: impl FnOnce() -> String) {
        if !holds {
            self.findings.push(Finding { part: common.id.clone(), check, message: why() });
        }
    }

    /// A figure that must lie in a band; NaN does not.
    fn within(
        &mut self,
        common: &Common,
        check: &'static str,
        (what, unit): (&str, &str),
        found: f64,
        band: std::ops::RangeInclusive<f64>,
    ) {
        self.holds(common, check, band.contains(&found), || {
            format!("{what} is {found:.4} {unit}, expected {:.4} to {:.4} {unit}", band.start(), band.end())
        });
    }

    /// Two figures that must agree within a relative tolerance.
    fn agrees(
        &mut self,
        common: &Common,
        check: &'static str,
        (what, unit): (&str, &str),
        found: f64,
        expected: f64,
        tolerance: f64,
    ) {
        let close = (found - expected).abs() <= tolerance * expected.abs();
        self.holds(common, check, close, || {
            format!("{what} is {found:.4} {unit}, the other ratings give {expected:.4} {unit}")
        });
    }
}

/// Volume of the bounding box in cm³.
fn volume_cm3(common: &Common) -> f64 {
    common.volume().0 * 1e6
}

/// Mass over bounding box in g/cm³, if the mass is stated.
fn density(common: &Common) -> Option<f64> {
    Some(common.mass?.0 * 1e3 / volume_cm3(common))
}

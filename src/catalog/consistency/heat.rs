//! Checks of heat sinks and pads: resistance against size, power against rise, packages in order.

use super::{Judge, density, volume_cm3};
use crate::catalog::Catalog;

/// Volume of a finned sink for a resistance at a rise of 75 K: `620 cm³ · (R / 1 K/W)^−1.4`; a fit to the sizes of
/// common practice (clip 15 to 25, 40 × 40 × 25 mm 6 to 9, 100 × 100 mm extrusion 2 to 3, 150 × 75 mm with fins 1 to 1.5 K/W,
/// from memory) from 0.15 to 30 K/W.
const VOLUME_AT_1_K_W: f64 = 620.0;
/// Exponent of the fit.
const VOLUME_EXPONENT: f64 = -1.4;
/// Volume over the fit.
const VOLUME_BAND: std::ops::RangeInclusive<f64> = 0.3..=3.5;
/// Aluminium fins with air between, g/cm³.
const DENSITY: std::ops::RangeInclusive<f64> = 0.2..=2.0;
/// Rise that a stated greatest power may imply, in kelvins.
const RISE_AT_POWER: std::ops::RangeInclusive<f64> = 30.0..=110.0;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for sink in &catalog.sinks {
        let at_75_k = sink.resistance.0 * (sink.rise.0 / 75.0).powf(sink.exponent);
        let expected = VOLUME_AT_1_K_W * at_75_k.powf(VOLUME_EXPONENT);
        let what = ("volume over that of common practice", "");
        judge.within(&sink.common, "sink-volume", what, volume_cm3(&sink.common) / expected, VOLUME_BAND);
        if let Some(found) = density(&sink.common) {
            judge.within(&sink.common, "sink-density", ("mass over volume", "g/cm³"), found, DENSITY);
        }
        if let Some(power) = sink.power_max {
            let rise = power.0 * sink.resistance.0;
            judge.within(
                &sink.common,
                "sink-power",
                ("rise at the greatest power", "K"),
                rise,
                RISE_AT_POWER,
            );
        }
    }
    for pad in &catalog.pads {
        // A larger face conducts better through the same material.
        let faces = ["TO-220", "TO-247", "TO-3"].map(|package| pad.resistance.get(package).map(|at| at.0));
        let stated: Vec<f64> = faces.into_iter().flatten().collect();
        let falls = stated.windows(2).all(|pair| match pair {
            [small, large] => small >= large,
            _ => true,
        });
        judge.holds(&pad.common, "pad-faces", falls, || "a larger face has the larger resistance".to_owned());
    }
}

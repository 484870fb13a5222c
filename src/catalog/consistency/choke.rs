//! Checks of filter chokes: rise against copper loss and surface, energy against size, density.

use super::{Judge, density, volume_cm3};
use crate::{catalog::Catalog, physics::copper, quantity::Celsius};

/// Ambient at which the rise is stated, °C.
const AIR_C: f64 = 40.0;
/// Heat given off by the surface of the bounding box, W/(m² K): natural convection and radiation of a painted core.
const SURFACE: std::ops::RangeInclusive<f64> = 6.0..=20.0;
/// `L I²` over the volume of the bounding box, J/cm³.
const ENERGY: std::ops::RangeInclusive<f64> = 0.5e-3..=12e-3;
/// Iron and copper with air between, g/cm³.
const DENSITY: std::ops::RangeInclusive<f64> = 2.0..=7.0;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.chokes {
        let common = &part.common;
        let warm = copper::factor(Celsius(AIR_C + part.rise.0));
        let loss_w = part.resistance.0 * warm * part.current.0 * part.current.0;
        let [a, b, c] = common.envelope.map(|side| side.0);
        let surface = 2.0 * (a * b + b * c + c * a);
        judge.within(
            common,
            "choke-rise",
            ("copper loss over rise and surface", "W/(m² K)"),
            loss_w / (part.rise.0 * surface),
            SURFACE,
        );
        judge.within(
            common,
            "choke-energy",
            ("L I² over volume", "J/cm³"),
            part.inductance.0 * part.current.0 * part.current.0 / volume_cm3(common),
            ENERGY,
        );
        judge.holds(common, "choke-class", AIR_C + part.rise.0 <= part.winding_max.0, || {
            "the rise at the rated current is above what the insulation bears".to_owned()
        });
        if let Some(found) = density(common) {
            judge.within(common, "choke-density", ("mass over volume", "g/cm³"), found, DENSITY);
        }
    }
}

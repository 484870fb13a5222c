//! Checks of pass transistors: operating area against voltage, current and thermal resistance.

use super::Judge;
use crate::catalog::Catalog;

/// Base current of a saturated transistor: collector over base.
const FORCED_GAIN: std::ops::RangeInclusive<f64> = 1.5..=60.0;
/// Power of the flat part of the area over that of the junction-to-case resistance.
const POWER: std::ops::RangeInclusive<f64> = 0.5..=1.02;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.transistors {
        let common = &part.common;
        let (Some(first), Some(last)) = (part.operating_area.first(), part.operating_area.last()) else {
            continue;
        };
        judge.agrees(
            common,
            "transistor-area-voltage",
            ("last voltage of the operating area", "V"),
            last.0.0,
            part.collector_emitter_max.0,
            1e-9,
        );
        judge.holds(common, "transistor-area-current", first.1 <= part.collector_current, || {
            format!("the area allows {} A, the rating {} A", first.1.0, part.collector_current.0)
        });
        // No corner may take more than the junction can shed into a case at the stated temperature.
        let shed_w = (part.junction_max.0 - part.area_case.0) / part.junction_case.0;
        let most_w = part.operating_area.iter().map(|corner| corner.0.0 * corner.1.0).fold(0.0, f64::max);
        judge.within(
            common,
            "transistor-area-power",
            ("greatest power of the area over that of the junction", ""),
            most_w / shed_w,
            POWER,
        );
        judge.within(
            common,
            "transistor-base-current",
            ("collector current over base current", ""),
            part.collector_current.0 / part.base_current.0,
            FORCED_GAIN,
        );
        judge.holds(common, "transistor-gain-current", part.gain_current <= part.collector_current, || {
            "the gain is stated above the greatest collector current".to_owned()
        });
    }
}

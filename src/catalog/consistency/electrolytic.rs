//! Checks of electrolytic capacitors: ripple against heat and can, ESR against capacitance, volume, surge voltage.

use std::{collections::BTreeMap, f64::consts::PI};

use super::{Judge, density};
use crate::catalog::{Catalog, Electrolytic, family::capacitor::LifeBasis};

/// Heat that leaves a square metre of can per kelvin of core rise, W/(m² K). Common practice, no source.
const SURFACE_W_M2_K: std::ops::RangeInclusive<f64> = 5.0..=40.0;
/// Loss factor at the frequency of the ESR; the least is of low-ESR types. Common practice, no source.
const LOSS_FACTOR: std::ops::RangeInclusive<f64> = 0.02..=1.5;
/// Charge at rated voltage over the bounding cylinder, mC/cm³; small cans hold less. Common practice, no source.
const CHARGE_MC_CM3: std::ops::RangeInclusive<f64> = 0.3..=30.0;
/// Surge over rated voltage up to 315 V: 1.15, and makers round. Source: IEC 60384-4 (from memory).
const SURGE: std::ops::RangeInclusive<f64> = 1.05..=1.30;
/// Wet foil in aluminium over the bounding box, g/cm³. Common practice, no source.
const DENSITY: std::ops::RangeInclusive<f64> = 0.6..=2.2;
/// Ripple ratings are rounded, and neighbouring cans overlap a little.
const SLACK: f64 = 0.97;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.electrolytics {
        one(part, judge);
    }
    neighbours(catalog, judge);
}

fn surface_m2(part: &Electrolytic) -> f64 {
    let [_, _, length] = part.common.envelope.map(|side| side.0);
    let diameter = part.diameter.0;
    // Side and one end: the other stands on the board.
    PI * diameter * length + PI / 4.0 * diameter * diameter
}

fn one(part: &Electrolytic, judge: &mut Judge) {
    let common = &part.common;
    let heat = part.ripple.0.powi(2) * part.esr.0 / (surface_m2(part) * part.core_rise.0);
    let what = ("ripple heat over surface and core rise", "W/(m² K)");
    judge.within(common, "electrolytic-ripple", what, heat, SURFACE_W_M2_K);
    let tan = 2.0 * PI * part.esr_frequency.0 * part.capacitance.0 * part.esr.0;
    judge.within(common, "electrolytic-loss-factor", ("loss factor", ""), tan, LOSS_FACTOR);
    let [_, _, length] = common.envelope.map(|side| side.0);
    let can_cm3 = PI / 4.0 * part.diameter.0.powi(2) * length * 1e6;
    let charge = part.capacitance.0 * part.rated.0 * 1e3 / can_cm3;
    judge.within(common, "electrolytic-volume", ("charge over volume", "mC/cm³"), charge, CHARGE_MC_CM3);
    if let Some(surge) = part.surge {
        let what = ("surge over rated voltage", "");
        judge.within(common, "electrolytic-surge", what, surge / part.rated, SURGE);
    }
    if let Some(found) = density(common) {
        judge.within(common, "electrolytic-density", ("mass over volume", "g/cm³"), found, DENSITY);
    }
    let [width, depth, _] = common.envelope;
    judge.holds(common, "electrolytic-can", part.diameter <= width.min(depth), || {
        "the can does not fit its bounding box".to_owned()
    });
}

/// In one series and voltage: ripple grows with the can, ESR falls with capacitance.
fn neighbours(catalog: &Catalog, judge: &mut Judge) {
    let mut groups: BTreeMap<_, Vec<&Electrolytic>> = BTreeMap::new();
    for part in &catalog.electrolytics {
        let key = (
            part.common.maker.as_str(),
            part.common.package.as_str(),
            part.t_max.0.to_bits(),
            part.life_basis == LifeBasis::WithRipple,
            part.rated.0.to_bits(),
        );
        groups.entry(key).or_default().push(part);
    }
    for mut group in groups.into_values() {
        group.sort_by(|a, b| {
            surface_m2(a).total_cmp(&surface_m2(b)).then(a.capacitance.0.total_cmp(&b.capacitance.0))
        });
        for pair in group.windows(2) {
            let [small, large] = pair else { continue };
            let grows = large.ripple.0 >= SLACK * small.ripple.0;
            judge.holds(&large.common, "electrolytic-ripple-grows", grows, || {
                format!(
                    "ripple rating {} A is below that of the smaller `{}`",
                    large.ripple.0, small.common.id
                )
            });
        }
        group.sort_by(|a, b| a.capacitance.0.total_cmp(&b.capacitance.0));
        for pair in group.windows(2) {
            let [small, large] = pair else { continue };
            let falls = small.capacitance >= large.capacitance || large.esr.0 * SLACK <= small.esr.0;
            judge.holds(&large.common, "electrolytic-esr-falls", falls, || {
                format!("ESR {} Ω is above that of the smaller `{}`", large.esr.0, small.common.id)
            });
        }
    }
}

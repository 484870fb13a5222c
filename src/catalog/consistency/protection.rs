//! Checks of fuses, inrush limiters and resistors.

use std::collections::BTreeMap;

use super::Judge;
use crate::{
    catalog::{Catalog, Fuse, family::protection::FuseSystem},
    physics::fuse::GateTable,
    quantity::Amps,
};

/// Stated energy and capacitance are rounded to two digits.
const ROUNDING: f64 = 0.08;
/// Greatest critical resistance over the greatest value of a series. Common practice, no source.
const CRITICAL: f64 = 4.0;
/// Melting integrals are rounded to two digits.
const GATE_SLACK: f64 = 1.06;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for fuse in &catalog.fuses {
        gate(fuse, judge);
        breaking(fuse, judge);
    }
    melting_grows(catalog, judge);
    for part in &catalog.limiters {
        judge.holds(&part.common, "limiter-heats", part.hot < part.cold, || {
            "hot resistance is not below cold".to_owned()
        });
        if let (Some(energy), Some(most), Some(at)) =
            (part.energy_max, part.capacitance_max, part.energy_voltage)
        {
            // ½ C (√2 V)² = C V².
            let expected = most.0 * at.0 * at.0;
            judge.agrees(
                &part.common,
                "limiter-energy",
                ("greatest energy", "J"),
                energy.0,
                expected,
                ROUNDING,
            );
        }
    }
    for part in &catalog.resistors {
        // Below V_max²/P the power binds, above it the voltage; the series should reach near it at least.
        let ratio = part.voltage_max.0.powi(2) / (part.power.0 * part.to.0);
        let what = ("greatest voltage squared over power and greatest value", "");
        judge.within(&part.common, "resistor-voltage", what, ratio, 0.0..=CRITICAL);
    }
}

/// Table of gates of a rating system.
const fn table(system: FuseSystem) -> GateTable {
    match system {
        FuseSystem::Iec60127Sheet3 => GateTable::IecSheet3,
        FuseSystem::Iec60127Sheet5 => GateTable::IecSheet5,
        FuseSystem::Ul248 => GateTable::Ul24814Slow,
    }
}

/// The melting integral at ten times rated current lies between the gates there: `(10 I_n)² t`.
/// Source of the gates: IEC 60127-2 as quoted by makers.
fn gate(fuse: &Fuse, judge: &mut Judge) {
    let ten = Amps(10.0 * fuse.rated.0);
    let least = table(fuse.system).carries_for(fuse.rated, ten);
    let greatest = table(fuse.system).opens_within(fuse.rated, ten);
    if let (Some(least), Some(greatest)) = (least, greatest) {
        let band = ten.0 * ten.0 * least.0 / GATE_SLACK..=ten.0 * ten.0 * greatest.0 * GATE_SLACK;
        let what = ("melting integral", "A²s");
        judge.within(&fuse.common, "fuse-gate", what, fuse.melting_i2t.0, band);
    }
}

/// Low breaking capacity is 35 A or ten times rated current, the greater; high is 1500 A.
/// Source: IEC 60127-2, seen by example in makers' sheets.
fn breaking(fuse: &Fuse, judge: &mut Judge) {
    let least = match fuse.system {
        FuseSystem::Iec60127Sheet3 => 35.0_f64.max(10.0 * fuse.rated.0),
        FuseSystem::Iec60127Sheet5 => 1500.0,
        FuseSystem::Ul248 => 35.0,
    };
    judge.holds(&fuse.common, "fuse-breaking", fuse.breaking.0 >= 0.999 * least, || {
        format!("breaking capacity {} A is below {least} A", fuse.breaking.0)
    });
}

/// In one series the melting integral grows and the cold resistance falls with rated current.
fn melting_grows(catalog: &Catalog, judge: &mut Judge) {
    let mut groups: BTreeMap<_, Vec<&Fuse>> = BTreeMap::new();
    for fuse in &catalog.fuses {
        groups.entry((fuse.common.maker.as_str(), fuse.system)).or_default().push(fuse);
    }
    for mut group in groups.into_values() {
        group.sort_by(|a, b| a.rated.0.total_cmp(&b.rated.0));
        for pair in group.windows(2) {
            let [small, large] = pair else { continue };
            judge.holds(&large.common, "fuse-melting-grows", large.melting_i2t > small.melting_i2t, || {
                format!("melting integral is not above that of the smaller `{}`", small.common.id)
            });
            if let (Some(low), Some(high)) = (large.cold_resistance, small.cold_resistance) {
                judge.holds(&large.common, "fuse-resistance-falls", low < high, || {
                    format!("cold resistance is not below that of the smaller `{}`", small.common.id)
                });
            }
        }
    }
}

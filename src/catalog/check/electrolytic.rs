//! Rows of aluminium electrolytic capacitors.

use super::row::Row;
use crate::{
    catalog::{Common, Electrolytic, family::capacitor::LifeBasis},
    document::Value,
    quantity::{Amps, Farads, Hertz, Hours, Kelvins, Metres, Ohms, Ratio, Volts},
};

const BASES: [(&str, LifeBasis); 2] =
    [("with ripple", LifeBasis::WithRipple), ("without ripple", LifeBasis::WithoutRipple)];
const VOLTAGE: std::ops::RangeInclusive<Volts> = Volts(1.0)..=Volts(1000.0);
const RATIO: std::ops::RangeInclusive<Ratio> = Ratio(0.0)..=Ratio(0.9);
const FREQUENCY: std::ops::RangeInclusive<Hertz> = Hertz(10.0)..=Hertz(1e6);

pub(super) fn read(row: &mut Row<'_, '_>, common: Option<Common>) -> Option<Electrolytic> {
    let capacitance = row.required("capacitance", |v| v.quantity(Farads(1e-8)..=Farads(10.0)));
    let tolerance_minus = row.required("tolerance_minus", |v| v.quantity(RATIO));
    let tolerance_plus = row.required("tolerance_plus", |v| v.quantity(Ratio(0.0)..=Ratio(2.0)));
    let rated = row.required("rated", |v| v.quantity(VOLTAGE));
    let surge = row.optional("surge", |v| v.quantity(VOLTAGE));
    let esr = row.required("esr", |v| v.quantity(Ohms(1e-5)..=Ohms(1e3)));
    let esr_frequency = row.required("esr_frequency", |v| v.quantity(FREQUENCY));
    let esr_cold_ratio = row.required("esr_cold_ratio", |v| v.number(1.0..=100.0));
    let capacitance_cold_ratio = row.required("capacitance_cold_ratio", |v| v.number(0.05..=1.0));
    let ripple = row.required("ripple", |v| v.quantity(Amps(1e-3)..=Amps(500.0)));
    let ripple_frequency = row.required("ripple_frequency", |v| v.quantity(Hertz(100.0)..=Hertz(120.0)));
    let ripple_multipliers = row.required("ripple_multipliers", multipliers);
    let core_rise = row.required("core_rise", |v| v.quantity(Kelvins(0.5)..=Kelvins(40.0)));
    let life = row.required("life", |v| v.quantity(Hours(100.0)..=Hours(1e6)));
    let life_basis = row.required("life_basis", |v| v.word(&BASES));
    let end_capacitance_loss = row.required("end_capacitance_loss", |v| v.quantity(RATIO));
    let end_esr_factor = row.required("end_esr_factor", |v| v.number(1.0..=20.0));
    let leakage = row.optional("leakage", |v| v.quantity(Amps(1e-9)..=Amps(1.0)));
    let diameter = row.required("diameter", |v| v.quantity(Metres(2e-3)..=Metres(0.5)));
    let vent_gap = row.optional("vent_gap", |v| v.quantity(Metres(0.0)..=Metres(0.1)));
    if let (Some(surge), Some(rated)) = (surge, rated)
        && surge < rated
    {
        row.refuse("`surge` is below `rated`", &format!("{} V", surge.0), "`surge` of at least `rated`");
    }
    let common = common?;
    Some(Electrolytic {
        // The temperature range of an electrolytic is its category.
        t_max: common.temperature_max,
        t_min: common.temperature_min,
        common,
        capacitance: capacitance?,
        tolerance_minus: tolerance_minus?,
        tolerance_plus: tolerance_plus?,
        rated: rated?,
        surge,
        esr: esr?,
        esr_frequency: esr_frequency?,
        esr_cold_ratio: Ratio(esr_cold_ratio?),
        capacitance_cold_ratio: Ratio(capacitance_cold_ratio?),
        ripple: ripple?,
        ripple_frequency: ripple_frequency?,
        ripple_multipliers: ripple_multipliers?,
        core_rise: core_rise?,
        life: life?,
        life_basis: life_basis?,
        end_capacitance_loss: end_capacitance_loss?,
        end_esr_factor: end_esr_factor?,
        leakage,
        diameter: diameter?,
        vent_gap,
    })
}

/// Pairs of frequency and multiplier, both rising.
fn multipliers(value: Value<'_>) -> Option<Vec<(Hertz, f64)>> {
    let pairs = value.list_of_some(|item| {
        let mut parts = item.items()?;
        let (frequency, multiplier) = (parts.next(), parts.next());
        let (Some(frequency), Some(multiplier), None) = (frequency, multiplier, parts.next()) else {
            item.refuse("this is no pair", "a frequency and a multiplier such as `[100 Hz, 1]`", None);
            return None;
        };
        let (frequency, multiplier) = (frequency.quantity(FREQUENCY), multiplier.number(0.1..=10.0));
        Some((frequency?, multiplier?))
    })?;
    let rising = pairs.windows(2).all(|pair| match pair {
        [low, high] => low.0 < high.0 && low.1 <= high.1,
        _ => true,
    });
    if !rising {
        value.refuse(format!("{} does not rise", value.name()), "frequency and multiplier rising", None);
        return None;
    }
    Some(pairs)
}

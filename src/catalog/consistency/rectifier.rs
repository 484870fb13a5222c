//! Checks of rectifiers: heating integral, forward characteristic, curves, heat at the rated current.

use std::f64::consts::FRAC_PI_2;

use super::Judge;
use crate::{
    catalog::{
        Catalog, Common,
        family::rectifier::{CurrentCurve, Element, Reference, ThermalPath},
    },
    quantity::Volts,
};

/// Heating integral and surge current are rounded to three digits.
const ROUNDING: f64 = 0.03;
/// Kelvins by which the junction may pass its limit at the rated current: forward voltage is a maximum, the rating is not.
const HEAT_ALLOWANCE_K: f64 = 5.0;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.diodes {
        element(&part.common, &part.element, &part.thermal, judge);
        let average = part.average.rated.0;
        if let Some(rms) = part.element.rms_max {
            // A half sine of average I has rms π/2 · I.
            let what = ("rms over average current", "");
            judge.within(&part.common, "rectifier-rms", what, rms.0 / average, 1.5..=3.0);
        }
        curve(&part.common, &part.average, &part.thermal, loss_w(&part.element, average, 1.0), judge);
    }
    for part in &catalog.bridges {
        element(&part.common, &part.element, &part.thermal, judge);
        let output = part.output.rated.0;
        if let Some(rms) = part.element.rms_max {
            let what = ("rms of an element over half the output current", "");
            judge.within(&part.common, "rectifier-rms", what, rms.0 / (output / 2.0), 1.5..=3.0);
        }
        curve(&part.common, &part.output, &part.thermal, loss_w(&part.element, output / 2.0, 4.0), judge);
    }
}

fn element(common: &Common, element: &Element, thermal: &ThermalPath, judge: &mut Judge) {
    if let Some(i2t) = element.i2t {
        // ∫(I sin)² over one half sine of length t.
        let expected = element.surge.0.powi(2) * element.surge_pulse.0 / 2.0;
        judge.agrees(common, "rectifier-i2t", ("heating integral", "A²s"), i2t.0, expected, ROUNDING);
    }
    if let Some(surge) = element.reverse_surge {
        judge.holds(common, "rectifier-reverse-surge", surge >= element.reverse_repetitive, || {
            format!("reverse surge voltage {} V is below the repetitive one", surge.0)
        });
    }
    let mut points = element.forward.clone();
    points.sort_by(|a, b| a.junction.0.total_cmp(&b.junction.0).then(a.current.0.total_cmp(&b.current.0)));
    let rises = points.windows(2).all(|pair| match pair {
        [low, high] if low.junction == high.junction => {
            low.current < high.current && low.voltage < high.voltage
        }
        _ => true,
    });
    judge.holds(common, "rectifier-forward", rises, || {
        "forward voltage does not rise with current at one junction temperature".to_owned()
    });
    // Junction and barrier drop alike fall with temperature at the currents of rectifiers.
    let falls = points.iter().all(|cold| {
        let hotter = points.iter().filter(|hot| hot.current == cold.current && hot.junction > cold.junction);
        hotter.fold(Volts(f64::NEG_INFINITY), |most, hot| most.max(hot.voltage)) <= cold.voltage
    });
    judge.holds(common, "rectifier-forward-heat", falls, || {
        "forward voltage rises with temperature at one current".to_owned()
    });
    if let (Some(air), Some(case)) = (thermal.junction_air, thermal.junction_case) {
        judge.holds(common, "rectifier-thermal", case < air, || {
            format!("junction to case {} K/W is not below junction to air {} K/W", case.0, air.0)
        });
    }
}

/// Loss of `count` elements, each with a half sine of that average on the hot characteristic.
fn loss_w(element: &Element, average_a: f64, count: f64) -> Option<f64> {
    let hottest = element.forward.iter().map(|point| point.junction.0).fold(f64::NEG_INFINITY, f64::max);
    let mut hot = element.forward.iter().filter(|point| point.junction.0 >= hottest);
    let (first, second) = (hot.next()?, hot.next()?);
    let slope = (second.voltage.0 - first.voltage.0) / (second.current.0 - first.current.0);
    let threshold = first.voltage.0 - slope * first.current.0;
    let rms = FRAC_PI_2 * average_a;
    Some(count * (threshold * average_a + slope * rms * rms))
}

/// At the rated current and the end of the flat part the junction is within its limit.
fn curve(common: &Common, curve: &CurrentCurve, thermal: &ThermalPath, loss: Option<f64>, judge: &mut Judge) {
    judge.holds(common, "rectifier-curve", curve.zero_at <= thermal.junction_max, || {
        format!("the current curve reaches {} °C, above the junction limit", curve.zero_at.0)
    });
    let resistance = match curve.reference {
        Reference::Ambient => thermal.junction_air,
        Reference::Case => thermal.junction_case,
        Reference::Lead => None,
    };
    if let (Some(resistance), Some(loss)) = (resistance, loss) {
        let junction = curve.full_to.0 + loss * resistance.0;
        let limit = thermal.junction_max.0 + HEAT_ALLOWANCE_K;
        let what = ("junction temperature at the rated current", "°C");
        judge.within(common, "rectifier-heat", what, junction, -55.0..=limit);
    }
}

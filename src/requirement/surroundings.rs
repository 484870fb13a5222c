//! Reads what surrounds the supply: the mains and the air.
//!
//! Knows nothing of outputs.

use super::{
    Ambient, Enclosure, Mains,
    assume::{Defaults, Section},
};
use crate::document::{Fields, Value};
use crate::quantity::{Amps, Celsius, Hertz, Kelvins, KelvinsPerWatt, Metres, Ohms, Ratio, Volts};

/// Greatest tolerance of the mains, each way.
const TOLERANCE_MAX: f64 = 0.3;
/// From this voltage on, mains has 50 Hz nearly everywhere; below, both frequencies are common.
const FIFTY_HERTZ_FROM: Volts = Volts(200.0);

pub(super) fn mains(value: Value<'_>, defaults: &mut Defaults) -> Option<Mains> {
    let mut map = value.fields()?;
    let voltage = map.required("voltage", |v| v.quantity(Volts(90.0)..=Volts(277.0)));
    let tolerance = map.optional("tolerance", tolerance);
    let why = "supply voltage characteristics of public networks, EN 50160 (from memory)";
    let ten = (Ratio(0.1), Ratio(0.1));
    let (low, high) = defaults.or_written("mains.tolerance", tolerance, ten, "10 %", why);
    let high_voltage = voltage.is_some_and(|volts| volts >= FIFTY_HERTZ_FROM);
    if !high_voltage && map.get("frequency").is_none() {
        map.missing("frequency");
    }
    let frequency = map.optional("frequency", |v| v.quantity(Hertz(45.0)..=Hertz(66.0)));
    let frequency =
        defaults.or("mains.frequency", frequency, Hertz(50.0), "nearly all mains of 200 V and more");
    let spread = map.optional("frequency_tolerance", |v| v.quantity(Ratio(0.0)..=Ratio(0.1)));
    let why = "interconnected networks keep within it, EN 50160 (from memory)";
    let frequency_tolerance = defaults.or("mains.frequency_tolerance", spread, Ratio(0.01), why);
    let peak = map.optional("peak_factor", |v| v.quantity(Ratio(0.8)..=Ratio(1.05)));
    let peak_factor = defaults.or("mains.peak_factor", peak, Ratio(1.0), "a sine wave");
    let source_resistance = map.optional("source_resistance", |v| v.quantity(Ohms(0.0)..=Ohms(20.0)));
    let prospective = map.optional("prospective_current", |v| v.quantity(Amps(10.0)..=Amps(100e3)));
    let why = "an outlet near the distribution board; common practice";
    let prospective_current = defaults.or("mains.prospective_current", prospective, Amps(1500.0), why);
    map.finish();
    Some(Mains {
        voltage: voltage?,
        low,
        high,
        frequency,
        frequency_tolerance,
        peak_factor,
        source_resistance,
        prospective_current,
    })
}

/// `10 %` both ways, or `{ low: -15 %, high: 10 % }`. Both results are magnitudes.
fn tolerance(value: Value<'_>) -> Option<(Ratio, Ratio)> {
    if !value.is_map() {
        return value.quantity(Ratio(0.0)..=Ratio(TOLERANCE_MAX)).map(|both| (both, both));
    }
    let mut map = value.fields()?;
    let low = map.required("low", |v| v.quantity(Ratio(-TOLERANCE_MAX)..=Ratio(0.0)));
    let high = map.required("high", |v| v.quantity(Ratio(0.0)..=Ratio(TOLERANCE_MAX)));
    map.finish();
    Some((Ratio(-low?.0 + 0.0), high?))
}

pub(super) fn ambient(map: &mut Fields<'_>, defaults: &mut Defaults) -> Ambient {
    let mut section = Section::of(map, "ambient");
    let range = Celsius(-55.0)..=Celsius(100.0);
    let [min, nominal, max] =
        ["min", "nominal", "max"].map(|key| section.optional(key, |v| v.quantity(range.clone())));
    let why = "heated rooms; common practice";
    let min = defaults.or("ambient.min", min, Celsius(0.0), why);
    let max = defaults.or("ambient.max", max, Celsius(40.0), why);
    if min > max
        && let Some(value) = section.get("min").or(section.get("max"))
    {
        let allowed = format!("at most `max`, {}", text(max));
        value.refuse("`min` is above `max`", allowed, Some("exchange the two"));
    }
    let middle = Celsius(25.0).max(min).min(max.max(min));
    if let (Some(nominal), Some(value)) = (nominal, section.get("nominal"))
        && min <= max
        && !(min..=max).contains(&nominal)
    {
        value.refuse(
            "`nominal` lies outside `min` and `max`",
            format!("{} to {}", text(min), text(max)),
            None,
        );
    }
    let nominal = defaults.or("ambient.nominal", nominal, middle, "the usual room, kept inside the range");
    let altitude = section.optional("altitude", |v| v.quantity(Metres(0.0)..=Metres(5000.0)));
    let altitude =
        defaults.or("ambient.altitude", altitude, Metres(1000.0), "most places lie lower; common practice");
    let rise = section.optional("enclosure_rise", |v| v.quantity(Kelvins(0.0)..=Kelvins(60.0)));
    let resistance =
        section.optional("enclosure_resistance", |v| v.quantity(KelvinsPerWatt(0.0)..=KelvinsPerWatt(20.0)));
    if let (Some(_), Some(value)) = (rise, section.get("enclosure_resistance")) {
        value.refuse("`enclosure_rise` and `enclosure_resistance` are both stated", "one of the two", None);
    }
    let enclosure = match (rise, resistance) {
        (None, Some(resistance)) => Enclosure::Resistance(resistance),
        (rise, _) => {
            let why = "a vented enclosure, 10 K to 15 K; common practice";
            Enclosure::Rise(defaults.or("ambient.enclosure_rise", rise, Kelvins(15.0), why))
        }
    };
    section.finish();
    Ambient { min, nominal, max, altitude, enclosure }
}

fn text(value: Celsius) -> String {
    use crate::quantity::Quantity as _;
    format!("`{}`", value.to_exact_text())
}

//! Reads the outputs and what is asked of each.
//!
//! Knows nothing of the mains or of parts.

use std::collections::BTreeMap;

use super::{Polarity, Rail, Regulation, Ripple, assume::Defaults, model::PeakLoad};
use crate::document::{Fault, Fields, Span, Value};
use crate::quantity::{Amps, Farads, Quantity as _, Ratio, Seconds, Volts};

/// Greatest current of an output.
const CURRENT_MAX: Amps = Amps(50.0);

pub(super) fn rails(value: Value<'_>, defaults: &mut Defaults) -> Option<Vec<Rail>> {
    let mut names: BTreeMap<String, Span> = BTreeMap::new();
    value.list_of_some(|item| {
        let mut map = item.fields()?;
        let name = map.required("name", Value::text);
        if let (Some(name), Some(value)) = (&name, map.get("name")) {
            if let Some(first) = names.get(name) {
                let fault = Fault::new(value.span(), format!("duplicate rail `{name}`"));
                value.report(
                    fault
                        .found(format!("`{name}` a second time"))
                        .allowed("a name of its own")
                        .other(*first, "first here"),
                );
            } else {
                names.insert(name.clone(), value.span());
            }
        }
        // Defaults of a rail without a name are never printed: the file is refused.
        let key = |key: &str| format!("rails.{}.{key}", name.as_deref().unwrap_or("?"));
        let rail = rail(&mut map, &key, defaults);
        map.finish();
        let rail = rail?;
        Some(Rail { name: name?, ..rail })
    })
}

fn rail(map: &mut Fields<'_>, key: &dyn Fn(&str) -> String, defaults: &mut Defaults) -> Option<Rail> {
    let voltage = map.required("voltage", |v| v.quantity(Volts(0.5)..=Volts(400.0)));
    let regulation = map.optional("regulation", |v| {
        v.word(&[
            ("any", Regulation::Any),
            ("fixed", Regulation::Fixed),
            ("adjustable", Regulation::Adjustable),
            ("none", Regulation::None),
        ])
    });
    let why = "regulated; the catalog decides by which kind";
    let regulation = defaults.or_written(&key("regulation"), regulation, Regulation::Any, "any", why);
    let tolerance = map.optional("tolerance", |v| v.quantity(Ratio(0.001)..=Ratio(0.6)));
    let tolerance = if regulation == Regulation::None {
        if map.get("tolerance").is_none() {
            map.missing("tolerance");
        }
        tolerance
    } else {
        Some(defaults.or(
            &key("tolerance"),
            tolerance,
            Ratio(0.05),
            "the usual window of a logic supply; common practice",
        ))
    };
    let words = [("positive", Polarity::Positive), ("negative", Polarity::Negative)];
    let polarity = map.optional("polarity", |v| v.word(&words));
    let polarity =
        defaults.or_written(&key("polarity"), polarity, Polarity::Positive, "positive", "the usual sign");
    let current = map.required("current", |v| current(v, key, defaults));
    let peak = map.optional("peak", |v| peak(v, current, key, defaults));
    let ripple = map.required("ripple_pp", |v| v.quantity(Volts(1e-6)..=Volts(100.0)));
    if let (Some(volts), Some(pp), Some(value)) = (voltage, ripple, map.get("ripple_pp"))
        && pp >= volts
    {
        let allowed = format!("less than `voltage`, `{}`", volts.to_exact_text());
        value.refuse("`ripple_pp` is not below the voltage", allowed, None);
    }
    let hold_up = map.optional("hold_up", |v| v.quantity(Seconds(1e-4)..=Seconds(10.0)));
    let load = map.optional("load_capacitance", |v| v.quantity(Farads(0.0)..=Farads(1.0)));
    let load_capacitance = defaults.or(&key("load_capacitance"), load, Farads(0.0), "nothing stated");
    let (current_min, current_max) = current?;
    Some(Rail {
        name: String::new(),
        voltage: voltage?,
        tolerance: tolerance?,
        polarity,
        current_min,
        current_max,
        peak,
        ripple: Ripple(ripple?),
        regulation,
        hold_up,
        load_capacitance,
    })
}

/// `1 A` (then the least current is zero), or `{ min: 10 mA, max: 1 A }`.
fn current(value: Value<'_>, key: &dyn Fn(&str) -> String, defaults: &mut Defaults) -> Option<(Amps, Amps)> {
    let most = |v: Value<'_>| v.quantity(Amps(1e-3)..=CURRENT_MAX);
    let why = "the load may be taken off: highest voltages";
    if !value.is_map() {
        let max = most(value)?;
        return Some((defaults.or(&key("current.min"), None, Amps(0.0), why), max));
    }
    let mut map = value.fields()?;
    let min = map.optional("min", |v| v.quantity(Amps(0.0)..=CURRENT_MAX));
    let max = map.required("max", most);
    if let (Some(least), Some(greatest), Some(value)) = (min, max, map.get("min"))
        && least > greatest
    {
        let allowed = format!("at most `max`, `{}`", greatest.to_exact_text());
        value.refuse("`min` is above `max`", allowed, Some("exchange the two"));
    }
    map.finish();
    Some((defaults.or(&key("current.min"), min, Amps(0.0), why), max?))
}

/// A peak above the continuous current. Its share of the time is stated, or the period with which it comes back; else it
/// counts as if it lasted.
fn peak(
    value: Value<'_>,
    continuous: Option<(Amps, Amps)>,
    key: &dyn Fn(&str) -> String,
    defaults: &mut Defaults,
) -> Option<PeakLoad> {
    let mut map = value.fields()?;
    let current = map.required("current", |v| v.quantity(Amps(1e-3)..=CURRENT_MAX));
    let duration = map.required("duration", |v| v.quantity(Seconds(1e-6)..=Seconds(3600.0)));
    let share = map.optional("share", |v| v.quantity(Ratio(0.0)..=Ratio(1.0)));
    let period = map.optional("period", |v| v.quantity(Seconds(1e-6)..=Seconds(1e6)));
    let (states_share, states_period) = (map.get("share").is_some(), map.get("period").is_some());
    if let (Some(duration), Some(period), Some(value)) = (duration, period, map.get("period"))
        && period < duration
    {
        let allowed = format!("at least the duration, `{}`", duration.to_exact_text());
        value.refuse("the peak comes back before it ends", allowed, None);
    }
    if let (true, Some(value)) = (states_share, map.get("period")) {
        value.refuse("the peak states `share` and `period`", "one of the two", Some("leave one out"));
    }
    let share = match (states_share, states_period) {
        (true, _) => share,
        (false, true) => period.zip(duration).map(|(period, duration)| Ratio(duration.0 / period.0)),
        (false, false) => {
            let why = "nothing stated of how often the peak comes: it counts as if it lasted";
            Some(defaults.or(&key("peak.share"), None, Ratio(1.0), why))
        }
    };
    if let (Some(peak), Some((_, max)), Some(value)) = (current, continuous, map.get("current"))
        && peak < max
    {
        let allowed = format!("at least the continuous current, `{}`", max.to_exact_text());
        value.refuse("the peak is below the continuous current", allowed, None);
    }
    map.finish();
    Some(PeakLoad { current: current?, duration: duration?, share: share? })
}

//! Waivers: one stress of one position let pass up to a limit, by somebody, for a reason, until a day.
//!
//! Reads the file and reports every fault at once. Whether a stress of that name exists, or the grant suffices, is for the
//! review to say.
//!
//! ```yaml
//! waivers:
//!   - rail: main
//!     position: reservoir                 # as records write it
//!     stress: reservoir-ripple-current    # code of the rule
//!     limit: 2.6 A                        # what is granted, in the unit of the stress
//!     reason: full load lasts ten minutes a day
//!     role: head of design                # who signs
//!     expires: 2027-06-30                 # last day on which it counts
//! ```

use crate::{
    document::{self, Faults, Source, Value},
    quantity::{
        Amps, AmpsSquaredSeconds, Celsius, Farads, Joules, Ohms, Quantity, Ratio, Seconds, Volts, Watts,
    },
};

/// A limit granted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Granted {
    /// Value in SI units; a temperature in °C.
    pub value: f64,
    /// Symbol of the SI unit; empty for a plain number.
    pub unit: &'static str,
}

/// One waiver.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiver {
    /// Rail.
    pub rail: String,
    /// Position, as records write it.
    pub position: String,
    /// Code of the rule.
    pub stress: String,
    /// Limit granted.
    pub limit: Granted,
    /// The same as it is written.
    pub limit_text: String,
    /// Why.
    pub reason: String,
    /// Role of the signatory.
    pub role: String,
    /// Last day on which it counts, `YYYY-MM-DD`.
    pub expires: String,
}

/// Reads a file of waivers.
pub fn read(source: &Source) -> Result<Vec<Waiver>, Faults> {
    document::read(source, |root| {
        let mut map = root.fields()?;
        let waivers = map.required("waivers", waivers);
        map.finish();
        waivers
    })
}

fn waivers(value: Value<'_>) -> Option<Vec<Waiver>> {
    let mut all: Vec<Waiver> = Vec::new();
    for item in value.items()? {
        let Some(one) = waiver(item) else { continue };
        let same = |other: &Waiver| {
            (&other.rail, &other.position, &other.stress) == (&one.rail, &one.position, &one.stress)
        };
        if all.iter().any(same) {
            item.refuse("this stress is waived twice", "one waiver a stress", None);
        }
        all.push(one);
    }
    Some(all)
}

fn waiver(value: Value<'_>) -> Option<Waiver> {
    let mut map = value.fields()?;
    let rail = map.required("rail", Value::text);
    let position = map.required("position", Value::text);
    let stress = map.required("stress", Value::text);
    let limit = map.required("limit", |v| Some((granted(v)?, v.text()?)));
    let reason = map.required("reason", Value::text);
    let role = map.required("role", Value::text);
    let expires = map.required("expires", day);
    map.finish();
    let (limit, limit_text) = limit?;
    Some(Waiver {
        rail: rail?,
        position: position?,
        stress: stress?,
        limit,
        limit_text,
        reason: reason?,
        role: role?,
        expires: expires?,
    })
}

/// A limit in the unit of a stress, which this storey does not know.
fn granted(value: Value<'_>) -> Option<Granted> {
    fn si<Q: Quantity>(text: &str, unit: &'static str) -> Option<Granted> {
        Q::from_text(text).ok().map(|quantity| Granted { value: quantity.si(), unit })
    }
    let text = value.str()?;
    if let Some(volts) = text.strip_suffix("/Hz") {
        return si::<Volts>(volts, "V/Hz").or_else(|| refuse_limit(value));
    }
    si::<Volts>(text, "V")
        .or_else(|| si::<Amps>(text, "A"))
        .or_else(|| si::<Watts>(text, "W"))
        .or_else(|| si::<Celsius>(text, "°C"))
        .or_else(|| si::<Seconds>(text, "s"))
        .or_else(|| si::<AmpsSquaredSeconds>(text, "A²s"))
        .or_else(|| si::<Joules>(text, "J"))
        .or_else(|| si::<Farads>(text, "F"))
        .or_else(|| si::<Ohms>(text, "Ω"))
        .or_else(|| si::<Ratio>(text, ""))
        .or_else(|| {
            text.parse().ok().filter(|v: &f64| v.is_finite()).map(|value| Granted { value, unit: "" })
        })
        .or_else(|| refuse_limit(value))
}

fn refuse_limit(value: Value<'_>) -> Option<Granted> {
    value.refuse(
        "`limit` is no limit of a stress",
        "a number with the unit of the stress",
        Some("write `2.6 A`"),
    );
    None
}

/// A day of the calendar, `YYYY-MM-DD`.
fn day(value: Value<'_>) -> Option<String> {
    let text = value.str()?;
    if is_day(text) {
        return Some(text.to_owned());
    }
    value.refuse(format!("{} is no day", value.name()), "a day as `2027-06-30`", None);
    None
}

/// Whether a text is a day of the Gregorian calendar, `YYYY-MM-DD`.
pub fn is_day(text: &str) -> bool {
    let mut parts = text.split('-');
    let mut number = |digits: usize| {
        parts
            .next()
            .filter(|part| part.len() == digits && part.bytes().all(|b| b.is_ascii_digit()))
            .and_then(|part| part.parse::<u32>().ok())
    };
    let (Some(year), Some(month), Some(day)) = (number(4), number(2), number(2)) else { return false };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => return false,
    };
    parts.next().is_none() && (1..=days).contains(&day)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: &str = "\
waivers:
  - rail: main
    position: reservoir
    stress: reservoir-ripple-current
    limit: 2.6 A
    reason: full load lasts ten minutes a day
    role: head of design
    expires: 2028-02-29
";

    #[test]
    fn a_waiver_keeps_what_is_granted_in_si_units() {
        let waivers = read(&Source::new("waivers.yaml", ONE)).unwrap();
        assert_eq!(waivers.len(), 1);
        assert_eq!(waivers[0].limit, Granted { value: 2.6, unit: "A" });
        let granted = |text: &str| {
            read(&Source::new("waivers.yaml", ONE.replace("2.6 A", text))).map(|all| all[0].limit).ok()
        };
        assert_eq!(granted("4.7 V/Hz"), Some(Granted { value: 4.7, unit: "V/Hz" }));
        assert_eq!(granted("95 °C"), Some(Granted { value: 95.0, unit: "°C" }));
        assert_eq!(granted("5 h"), Some(Granted { value: 18_000.0, unit: "s" }));
        assert_eq!(granted("12 A²s").map(|one| one.unit), Some("A²s"));
        assert_eq!(granted("85 %"), Some(Granted { value: 0.85, unit: "" }));
        assert_eq!(granted("much"), None);
    }

    #[test]
    fn all_faults_of_a_file_of_waivers_are_named_at_once() {
        let text =
            ONE.replace("2.6 A", "much").replace("    role: head of design\n", "").replace("02-29", "02-30");
        let faults = read(&Source::new("waivers.yaml", text)).unwrap_err();
        let found: Vec<usize> = faults.iter().map(|(s, f)| s.line_column(f.span.start).0).collect();
        assert_eq!(found, [2, 5, 7]);
        let twice = format!("{ONE}{}", ONE.strip_prefix("waivers:\n").unwrap());
        assert_eq!(read(&Source::new("waivers.yaml", twice)).unwrap_err().iter().count(), 1);
    }

    /// Source: the Gregorian rule of leap years.
    #[test]
    fn only_days_of_the_calendar_are_days() {
        for day in ["2026-01-31", "2028-02-29", "2000-02-29", "2026-12-01"] {
            assert!(is_day(day), "{day}");
        }
        for not in [
            "2026-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-1-01",
            "26-01-01",
            "2026-01-01-1",
            "",
            "2026-04-31",
        ] {
            assert!(!is_day(not), "{not}");
        }
    }
}

//! One branch of a circuit file: its filter and its load.
//!
//! Knows the keys of both; the ranges stand with the inputs.

use super::input::{self, Input};
use crate::{
    circuit::spec::{Branch, Capacitor, Choke, Filter, Load},
    document::{Fields, Value},
    quantity::{Amps, Farads, Henries, Ohms, Volts, Watts},
};

/// A branch with the knee of its load.
pub(super) struct ReadBranch {
    pub(super) branch: Branch,
    pub(super) knee: Option<Volts>,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    None,
    Reservoir,
    Crc,
    Clc,
    Lc,
    Rc,
}

const KINDS: [(&str, Kind); 6] = [
    ("none", Kind::None),
    ("reservoir", Kind::Reservoir),
    ("crc", Kind::Crc),
    ("clc", Kind::Clc),
    ("lc", Kind::Lc),
    ("rc", Kind::Rc),
];

/// Reads one value as an input.
pub(super) fn value(of: Input) -> impl Fn(Value<'_>) -> Option<f64> {
    move |value| of.measure.read(value, of.range)
}

fn last(of: Input) -> &'static str {
    of.path.rsplit('.').next().unwrap_or(of.path)
}

pub(super) fn need(fields: &mut Fields<'_>, of: Input) -> Option<f64> {
    fields.required(last(of), value(of))
}

pub(super) fn or_zero(fields: &mut Fields<'_>, of: Input) -> f64 {
    fields.optional(last(of), value(of)).unwrap_or(0.0)
}

fn first(fields: &mut Fields<'_>) -> Option<Capacitor> {
    let (farads, esr) = (need(fields, input::C1), or_zero(fields, input::ESR1));
    Some(Capacitor { capacitance: Farads(farads?), esr: Ohms(esr) })
}

fn second(fields: &mut Fields<'_>) -> Option<Capacitor> {
    let (farads, esr) = (need(fields, input::C2), or_zero(fields, input::ESR2));
    Some(Capacitor { capacitance: Farads(farads?), esr: Ohms(esr) })
}

fn choke(fields: &mut Fields<'_>) -> Option<Choke> {
    let (henries, ohms) = (need(fields, input::CHOKE), or_zero(fields, input::CHOKE_RESISTANCE));
    Some(Choke { inductance: Henries(henries?), resistance: Ohms(ohms) })
}

fn series(fields: &mut Fields<'_>) -> Option<Ohms> {
    need(fields, input::SERIES).map(Ohms)
}

/// Reads a filter; `doubler` refuses what has no capacitors at the rectifier.
pub(super) fn filter(from: Value<'_>, doubler: bool) -> Option<Filter> {
    let mut fields = from.fields()?;
    let mut kind_at = None;
    let kind = fields.required("kind", |value| {
        kind_at = Some(value);
        value.word(&KINDS)
    });
    if let (Some(at), Some(Kind::None | Kind::Lc | Kind::Rc)) = (kind_at, kind)
        && doubler
    {
        at.refuse("a doubler needs its capacitors at the rectifier", "`reservoir`, `crc`, `clc`", None);
    }
    let read = match kind {
        None => return None,
        Some(Kind::None) => Some(Filter::None),
        Some(Kind::Reservoir) => first(&mut fields).map(Filter::Reservoir),
        Some(Kind::Crc) => {
            let (a, r, b) = (first(&mut fields), series(&mut fields), second(&mut fields));
            a.zip(r).zip(b).map(|((a, r), b)| Filter::Crc(a, r, b))
        }
        Some(Kind::Clc) => {
            let (a, l, b) = (first(&mut fields), choke(&mut fields), second(&mut fields));
            a.zip(l).zip(b).map(|((a, l), b)| Filter::Clc(a, l, b))
        }
        Some(Kind::Lc) => {
            let (l, b) = (choke(&mut fields), second(&mut fields));
            l.zip(b).map(|(l, b)| Filter::Lc(l, b))
        }
        Some(Kind::Rc) => {
            let (r, b) = (series(&mut fields), second(&mut fields));
            r.zip(b).map(|(r, b)| Filter::Rc(r, b))
        }
    };
    fields.finish();
    read
}

/// Reads a load; exactly one of its three kinds is stated.
pub(super) fn load(from: Value<'_>, filtered: bool) -> Option<(Load, Option<Volts>)> {
    let mut fields = from.fields()?;
    let map = fields.map();
    let resistance = fields.optional("resistance", value(input::LOAD_RESISTANCE));
    let current = fields.optional("current", value(input::LOAD_CURRENT));
    let power = fields.optional("power", value(input::LOAD_POWER));
    let knee = fields.optional("knee", |value| value.quantity(Volts(1e-9)..=Volts(1e5)));
    let stated: Vec<&str> =
        ["resistance", "current", "power"].into_iter().filter(|key| fields.get(key).is_some()).collect();
    let wanted = "one of `resistance`, `current`, `power`";
    if stated.len() != 1 {
        let found = if stated.is_empty() { "none".to_owned() } else { stated.join(" and ") };
        map.report(
            crate::document::Fault::new(map.first_span(), "a load is stated once")
                .found(found)
                .allowed(wanted),
        );
    } else if !filtered && resistance.is_none() {
        map.report(
            crate::document::Fault::new(
                map.first_span(),
                "a load of constant current or power needs a capacitor across it",
            )
            .found("filter `none`")
            .allowed("a `resistance` as load, or a filter with a capacitor"),
        );
    }
    fields.finish();
    let load = match (resistance, current, power) {
        (Some(ohms), None, None) => Load::Resistance(Ohms(ohms)),
        (None, Some(amps), None) => Load::Current(Amps(amps)),
        (None, None, Some(watts)) => Load::Power(Watts(watts)),
        _ => return None,
    };
    Some((load, knee))
}

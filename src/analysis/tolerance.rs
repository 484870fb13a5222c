//! The range of an input and how its values are spread in it, as a circuit file states them.
//!
//! Knows nothing of what is drawn or solved.

use super::input::{Input, InputError};
use crate::{
    circuit::spec::Spec,
    document::{Fault, Value},
    quantity::Ratio,
};

/// How values are spread between the two ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Distribution {
    /// All values alike.
    Uniform,
    /// A normal distribution about the middle whose three standard deviations reach the ends; nothing beyond them.
    Normal,
}

/// An input with its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Which input.
    pub input: Input,
    /// Lower end, SI.
    pub low: f64,
    /// Upper end, SI.
    pub high: f64,
    /// How values are spread.
    pub distribution: Distribution,
}

/// The most tolerances of a circuit: their vertices double with each.
pub const TOLERANCES_MAX: usize = 16;

pub(super) const DISTRIBUTIONS: [(&str, Distribution); 2] =
    [("uniform", Distribution::Uniform), ("normal", Distribution::Normal)];

/// Reads the section `tolerance`: per input a percentage both ways, or a map.
pub(super) fn read(from: Value<'_>, spec: &Spec) -> Option<Vec<Tolerance>> {
    let mut list: Vec<Tolerance> = Vec::new();
    for (key, value) in from.entries()? {
        let Some(path) = key.str() else { continue };
        let input = match Input::named(path) {
            Ok(input) => input,
            Err(error) => {
                refuse(key, &error);
                continue;
            }
        };
        let Some(nominal) = input.of(spec) else {
            key.refuse(format!("the circuit has no `{path}`"), "an input of this circuit", None);
            continue;
        };
        if list.iter().any(|other| other.input.same_as(input)) {
            key.refuse(format!("`{path}` has a tolerance already"), "one tolerance for an input", None);
            continue;
        }
        list.extend(one(value, input, nominal));
    }
    few(from, list.len());
    Some(list)
}

/// Refuses what is no input.
pub(super) fn refuse(key: Value<'_>, error: &InputError) {
    match error {
        InputError::Unknown { path, near, allowed } => {
            let hint = near.as_ref().map(|near| format!("did you mean `{near}`?"));
            key.refuse(format!("no input is called `{path}`"), allowed, hint.as_deref());
        }
        InputError::Absent { .. } => key.refuse(error.to_string(), "an input of this circuit", None),
    }
}

/// Refuses more tolerances than there may be.
pub(super) fn few(from: Value<'_>, found: usize) {
    if found > TOLERANCES_MAX {
        let fault = Fault::new(from.first_span(), "too many tolerances");
        from.report(fault.found(found.to_string()).allowed(format!("at most {TOLERANCES_MAX}")));
    }
}

/// The range of one input about its nominal value.
pub(super) fn one(from: Value<'_>, input: Input, nominal: f64) -> Option<Tolerance> {
    let share = |value: Value<'_>, low: f64, high: f64| {
        value.quantity(Ratio(low)..=Ratio(high)).map(|share: Ratio| share.0)
    };
    if !from.is_map() {
        let share = share(from, 0.0, 0.99)?;
        let (low, high) = (nominal * (1.0 - share), nominal * (1.0 + share));
        return Some(Tolerance { input, low, high, distribution: Distribution::Uniform });
    }
    let mut fields = from.fields()?;
    let both = fields.optional("plus_minus", |value| share(value, 0.0, 0.99));
    let below = fields.optional("below", |value| share(value, -0.99, 0.0));
    let above = fields.optional("above", |value| share(value, 0.0, 100.0));
    let low = fields.optional("from", |value| input.measure.read(value, input.range));
    let high = fields.optional("to", |value| input.measure.read(value, input.range));
    let distribution =
        fields.optional("distribution", |value| value.word(&DISTRIBUTIONS)).unwrap_or(Distribution::Uniform);
    fields.finish();
    let ends = match (both, below, above, low, high) {
        (Some(share), None, None, None, None) => Some((nominal * (1.0 - share), nominal * (1.0 + share))),
        (None, Some(below), Some(above), None, None) => {
            Some((nominal * (1.0 + below), nominal * (1.0 + above)))
        }
        (None, None, None, Some(low), Some(high)) if low <= high => Some((low, high)),
        _ => None,
    };
    let Some((low, high)) = ends else {
        let allowed = "`plus_minus`, or `below` and `above`, or `from` and `to` in this order";
        from.report(Fault::new(from.first_span(), "the range is not stated once").allowed(allowed));
        return None;
    };
    Some(Tolerance { input, low, high, distribution })
}

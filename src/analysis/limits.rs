//! Limits of figures, as a circuit file states them.
//!
//! Knows nothing of yield, which is counted elsewhere.

use super::name::{FigureName, UnknownFigure};
use crate::document::{Fault, Value};

/// A figure with its least and greatest allowed value, in the unit its key ends with.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Which figure.
    pub figure: FigureName,
    /// Least value allowed.
    pub min: Option<f64>,
    /// Greatest value allowed.
    pub max: Option<f64>,
}

impl Limit {
    /// Its ends in words: `min 16.5 max 20`.
    pub fn ends(&self) -> String {
        let end = |word: &str, end: Option<f64>| end.map(|value| format!("{word} {value}"));
        [end("min", self.min), end("max", self.max)].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    /// Whether a value is allowed; a figure that does not exist is not.
    pub fn allows(&self, value: f64) -> bool {
        value >= self.min.unwrap_or(f64::NEG_INFINITY) && value <= self.max.unwrap_or(f64::INFINITY)
    }
}

/// Reads the section `limits`.
pub(super) fn read(from: Value<'_>) -> Option<Vec<Limit>> {
    let named = |key: &str| FigureName::named(key).map(|figure| (figure, figure));
    Some(read_with(from, named)?.into_iter().map(|(_, limit)| limit).collect())
}

/// The same with figures of one's own, each kept with its limit.
pub(super) fn read_with<F>(
    from: Value<'_>,
    named: impl Fn(&str) -> Result<(F, FigureName), UnknownFigure>,
) -> Option<Vec<(F, Limit)>> {
    let mut limits = Vec::new();
    for (key, value) in from.entries()? {
        let figure = key.str().and_then(|text| match named(text) {
            Ok(figure) => Some(figure),
            Err(error) => {
                let message = format!("no figure is called `{}`", error.key);
                key.refuse(message, &error.allowed, error.hint().as_deref());
                None
            }
        });
        let Some(mut fields) = value.fields() else { continue };
        let range = -1e12..=1e12;
        let min = fields.optional("min", |value| value.number(range.clone()));
        let max = fields.optional("max", |value| value.number(range.clone()));
        fields.finish();
        if value.is_map() && min.is_none() && max.is_none() {
            let fault = Fault::new(value.first_span(), "a limit states at least one end");
            value.report(fault.found("neither").allowed("`min`, `max` or both"));
        }
        if let Some((own, figure)) = figure {
            limits.push((own, Limit { figure, min, max }));
        }
    }
    Some(limits)
}

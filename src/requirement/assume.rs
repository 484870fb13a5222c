//! Sections that may be absent, and the defaults that are assumed then: each is kept, so that a report lists it.
//!
//! Knows no key itself.

use super::Assumed;
use crate::document::{Fields, Value};
use crate::quantity::Quantity;

/// The defaults assumed so far.
#[derive(Default)]
pub(super) struct Defaults {
    pub(super) assumed: Vec<Assumed>,
}

impl Defaults {
    /// The value read, or a quantity that is assumed.
    pub(super) fn or<Q: Quantity>(&mut self, key: &str, read: Option<Q>, default: Q, why: &'static str) -> Q {
        read.unwrap_or_else(|| {
            self.note(key, default.to_exact_text(), why);
            default
        })
    }

    /// The value read, or one that is assumed and would be written as `text`.
    pub(super) fn or_written<T>(
        &mut self,
        key: &str,
        read: Option<T>,
        default: T,
        text: &str,
        why: &'static str,
    ) -> T {
        read.unwrap_or_else(|| {
            self.note(key, text.to_owned(), why);
            default
        })
    }

    fn note(&mut self, key: &str, value: String, why: &'static str) {
        self.assumed.push(Assumed { key: key.to_owned(), value, why });
    }
}

/// A map that may be absent as a whole.
pub(super) struct Section<'t>(Option<Fields<'t>>);

impl<'t> Section<'t> {
    pub(super) fn of(map: &mut Fields<'t>, key: &'static str) -> Self {
        Self(map.optional(key, Value::fields))
    }
    pub(super) fn optional<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(Value<'t>) -> Option<T>,
    ) -> Option<T> {
        self.0.as_mut()?.optional(key, read)
    }
    pub(super) fn get(&self, key: &str) -> Option<Value<'t>> {
        self.0.as_ref()?.get(key)
    }
    pub(super) fn finish(self) {
        if let Some(fields) = self.0 {
            fields.finish();
        }
    }
}

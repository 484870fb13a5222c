//! The known keys of one map: required, optional, and what is left over.
//!
//! Knows no key itself; it learns them as they are asked for.

use super::{Fault, Value, suggest::suggestion, value::excerpt};

/// A map being read key by key.
#[derive(Debug)]
pub struct Fields<'t> {
    map: Value<'t>,
    /// Bit `n` is set when the `n`-th pair was asked for; a map of known keys has fewer than 128.
    taken: u128,
    asked: Vec<&'static str>,
    /// Missing keys that are not reported yet: a misspelt key may turn out to be meant for one.
    missing: Vec<&'static str>,
}

impl<'t> Fields<'t> {
    pub(super) fn new(map: Value<'t>) -> Self {
        Self { map, taken: 0, asked: Vec::with_capacity(16), missing: Vec::new() }
    }

    /// The map itself, for faults that concern it as a whole.
    pub fn map(&self) -> Value<'t> {
        self.map
    }

    /// The value under a key, without reading it.
    pub fn get(&self, key: &str) -> Option<Value<'t>> {
        self.find(key).map(|(_, value)| value)
    }

    /// A key that must be there.
    pub fn required<T>(&mut self, key: &'static str, read: impl FnOnce(Value<'t>) -> Option<T>) -> Option<T> {
        let value = self.take(key);
        if value.is_none() {
            self.missing(key);
        }
        value.and_then(read)
    }

    /// A key that may be absent. A key without a value counts as a fault, not as absent.
    pub fn optional<T>(&mut self, key: &'static str, read: impl FnOnce(Value<'t>) -> Option<T>) -> Option<T> {
        self.take(key).and_then(read)
    }

    /// Marks a key as known and returns its value.
    pub fn take(&mut self, key: &'static str) -> Option<Value<'t>> {
        self.asked.push(key);
        let (place, value) = self.find(key)?;
        self.taken |= 1u128.checked_shl(place).unwrap_or(0);
        Some(value)
    }

    /// Says that a key is missing; for keys that are required only in some cases.
    pub fn missing(&mut self, key: &'static str) {
        self.missing.push(key);
    }

    /// Reports every key that was never asked for, and every required one that is missing. A key that looks like a
    /// missing one is one fault, not two.
    pub fn finish(mut self) {
        let tree = self.map.reader.tree;
        for ((key, _), place) in tree.pairs(self.map.node).zip(0u32..) {
            if self.taken & 1u128.checked_shl(place).unwrap_or(0) != 0 {
                continue;
            }
            let found = tree.text(key);
            let left = self.asked.iter().copied().filter(|asked| self.get(asked).is_none());
            let near = suggestion(found, left);
            self.missing.retain(|missing| Some(*missing) != near);
            let allowed = self.asked.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ");
            self.map.report(
                Fault::new(tree.span(key), format!("unknown key `{}`", excerpt(found)))
                    .found(format!("`{}`", excerpt(found)))
                    .allowed(allowed)
                    .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
            );
        }
    }

    fn find(&self, wanted: &str) -> Option<(u32, Value<'t>)> {
        let reader = self.map.reader;
        let ((key, node), place) = reader
            .tree
            .pairs(self.map.node)
            .zip(0u32..)
            .find(|((key, _), _)| reader.tree.text(*key) == wanted)?;
        Some((place, Value { reader, node, key: Some(key), item: false }))
    }
}

/// What is missing is reported even where reading ended early.
impl Drop for Fields<'_> {
    fn drop(&mut self) {
        let nested = self.map.key.is_some() || self.map.item;
        let place = if nested { format!(" in {}", self.map.name()) } else { String::new() };
        for key in &self.missing {
            let fault = Fault::new(self.map.first_span(), format!("missing key `{key}`{place}"));
            let fault = fault.found(format!("no `{key}`")).allowed(format!("`{key}`"));
            self.map.report(fault.hint(format!("add `{key}: ...`")));
        }
    }
}

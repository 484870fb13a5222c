//! One row of a catalog file with all it inherits from its series.
//!
//! A series states what its rows share; a row adds or overrides. The innermost statement holds. Knows no key.

use crate::document::{Fault, Span, Value, suggestion};

/// Keys that build the layout and are no ratings.
const LAYOUT: [&str; 2] = ["each", "rows"];

/// What the levels around a row state, outermost first.
#[derive(Debug, Default)]
pub(super) struct Shelf<'t> {
    entries: Vec<Entry<'t>>,
    /// Keys that the last row was asked for.
    asked: Vec<&'static str>,
}

#[derive(Debug)]
struct Entry<'t> {
    key: &'t str,
    name: Value<'t>,
    value: Value<'t>,
    known: bool,
}

impl<'t> Shelf<'t> {
    /// Visits every row below a level: a series, a group of rows, or a row.
    pub(super) fn walk(&mut self, level: Value<'t>, visit: &mut impl FnMut(&mut Row<'_, 't>)) {
        let from = self.entries.len();
        let rows = self.put(level);
        if let Some(rows) = rows {
            let rows = rows.list_of_some(Some).unwrap_or_default();
            for row in &rows {
                self.walk(*row, visit);
            }
            // Without a row nothing was asked for, and every key would look unknown.
            if !rows.is_empty() {
                self.refuse_unknown(from);
            }
        } else if level.is_map() {
            self.asked.clear();
            visit(&mut Row { shelf: self, level, label: None });
            self.refuse_unknown(from);
        }
        self.entries.truncate(from);
    }

    /// Puts the keys of a level on the shelf; returns its rows, if it has any.
    fn put(&mut self, level: Value<'t>) -> Option<Value<'t>> {
        let mut rows = None;
        let mut each = None;
        for (name, value) in level.entries()? {
            let Some(key) = name.str() else { continue };
            match key {
                "rows" => rows = Some(value),
                "each" => each = Some(value),
                _ => self.entries.push(Entry { key, name, value, known: false }),
            }
        }
        if let Some(entries) = each.and_then(Value::entries) {
            for (name, value) in entries {
                let Some(key) = name.str() else { continue };
                self.entries.push(Entry { key, name, value, known: false });
            }
        }
        rows
    }

    fn take(&mut self, key: &'static str) -> Option<Value<'t>> {
        self.asked.push(key);
        let mut found = None;
        for entry in self.entries.iter_mut().filter(|entry| entry.key == key) {
            entry.known = true;
            found = Some(entry.value);
        }
        found
    }

    fn refuse_unknown(&self, from: usize) {
        for entry in self.entries.iter().skip(from).filter(|entry| !entry.known) {
            let present = |asked: &str| self.entries.iter().any(|entry| entry.key == asked);
            let left = self.asked.iter().copied().filter(|asked| !present(asked)).chain(LAYOUT);
            let near = suggestion(entry.key, left);
            let allowed = self.asked.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ");
            let message = format!("unknown key {}", entry.name.shown());
            entry.name.report(
                Fault::new(entry.name.span(), message)
                    .found(entry.name.shown())
                    .allowed(allowed)
                    .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
            );
        }
    }
}

/// A row being read key by key.
#[derive(Debug)]
pub(super) struct Row<'s, 't> {
    shelf: &'s mut Shelf<'t>,
    level: Value<'t>,
    label: Option<&'t str>,
}

impl<'t> Row<'_, 't> {
    /// A rating that must be stated, by the row or around it.
    pub(super) fn required<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(Value<'t>) -> Option<T>,
    ) -> Option<T> {
        let value = self.shelf.take(key);
        if value.is_none() {
            self.missing(key);
        }
        value.and_then(read)
    }

    /// A rating that the maker may leave unstated.
    pub(super) fn optional<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(Value<'t>) -> Option<T>,
    ) -> Option<T> {
        self.shelf.take(key).and_then(read)
    }

    /// Whether the row or a level around it states the key.
    pub(super) fn states(&self, key: &str) -> bool {
        self.shelf.entries.iter().any(|entry| entry.key == key)
    }

    /// Everything that is stated, outermost first; all of it counts as known.
    pub(super) fn stated(&mut self) -> Vec<(&'t str, Value<'t>)> {
        self.shelf
            .entries
            .iter_mut()
            .map(|entry| {
                entry.known = true;
                (entry.key, entry.value)
            })
            .collect()
    }

    /// Sets the name by which messages call the row.
    pub(super) fn call(&mut self, label: &'t str) {
        self.label = Some(label);
    }

    /// Reports a fault of the row as a whole.
    pub(super) fn refuse(&self, message: &str, found: &str, allowed: &str) {
        let message = format!("{message} in {}", self.name());
        self.level.report(Fault::new(self.place(), message).found(found).allowed(allowed));
    }

    /// Reports that a key is missing.
    pub(super) fn missing(&self, key: &str) {
        let near = self
            .shelf
            .entries
            .iter()
            .filter(|entry| !entry.known && !self.shelf.asked.contains(&entry.key))
            .find(|entry| suggestion(entry.key, [key]).is_some());
        let hint = near.map_or_else(
            || format!("add `{key}: ...` to the row or to its series"),
            |near| format!("{} may be meant for it", near.name.shown()),
        );
        self.level.report(
            Fault::new(self.place(), format!("missing key `{key}` in {}", self.name()))
                .found(format!("no `{key}`"))
                .allowed(format!("`{key}`"))
                .hint(hint),
        );
    }

    fn place(&self) -> Span {
        self.level.first_span()
    }

    fn name(&self) -> String {
        self.label.map_or_else(|| "this row".to_owned(), |label| format!("`{label}`"))
    }
}

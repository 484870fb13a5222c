//! The rows of a catalog file as they are written: every rating by its key, as text, with all a row inherits.
//!
//! Knows no family and judges nothing; for finding parts by what their rows say.

use super::row::Shelf;
use crate::document::{Faults, Reader, Source, Tree, Value};

/// A row as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawRow {
    /// Family of the file.
    pub family: String,
    /// Part number.
    pub id: String,
    /// Ratings: key and text. A nested key is joined by dots; of a list, each item stands under the key of the list.
    pub ratings: Vec<(String, String)>,
}

impl RawRow {
    /// Texts under a key.
    pub fn texts<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a str> {
        self.ratings.iter().filter(move |(known, _)| known == key).map(|(_, text)| text.as_str())
    }
}

/// Every row of a file, in its order.
pub fn rows(source: &Source) -> Result<Vec<RawRow>, Faults> {
    let tree = Tree::parse(source)?;
    let reader = Reader::new(&tree);
    let mut found = Vec::new();
    if let Some(mut map) = reader.root().fields() {
        let family = map.take("family").and_then(Value::text).unwrap_or_default();
        let series = map.take("series").and_then(|value| value.list(Some)).unwrap_or_default();
        let mut shelf = Shelf::default();
        for level in series {
            shelf.walk(level, &mut |row| {
                let mut ratings: Vec<(String, String)> = Vec::new();
                for (key, value) in row.stated() {
                    if key == "offers" {
                        continue;
                    }
                    // The innermost statement holds.
                    let below = format!("{key}.");
                    ratings.retain(|(known, _)| known != key && !known.starts_with(&below));
                    flatten(key.to_owned(), value, &mut ratings);
                }
                let id = ratings.iter().find(|(key, _)| key == "id").map(|(_, text)| text.clone());
                found.push(RawRow { family: family.clone(), id: id.unwrap_or_default(), ratings });
            });
        }
    }
    Ok(found)
}

fn flatten(key: String, value: Value<'_>, into: &mut Vec<(String, String)>) {
    if value.is_map() {
        for (name, value) in value.entries().into_iter().flatten() {
            if let Some(name) = name.str() {
                flatten(format!("{key}.{name}"), value, into);
            }
        }
    } else if value.is_list() {
        for item in value.items().into_iter().flatten() {
            flatten(key.clone(), item, into);
        }
    } else if let Some(text) = value.str() {
        into.push((key, text.to_owned()));
    }
}

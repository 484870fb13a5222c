//! What changed in the catalog rows a record uses, where the catalog of that day is at hand.
//!
//! Compares rows field by field; judges nothing. An older catalog counts only where its row has the recorded digest.

use std::collections::BTreeMap;

use super::{dossier::Dossier, findings::code};
use crate::{
    catalog::Catalog,
    record::{
        Record,
        write::{row_digest, row_text},
    },
    stress::position::Position,
};

/// Fields named of one row at most.
const MOST: usize = 8;

/// Adds to each finding of a changed row what changed in it since `then`, the catalog of the day of the record.
pub fn explain(dossier: &mut Dossier, record: &Record, then: &Catalog, now: &Catalog) {
    for finding in dossier.findings.iter_mut().filter(|one| one.code == code::ROW) {
        let part = record
            .rails
            .iter()
            .filter(|rail| rail.rail == finding.rail)
            .flat_map(|rail| &rail.parts)
            .find(|part| part.position == finding.position);
        let position = Position::ALL.into_iter().find(|position| position.key() == finding.position);
        let Some((part, position)) = part.zip(position) else { continue };
        let text = if row_digest(then, position, &part.part) == part.row {
            let changes =
                changes(&row_text(then, position, &part.part), &row_text(now, position, &part.part));
            let mut named: Vec<String> = changes.iter().take(MOST).cloned().collect();
            if changes.len() > MOST {
                named.push(format!("and {} more", changes.len() - MOST));
            }
            named.join("; ")
        } else {
            String::from("the older catalog's row is not the recorded one either")
        };
        finding.text = format!("{}: {text}", finding.text);
    }
}

/// Fields that differ: `name: before → after`.
fn changes(then: &str, now: &str) -> Vec<String> {
    let (first, second) = (fields(then), fields(now));
    let mut names: Vec<&String> = first.keys().chain(second.keys()).collect();
    names.sort();
    names.dedup();
    let value = |fields: &BTreeMap<String, String>, name: &String| {
        fields.get(name).cloned().unwrap_or_else(|| String::from("nothing"))
    };
    names
        .into_iter()
        .map(|name| (name, value(&first, name), value(&second, name)))
        .filter(|(_, before, after)| before != after)
        .map(|(name, before, after)| format!("{name}: {before} → {after}"))
        .collect()
}

/// Every field of a row's text by its dotted name; items of a list or tuple are numbered from 1.
///
/// The text is that of the typed row: names, `Unit(value)`, braces, brackets, quoted strings.
fn fields(text: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    // Names of the open braces and brackets, each with the number of the item it stands at.
    let mut open: Vec<(String, u32)> = Vec::new();
    let mut name = String::new();
    let mut word = String::new();
    let mut quoted = false;
    let mut escaped = false;
    for letter in text.chars() {
        if quoted {
            if escaped {
                word.push(letter);
                escaped = false;
            } else {
                match letter {
                    '\\' => escaped = true,
                    '"' => quoted = false,
                    other => word.push(other),
                }
            }
            continue;
        }
        match letter {
            '"' => quoted = true,
            ':' => std::mem::take(&mut word).trim().clone_into(&mut name),
            '{' | '[' | '(' => {
                let tuple = letter == '(' && word.trim().is_empty();
                let number = u32::from(letter == '[' || tuple);
                open.push((std::mem::take(&mut name), number));
                word.clear();
            }
            '}' | ']' | ')' | ',' => {
                let value = std::mem::take(&mut word).trim().to_owned();
                if !value.is_empty() {
                    found.insert(path(&open, &name), value);
                }
                name.clear();
                if letter == ',' {
                    if let Some((_, number)) = open.last_mut()
                        && *number > 0
                    {
                        *number += 1;
                    }
                } else {
                    open.pop();
                }
            }
            other => word.push(other),
        }
    }
    found
}

fn path(open: &[(String, u32)], name: &str) -> String {
    let mut parts: Vec<String> = Vec::new();
    for (word, number) in open {
        if !word.is_empty() {
            parts.push(word.clone());
        }
        if *number > 0 {
            parts.push(number.to_string());
        }
    }
    if !name.is_empty() {
        parts.push(name.to_owned());
    }
    parts.join(".")
}

#[cfg(test)]
mod tests {
    use super::changes;

    #[test]
    fn fields_that_differ_are_named_with_both_values() {
        let then = "Part { common: Common { id: PartId(\"A, {1}\"), mass: Some(Kilograms(0.1)) }, rated: Volts(63.0), \
                    curve: [(Hertz(50.0), 0.8), (Hertz(100.0), 1.0)], ends: None }";
        assert!(changes(then, then).is_empty());
        let now = then
            .replace("63.0", "50.0")
            .replace("0.8", "0.7")
            .replace("ends: None", "ends: Some(Volts(1.0))");
        assert_eq!(changes(then, &now), ["curve.1.2: 0.8 → 0.7", "ends: None → 1.0", "rated: 63.0 → 50.0"]);
        let longer = then.replace("1.0)]", "1.0), (Hertz(120.0), 1.0)]");
        assert_eq!(changes(then, &longer), ["curve.3.1: nothing → 120.0", "curve.3.2: nothing → 1.0"]);
    }
}

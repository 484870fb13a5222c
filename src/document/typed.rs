//! Files that the tool writes itself: plain data in and out through serde.
//!
//! Reading passes through the tree first, so that the same files are refused, and a fault is found in it by the
//! path of the field.

use serde::{Serialize, de::DeserializeOwned};
use serde_path_to_error::{Path, Segment};

use super::{Fault, Faults, Source, Span, Tree, tree::Kind, value::excerpt};

/// Data that cannot be written, such as a number that is not finite.
#[derive(Debug, thiserror::Error)]
#[error("cannot be written as YAML: {message}")]
pub struct WriteError {
    message: String,
}

/// The data as YAML; the same data gives the same bytes.
pub fn to_yaml<T: Serialize>(data: &T) -> Result<String, WriteError> {
    serde_yaml::to_string(data).map_err(|error| WriteError { message: error.to_string() })
}

/// Reads what [`to_yaml`] wrote. Types should deny unknown fields.
pub fn from_yaml<T: DeserializeOwned>(source: &Source) -> Result<T, Faults> {
    let tree = Tree::parse(source)?;
    let from = serde_yaml::Deserializer::from_str(&source.text);
    serde_path_to_error::deserialize(from).map_err(|error| {
        let (key, value) = locate(&tree, error.path());
        let message = strip_place(&error.inner().to_string());
        // A key that no field has is at fault itself; elsewhere it is the value.
        let span = if message.starts_with("unknown field") { key } else { value };
        let mut fault = Fault::new(span, &message).allowed("a file as this tool writes it");
        let found = source.slice(span);
        if !found.is_empty() && !found.contains('\n') {
            fault = fault.found(format!("`{}`", excerpt(found)));
        }
        Faults::new(source.clone(), vec![with_parts(fault, source.slice(key), &message)])
    })
}

/// Quantities say `found ..., allowed ... (hint: ...)` in one line, since serde carries text alone: take it apart.
fn with_parts(fault: Fault, key: &str, message: &str) -> Fault {
    let Some((_, rest)) = message.strip_prefix("found `").and_then(|rest| rest.split_once("`, allowed "))
    else {
        return fault;
    };
    let (allowed, hint) = match rest.split_once(" (hint: ") {
        Some((allowed, hint)) => (allowed, Some(hint.strip_suffix(')').unwrap_or(hint))),
        None => (rest, None),
    };
    let named = Fault { message: format!("`{}` cannot be read", excerpt(key)), ..fault };
    named.allowed(allowed).hint_if(hint)
}

/// Follows the path as far as the tree goes: the places of the last key and of the value.
fn locate(tree: &Tree<'_>, path: &Path) -> (Span, Span) {
    let mut at = 0;
    let mut value = first_line(tree, at);
    let mut key = value;
    for segment in path {
        let next = match segment {
            Segment::Seq { index } => tree.children(at).nth(*index),
            Segment::Map { key: wanted } => {
                let pair = tree.pairs(at).find(|(name, _)| tree.text(*name) == wanted);
                key = pair.map_or(key, |(name, _)| tree.span(name));
                pair.map(|(_, value)| value)
            }
            Segment::Enum { .. } | Segment::Unknown => None,
        };
        let Some(next) = next else { break };
        at = next;
        value = first_line(tree, at);
    }
    (key, value)
}

/// The span of a scalar, or of the first key or item of what is nested.
fn first_line(tree: &Tree<'_>, at: u32) -> Span {
    match tree.node(at) {
        Some(node) if matches!(node.kind, Kind::List | Kind::Map) => {
            tree.children(at).next().map_or(node.span, |first| tree.span(first))
        }
        Some(node) => node.span,
        None => Span::default(),
    }
}

/// The library appends its own line and column and prepends the path; ours are shown with the line.
fn strip_place(message: &str) -> String {
    let end = message.rfind(" at line ").unwrap_or(message.len());
    let message = message.get(..end).unwrap_or(message);
    match message.split_once(": ") {
        Some((path, rest)) if !path.contains([' ', '`']) => rest.to_owned(),
        _ => message.to_owned(),
    }
}

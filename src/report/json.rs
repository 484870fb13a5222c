//! The dossier as JSON: its fields are the keys, its version is `schema_version`.
//!
//! Holds no layout. A number that is not finite is an error, never a silent null.

use serde::Serialize;

use crate::review::{Dossier, Infeasible};

/// The JSON Schema (draft 2020-12) of what [`render`], [`render_all`] and [`render_infeasible`] write.
pub const SCHEMA: &str = include_str!("report.schema.json");

/// The JSON Schema (draft 2020-12) of what `analyse` writes: one circuit, a core with several rails, a sweep.
pub const ANALYSIS_SCHEMA: &str = include_str!("analysis.schema.json");

/// The JSON Schema (draft 2020-12) of what `order` writes.
pub const ORDER_SCHEMA: &str = include_str!("order.schema.json");

/// Why there is no JSON.
#[derive(Debug, thiserror::Error)]
#[error("cannot be written as JSON: {message}")]
pub struct JsonError {
    message: String,
}

impl JsonError {
    pub(super) fn of(error: &serde_json::Error) -> Self {
        Self { message: error.to_string() }
    }
}

/// The answer of a search that found nothing.
#[derive(Serialize)]
struct Wrapped<'a> {
    schema_version: u32,
    infeasible: &'a Infeasible,
}

/// Renders a dossier.
pub fn render(dossier: &Dossier) -> Result<String, JsonError> {
    text(dossier)
}

/// Renders any other answer; its type carries the version of its layout.
pub fn render_data<T: Serialize>(data: &T) -> Result<String, JsonError> {
    text(data)
}

/// Renders several dossiers as a list.
pub fn render_all(dossiers: &[Dossier]) -> Result<String, JsonError> {
    text(&dossiers)
}

/// Renders the answer that nothing fits.
pub fn render_infeasible(answer: &Infeasible) -> Result<String, JsonError> {
    text(&Wrapped { schema_version: crate::review::dossier::SCHEMA_VERSION, infeasible: answer })
}

/// Any plain data as JSON.
pub(super) fn text<T: Serialize>(data: &T) -> Result<String, JsonError> {
    let mut text = serde_json::to_string_pretty(data).map_err(|error| JsonError::of(&error))?;
    text.push('\n');
    Ok(text)
}

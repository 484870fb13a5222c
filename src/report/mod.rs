//! How a dossier is read: one [`Page`], many renderers. No arithmetic.
//!
//! `compose` lays a dossier out as a page; each renderer turns the page (JSON: the dossier itself) into text.

pub mod analysis;
mod compose;
pub mod csv;
pub mod json;
pub mod markdown;
pub mod order;
pub mod page;
pub mod shelf;
pub mod terminal;

pub use page::Page;

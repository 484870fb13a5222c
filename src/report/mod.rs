//! How a dossier is read: one [`Page`], many renderers. No arithmetic.
//!
//! `compose` lays a dossier out as a page; each renderer turns the page (JSON: the dossier itself) into text.

pub mod analysis;
mod compose;
pub mod csv;
mod figures;
pub mod html;
pub mod json;
pub mod markdown;
pub mod mathml;
pub mod order;
pub mod page;
pub mod plot;
pub mod schematic;
pub mod shelf;
pub mod svg;
pub mod terminal;

pub use figures::{Figures, Picture, figures};
pub use page::Page;

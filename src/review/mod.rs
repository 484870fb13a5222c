//! What is true of a record: every rail rebuilt from its parts and judged anew, laid down as one plain [`Dossier`].
//!
//! Takes the parts from the record and none of its numbers. Knows no page and no renderer.

mod audit;
mod cautions;
pub mod changed;
pub mod choice;
pub mod compare;
pub mod dossier;
pub mod figure;
pub mod findings;
pub mod lesson;
mod nominal;
mod parts;
pub mod pictures;
mod place;
mod points;
mod probe;
pub mod ratings;
pub mod recompute;
pub mod reliability;
pub mod sensitivity;
pub mod substitute;
mod textbook;
mod waive;
mod why;
mod words;
mod workings;

pub use audit::{assumptions, audit};
pub use cautions::deferral;
pub use choice::{Alternative, Binding, Choice, Infeasible, Outcome, Relaxation, SearchNote, TopologyRow};
pub use dossier::Dossier;
pub use figure::{Figure, Unit};
pub use recompute::{Inputs, RailReview};
pub use waive::waive;

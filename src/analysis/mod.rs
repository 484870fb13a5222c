//! What a given circuit does: a circuit file, its figures, sweeps over its inputs, tolerances.
//!
//! Data in, plain results out. Knows neither parts nor requirements; designs nothing.

pub mod analyse;
pub mod balance;
pub mod bearable;
pub mod core_file;
pub mod core_name;
pub mod core_spread;
pub mod core_study;
pub mod file;
mod filter;
pub mod grid;
pub mod input;
pub mod limits;
pub mod measure;
pub mod monte_carlo;
pub mod name;
mod random;
pub mod ripple;
pub mod study;
pub mod sweep;
pub mod textbook;
pub mod tolerance;
pub mod vertices;
pub mod write;

pub use analyse::{Analysed, Wish, analyse};
pub use core_file::{AnyFile, CoreFile, read_any};
pub use core_name::{CoreFigure, CoreInput};
pub use core_spread::{CoreAxis, core_sweep, read_core_bounds};
pub use core_study::{CoreAnalysed, CoreWish, analyse_core};
pub use file::{CircuitFile, Switching, read, read_tolerances};
pub use input::Input;
pub use name::FigureName;
pub use study::{Depth, Study, study};

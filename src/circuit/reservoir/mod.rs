//! The closed-form steady state of half-wave, centre-tapped and bridge circuits with a reservoir, or with no filter.
//!
//! Two angles are found by Newton's method; everything else is algebra on them, done when asked for. Knows nothing of
//! second sections or doublers: [`Unsolved::NotMine`] sends those to the general engine. Derivations are in
//! `DEVELOPERS.md`, "Reservoir".

mod extreme;
mod figures;
mod form;
mod newton;
mod pulse;
mod sample;
mod spectrum;
mod sums;
mod wiring;

pub use figures::figures;
pub use form::{Bank, CONDUCTANCE_MAX, DRAW_MIN, Draw, OMEGA_CR, Source};
pub use pulse::Pulse;
pub use sample::{Instant, sample};
pub use spectrum::{Harmonic, capacitor_harmonics, harmonics};

use super::figures::NoSteadyState;
use super::spec::{Filter, Load, Spec};
use wiring::Wiring;

/// Why this path gives no steady state.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unsolved {
    /// The load takes more current than the source can give: the output falls to zero.
    #[error("the load takes more than the source can give: the output collapses")]
    Collapsed,
    /// The circuit belongs to the general engine.
    #[error("not a single-pulse reservoir circuit")]
    NotMine,
    /// A value lies outside the documented domain of this path.
    #[error("{what} is `{value}`, outside `{low}` to `{high}`")]
    OutsideDomain {
        /// Which input or ratio of inputs.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least value solved.
        low: f64,
        /// Greatest value solved.
        high: f64,
    },
}

impl Unsolved {
    /// The answer for the user, or `None` where the general engine is to be asked.
    pub fn verdict(self) -> Option<NoSteadyState> {
        match self {
            Self::Collapsed => Some(NoSteadyState::Collapsed),
            Self::NotMine => None,
            Self::OutsideDomain { what, value, low, high } => {
                Some(NoSteadyState::OutsideDomain { what, value, low, high })
            }
        }
    }
}

/// A solved circuit; figures, harmonics and samples are drawn from it when asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    kind: Kind,
    wiring: Wiring,
}

/// Which closed form the steady state has.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// A reservoir fed without leakage inductance.
    Reservoir(Pulse),
}

impl Steady {
    /// The pulse of a reservoir circuit without leakage, for figures one by one.
    pub fn pulse(&self) -> Option<&Pulse> {
        match &self.kind {
            Kind::Reservoir(pulse) => Some(pulse),
        }
    }
}

/// Solves a half-wave, centre-tapped or bridge circuit with one reservoir, or with none and a resistance.
///
/// The source resistance of a conducting path is `resistance + common_resistance` and the slope of the diodes in it:
/// exact, since two paths never conduct together without leakage. A load without current is solved in closed form.
pub fn steady(spec: &Spec) -> Result<Steady, Unsolved> {
    let (wiring, source) = Wiring::of(spec)?;
    let draw = match spec.output.load {
        Load::Resistance(ohms) if ohms.0 > 0.0 => Draw::resistance(ohms.0),
        Load::Resistance(ohms) => {
            return Err(Unsolved::OutsideDomain {
                what: "load resistance",
                value: ohms.0,
                low: f64::MIN_POSITIVE,
                high: f64::INFINITY,
            });
        }
        Load::Current(amps) => Draw::current(amps.0),
        Load::Power(_) => return Err(Unsolved::NotMine),
    };
    match spec.output.filter {
        Filter::Reservoir(part) if spec.winding.leakage.0 == 0.0 => {
            let bank = Bank { capacitance_f: part.capacitance.0, esr_ohm: part.esr.0 };
            let pulse = Pulse::solve(&source, &bank, draw)?;
            Ok(Steady { kind: Kind::Reservoir(pulse), wiring })
        }
        _ => Err(Unsolved::NotMine),
    }
}

//! The closed-form steady state of half-wave, centre-tapped and bridge circuits with a reservoir, or with no filter.
//!
//! Two angles are found by Newton's method; everything else is algebra on them, done when asked for. Knows nothing of
//! second sections or doublers: [`Unsolved::NotMine`] sends those to the general engine.
//!
#![doc = include_str!("derivation.md")]

mod direct;
mod extreme;
mod figures;
mod flow;
mod form;
mod leaky;
mod leaky_newton;
mod newton;
mod pulse;
mod sample;
mod spectrum;
mod summit;
mod sums;
mod wave;
mod wave_figures;
mod wiring;

pub use figures::{DiodeCurrents, Measures, diode_currents, figures, measures, measures_with};
pub use form::{Bank, CONDUCTANCE_MAX, DRAW_MIN, Draw, OMEGA_CR, Source};
pub use pulse::Pulse;
pub use sample::{Instant, events, sample};
pub use spectrum::{Harmonic, capacitor_harmonics, harmonics};

use super::figures::NoSteadyState;
use super::spec::{Filter, Load, Spec};
use direct::Direct;
use form::Form;
use leaky::Leaky;
use leaky_newton::Handover;
use wiring::{Connection, Wiring};

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
    /// A reservoir fed through leakage inductance.
    Leaky(Leaky),
    /// No filter, a resistance on the rectifier.
    Direct(Direct),
}

impl Steady {
    /// The pulse of a reservoir circuit without leakage, for figures one by one.
    pub fn pulse(&self) -> Option<&Pulse> {
        match &self.kind {
            Kind::Reservoir(pulse) => Some(pulse),
            Kind::Leaky(_) | Kind::Direct(_) => None,
        }
    }
}

/// Solves a half-wave, centre-tapped or bridge circuit with one reservoir, or with none and a resistance.
///
/// The source resistance of a conducting path is `resistance + common_resistance` and the slope of the diodes in it:
/// exact, since no two paths conduct together here. With leakage a circuit is solved where it draws one pulse a path
/// and cycle and halves do not overlap; the rest is [`Unsolved::NotMine`]. A load without current is solved in closed
/// form, and then leakage does not matter.
pub fn steady(spec: &Spec) -> Result<Steady, Unsolved> {
    let (wiring, source) = Wiring::of(spec)?;
    let leakage_h = spec.winding.leakage.0;
    let handover = match wiring.connection {
        Connection::HalfWave => Handover::Single,
        Connection::CentreTap => Handover::Overlapping,
        Connection::Bridge => Handover::Commutating,
    };
    let draw = match spec.output.load {
        Load::Resistance(ohms) => {
            form::within("load resistance", ohms.0, f64::MIN_POSITIVE, f64::INFINITY)?;
            Draw::resistance(ohms.0)
        }
        Load::Current(amps) => Draw::current(amps.0),
        Load::Power(_) => return Err(Unsolved::NotMine),
    };
    let kind = match (spec.output.filter, spec.output.load) {
        (Filter::Reservoir(part), _) => {
            let bank = Bank { capacitance_f: part.capacitance.0, esr_ohm: part.esr.0 };
            let idle = draw.current_a + draw.conductance_s <= 0.0;
            if leakage_h > 0.0 && !idle {
                let (form, scale) = Form::of(&source, &bank, draw)?;
                let l = source.omega_rad_s * leakage_h / scale.ohms;
                form::within("omega L over source resistance", l, 0.0, LEAKAGE_MAX)?;
                if l < LEAKAGE_MIN {
                    return Err(Unsolved::NotMine);
                }
                Kind::Leaky(leaky_newton::solve(&form, &scale, l, handover)?)
            } else {
                Kind::Reservoir(Pulse::solve(&source, &bank, draw)?)
            }
        }
        (Filter::None, Load::Resistance(ohms)) => {
            Kind::Direct(Direct::solve(&source, ohms.0, leakage_h, handover)?)
        }
        _ => return Err(Unsolved::NotMine),
    };
    Ok(Steady { kind, wiring })
}

/// Below this `ωL/R'` the two rates lie too far apart for the closed form.
pub const LEAKAGE_MIN: f64 = 1e-6;
/// `ωL/R'` is solved up to this.
pub const LEAKAGE_MAX: f64 = 1e3;

//! One door to every steady state: the closed form where it applies, the general engine elsewhere.
//!
//! Both agree to rounding where both apply, which a test holds them to. Knows nothing of parts.

use super::figures::{Figures, NoSteadyState};
use super::general::{self, Sample};
use super::reservoir::{self, Harmonic};
use super::spec::Spec;

/// A solved circuit.
#[derive(Clone, Debug)]
pub struct Solution {
    spec: Spec,
    by: By,
}

#[derive(Clone, Debug)]
enum By {
    ClosedForm(Box<reservoir::Steady>),
    General(Box<general::Steady>),
}

/// Finds the steady state of any circuit.
pub fn solve(spec: &Spec) -> Result<Solution, NoSteadyState> {
    let by = match reservoir::steady(spec) {
        Ok(steady) => By::ClosedForm(Box::new(steady)),
        Err(reservoir::Unsolved::Collapsed) => return Err(NoSteadyState::Collapsed),
        Err(_) => By::General(Box::new(general::solve(spec)?)),
    };
    Ok(Solution { spec: *spec, by })
}

impl Solution {
    /// All figures but the harmonics.
    pub fn figures(&self) -> Figures {
        match &self.by {
            By::ClosedForm(steady) => reservoir::figures(steady),
            By::General(steady) => steady.figures(),
        }
    }

    /// Harmonics of the primary current, orders 1 to `last`.
    pub fn harmonics(&self, last: u32) -> Vec<Harmonic> {
        match &self.by {
            By::ClosedForm(steady) => reservoir::harmonics(steady, last),
            By::General(steady) => steady.harmonics(last),
        }
    }

    /// Harmonics of the current of the first or second capacitor of an output (1 is the negative one); `None` where there
    /// is no such capacitor.
    pub fn capacitor_harmonics(&self, output: usize, second: bool, last: u32) -> Option<Vec<Harmonic>> {
        match &self.by {
            By::General(steady) => steady.capacitor_harmonics(output, second, last),
            By::ClosedForm(_) => self.general()?.capacitor_harmonics(output, second, last),
        }
    }

    /// A mains period as samples, events included exactly; empty only where the general engine finds no steady state.
    pub fn waveform(&self, points: u32) -> Vec<Sample> {
        match &self.by {
            By::General(steady) => steady.waveform(points),
            By::ClosedForm(_) => self.general().map(|steady| steady.waveform(points)).unwrap_or_default(),
        }
    }

    /// Whether the closed form solved it.
    pub fn is_closed_form(&self) -> bool {
        matches!(self.by, By::ClosedForm(_))
    }

    fn general(&self) -> Option<general::Steady> {
        general::solve(&self.spec).ok()
    }
}

//! The steady state behind an operating point: in closed form, or as the circuit that the general engine solves again when
//! harmonics or waveforms are asked for.
//!
//! A whole box of points stays small that way. Knows nothing of temperatures.

use std::sync::Arc;

use super::{
    figures::{Figures, OutputFigures},
    general::{
        Sample,
        core::{self, Core, CoreSteady},
    },
    reservoir::{self, Harmonic, Steady},
};

/// A steady state.
#[expect(clippy::large_enum_variant, reason = "the usual one; behind a pointer each point would allocate")]
#[derive(Clone, Debug, PartialEq)]
pub enum State {
    /// A single reservoir in closed form.
    Closed(Steady),
    /// One output of a core.
    General(Placed),
}

/// One output of a core with all that stands on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The core, its temperatures settled.
    pub core: Arc<Core>,
    /// Which rail.
    pub rail: usize,
    /// Whether the negative output of that rail.
    pub negative: bool,
}

impl Placed {
    /// Place of the output among all of the core.
    fn output(&self) -> usize {
        let before = |rail: &super::spec::Spec| 1 + usize::from(rail.negative.is_some());
        self.core.rails.iter().take(self.rail).map(before).sum::<usize>() + usize::from(self.negative)
    }

    fn solve(&self) -> Option<CoreSteady> {
        core::solve(&self.core).ok()
    }
}

impl State {
    /// The closed form, where there is one.
    pub fn closed(&self) -> Option<&Steady> {
        match self {
            Self::Closed(steady) => Some(steady),
            Self::General(_) => None,
        }
    }

    /// Figures of the rail; of a core, primary current and power factor are those of all rails together. The output looked at
    /// stands as `output`, whichever it is.
    pub fn figures(&self) -> Figures {
        match self {
            Self::Closed(steady) => reservoir::figures(steady),
            Self::General(placed) => {
                let mut figures = placed
                    .solve()
                    .and_then(|steady| steady.rails().get(placed.rail).copied())
                    .unwrap_or_default();
                if placed.negative {
                    let positive = figures.output;
                    figures.output = figures.negative.unwrap_or(OutputFigures::default());
                    figures.negative = Some(positive);
                }
                figures
            }
        }
    }

    /// Harmonics of the primary current, referred to one half of the (first) winding, orders 1 to `last`.
    pub fn harmonics(&self, last: u32) -> Vec<Harmonic> {
        match self {
            Self::Closed(steady) => reservoir::harmonics(steady, last),
            Self::General(placed) => placed.solve().map(|steady| steady.harmonics(last)).unwrap_or_default(),
        }
    }

    /// Harmonics of the current of the first capacitor of the output (of two in a doubler, of either).
    pub fn capacitor_harmonics(&self, last: u32) -> Vec<Harmonic> {
        match self {
            Self::Closed(steady) => reservoir::capacitor_harmonics(steady, last),
            Self::General(placed) => placed
                .solve()
                .and_then(|steady| steady.capacitor_harmonics(placed.output(), false, last))
                .unwrap_or_default(),
        }
    }

    /// A mains period of the whole core as samples; empty in closed form, which has samples of its own.
    pub fn waveform(&self, points: u32) -> Vec<Sample> {
        match self {
            Self::Closed(_) => Vec::new(),
            Self::General(placed) => placed.solve().map(|steady| steady.waveform(points)).unwrap_or_default(),
        }
    }
}

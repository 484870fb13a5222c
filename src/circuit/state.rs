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
#[derive(Clone, Debug, PartialEq)]
pub enum State {
    /// A single reservoir in closed form.
    Closed(Steady),
    /// A full-wave doubler: one of its halves in closed form, and the whole.
    Doubled(Steady, Placed),
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
    /// The one output of a winding with a core of its own.
    pub(super) fn alone(spec: super::spec::Spec) -> Self {
        let core = Core { rails: vec![spec], primary_resistance: crate::quantity::Ohms(0.0) };
        Self { core: Arc::new(core), rail: 0, negative: false }
    }

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
            Self::Doubled(..) | Self::General(_) => None,
        }
    }

    /// Figures of the rail; of a core, primary current and power factor are those of all rails together. The output looked at
    /// stands as `output`, whichever it is.
    pub fn figures(&self) -> Figures {
        match self {
            Self::Closed(steady) => reservoir::figures(steady),
            Self::Doubled(_, placed) | Self::General(placed) => {
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
            Self::Doubled(_, placed) | Self::General(placed) => {
                placed.solve().map(|steady| steady.harmonics(last)).unwrap_or_default()
            }
        }
    }

    /// Harmonics of the current of the second bank of a second section.
    pub fn second_harmonics(&self, last: u32) -> Vec<Harmonic> {
        let solved = self.placed().and_then(|placed| Some((placed.solve()?, placed.output())));
        solved.and_then(|(steady, output)| steady.capacitor_harmonics(output, true, last)).unwrap_or_default()
    }

    /// Harmonics of the current of the first capacitor of the output (of two in a doubler, of either).
    pub fn capacitor_harmonics(&self, last: u32) -> Vec<Harmonic> {
        match self {
            Self::Closed(steady) | Self::Doubled(steady, _) => reservoir::capacitor_harmonics(steady, last),
            Self::General(placed) => placed
                .solve()
                .and_then(|steady| {
                    // Behind a choke input the second bank is the only one.
                    let of = |second| steady.capacitor_harmonics(placed.output(), second, last);
                    of(false).or_else(|| of(true))
                })
                .unwrap_or_default(),
        }
    }

    /// A mains period of the output as samples, its own diodes in them; empty in closed form, which has samples of its own.
    pub fn waveform(&self, points: u32) -> Vec<Sample> {
        let Some(placed) = self.placed() else { return Vec::new() };
        let Some(steady) = placed.solve() else { return Vec::new() };
        let (own, output) = (steady.diodes_of(placed.output()), placed.output());
        let narrowed = |sample: Sample| Sample {
            diode_a: own.iter().filter_map(|&place| sample.diode_a.get(place).copied()).collect(),
            outputs: sample.outputs.get(output).copied().into_iter().collect(),
            ..sample
        };
        steady.waveform(points).into_iter().map(narrowed).collect()
    }

    /// The core it stands on, unless it is a single reservoir.
    pub fn placed(&self) -> Option<&Placed> {
        match self {
            Self::Closed(_) => None,
            Self::Doubled(_, placed) | Self::General(placed) => Some(placed),
        }
    }
}

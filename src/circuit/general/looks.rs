//! How far the next look at a signal may lie: which motions still matter in it, and steps whose basis is kept.

use super::eigen::Motion;
use super::modal::Modal;

/// A motion below this share of its signal is no longer alive.
const ALIVE: f64 = 1e-12;

/// The size of a signal's parts.
pub(super) fn size(modal: &Modal, curve: &[f64]) -> f64 {
    let n = modal.order();
    modal.list.iter().map(|motion| extent(motion, parts_of(motion, curve))).sum::<f64>()
        + curve[n..(n + 3)].iter().map(|part| part.abs()).sum::<f64>()
}

fn parts_of(motion: &Motion, curve: &[f64]) -> [f64; 2] {
    match *motion {
        Motion::Decay { at, .. } => [curve[at], 0.0],
        Motion::Ring { at, .. } => [curve[at], curve[at + 1]],
    }
}

fn extent(motion: &Motion, [one, other]: [f64; 2]) -> f64 {
    match *motion {
        Motion::Decay { rate, .. } => one.abs() / rate.abs().max(1.0),
        // Sizes only tell where to look: no care for the last digit.
        Motion::Ring { .. } => (one * one + other * other).sqrt(),
    }
}

/// A step among halves of the longest, with its basis.
pub(super) struct Stride<'a> {
    modal: &'a Modal,
    omega: f64,
    longest: f64,
    step: f64,
    pub(super) basis: &'a mut [f64],
}

impl<'a> Stride<'a> {
    pub(super) fn new(modal: &'a Modal, omega: f64, longest: f64, basis: &'a mut [f64]) -> Self {
        Self { modal, omega, longest, step: 0.0, basis }
    }

    /// The longest step of the kind that is no longer than `most`.
    pub(super) fn within(&mut self, most: f64) -> f64 {
        if self.step > most || 2.0 * self.step <= most.min(self.longest) {
            let mut step = self.longest;
            while step > most {
                step *= 0.5;
            }
            self.step = step;
            self.modal.basis(step, self.omega * step, self.basis);
        }
        self.step
    }
}

/// Which motions still matter, and how long a look ahead they allow.
pub(super) struct Alive {
    longest: f64,
    /// When it dies, longest look; geometric growth where `grows`. Only what allows less than `longest`.
    list: Vec<(f64, f64, bool)>,
}

impl Alive {
    /// `curve`: the share of a basis function in a signal; `decay` and `ring`: time constants and radians a look may span; `longest`: the most it may in any case.
    pub(super) fn new(
        modal: &Modal,
        curve: impl Fn(usize, usize) -> f64,
        sizes: &[f64],
        (decay, ring_reach, longest): (f64, f64, f64),
    ) -> Self {
        let dies = |motion: &Motion, rate: f64| {
            let share = (0..sizes.len())
                .filter(|&i| sizes[i] > 0.0)
                .map(|i| {
                    let parts = match *motion {
                        Motion::Decay { at, .. } => [curve(at, i), 0.0],
                        Motion::Ring { at, .. } => [curve(at, i), curve(at + 1, i)],
                    };
                    extent(motion, parts) / sizes[i]
                })
                .fold(0.0, f64::max);
            if share < ALIVE {
                0.0
            } else if rate < 0.0 {
                (ALIVE / share).ln() / rate
            } else {
                f64::INFINITY
            }
        };
        let mut list = Vec::new();
        for motion in &modal.list {
            let (rate, reach, grows) = match *motion {
                Motion::Decay { rate, .. } => (rate, decay / rate.abs().max(f64::MIN_POSITIVE), true),
                Motion::Ring { rate, ring, .. } => {
                    let turn = ring_reach / ring.abs();
                    (rate, turn.min(decay / rate.abs().max(f64::MIN_POSITIVE)), false)
                }
            };
            if reach < longest {
                list.push((dies(motion, rate), reach, grows));
            }
        }
        Self { longest, list }
    }

    /// How far the next look may lie from `s`.
    pub(super) fn step(&self, s: f64) -> f64 {
        let mut step = self.longest;
        for &(dies, reach, grows) in &self.list {
            if s <= dies {
                step = step.min(if grows { reach.max(0.7 * s) } else { reach });
            }
        }
        step
    }
}

//! Shapes of the pulses that are known by their state: leakage inductance, no filter.
//!
//! Reverse voltage with leakage: the diode's voltage jumps when the current ends, and the value after the jump counts.

use std::f64::consts::PI;

use super::direct::Direct;
use super::figures::Shape;
use super::leaky::Leaky;
use super::wave::{Rest, Wave, sums};
use super::wiring::{Connection, Wiring};
use crate::numeric::root::Crossing;

/// A rest shorter than this is none, rad.
const UNBROKEN: f64 = 1e-12;
/// Points of the rest at which the reverse voltage is looked at before it is refined.
const LOOKS: u32 = 24;
/// Halvings of the interval about the best of them: the value's error is of the order of the square of what is left.
const REFINEMENTS: u32 = 40;

impl Leaky {
    pub(super) fn shape(&self, wiring: &Wiring) -> Shape {
        let f = &self.form;
        let level = |tau: f64| self.level_after(tau);
        let reverse = reverse(self, wiring, self.scale.rho, self.scale.ohms, f.t, f.cycle, level);
        Shape { reverse, ..self.measured() }
    }

    /// Everything but the reverse voltage, which costs as much as the rest.
    pub(super) fn measured(&self) -> Shape {
        let f = &self.form;
        let rest = Rest {
            cycle: f.cycle,
            off: self.rest(),
            level: self.level_off,
            fall: f.fall(self.level_off),
            ag: f.ag,
            j: f.j,
            g: f.g,
        };
        let rho = self.scale.rho;
        let (sums, inductive) = sums(self, &rest, rho, self.flow.l);
        let valley = self.refine(self.marks.valley, [rho, 1.0, 0.0], Crossing::Upward);
        let crest = self.refine(self.marks.crest, [rho, 1.0, 0.0], Crossing::Downward);
        Shape {
            scale: self.scale,
            cycle: f.cycle,
            threshold: f.t,
            sums,
            valley,
            crest,
            peak: self.refine(self.marks.peak, [1.0, 0.0, 0.0], Crossing::Downward),
            width: self.lead + self.lag,
            reverse: 0.0,
            inductive,
            esr_ohm: Some(self.scale.esr_ohm()),
            residual: self.residual,
            iterations: self.iterations,
        }
    }
}

impl Direct {
    pub(super) fn shape(&self, wiring: &Wiring) -> Shape {
        let off = (self.cycle - self.lead - self.lag).max(0.0);
        let rest = Rest { cycle: self.cycle, off, level: 0.0, fall: 0.0, ag: 0.0, j: 0.0, g: 0.0 };
        let (sums, inductive) = sums(self, &rest, self.scale.rho, self.l);
        let peak = Wave::greatest(self, [1.0, 0.0, 0.0]);
        Shape {
            scale: self.scale,
            cycle: self.cycle,
            threshold: self.t,
            sums,
            valley: 0.0,
            crest: self.scale.rho * peak,
            peak,
            width: self.lead + self.lag,
            reverse: reverse(self, wiring, self.scale.rho, self.scale.ohms, self.t, self.cycle, |_| 0.0),
            inductive,
            esr_ohm: None,
            residual: self.state(self.lag).0.abs(),
            iterations: 0,
        }
    }
}

/// Greatest reverse voltage of one diode, in units of `V̂`; `level` gives the output after turn-off.
fn reverse(
    wave: &impl Wave,
    wiring: &Wiring,
    rho: f64,
    ohms: f64,
    threshold: f64,
    cycle: f64,
    level: impl Fn(f64) -> f64,
) -> f64 {
    let (low, high) = wave.span();
    let off = (cycle - (high - low)).max(0.0);
    let rest = |sign: f64, share: f64| {
        greatest_between(off, |tau| {
            let emf = (high + tau).cos();
            share * (level(tau) + if sign < 0.0 { -emf } else { emf.abs() })
        })
    };
    match wiring.connection {
        Connection::HalfWave => rest(-1.0, 1.0),
        Connection::CentreTap => {
            wave.greatest([rho - wiring.common_ohm / ohms, 1.0, 1.0]).max(rest(1.0, 1.0))
        }
        Connection::Bridge => {
            let conducting = wave.greatest([rho + wiring.slope_ohm / ohms, 1.0, 0.0]) + 0.5 * threshold;
            // Where one pair takes over from the other no current ever ends; and half of output and EMF together cannot
            // exceed it where the output alone does.
            if off < UNBROKEN || conducting >= 0.5 * (level(0.0) + 1.0) {
                conducting
            } else {
                conducting.max(rest(1.0, 0.5))
            }
        }
    }
}

/// Greatest value of `f` on `0..=width`: the best of equidistant looks, then the golden section about it.
fn greatest_between(width: f64, f: impl Fn(f64) -> f64) -> f64 {
    let step = width / f64::from(LOOKS);
    let mut best = (f(0.0), 0.0);
    for look in 1..=LOOKS {
        let at = f64::from(look) * step;
        let value = f(at);
        if value > best.0 {
            best = (value, at);
        }
    }
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut low, mut high) = ((best.1 - step).max(0.0), (best.1 + step).min(width));
    for _ in 0..REFINEMENTS {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if f(a) > f(b) {
            high = b;
        } else {
            low = a;
        }
        if high - low < 1e-9 * PI {
            break;
        }
    }
    best.0.max(f(0.5 * (low + high)))
}

//! A full-wave doubler in closed form: a half-wave rectifier on each of two capacitors in series, half a period apart.
//!
//! The load's constant current flows through both capacitors and not through the winding, and the diodes take turns, so each
//! capacitor is charged as if it stood alone behind the winding. Where the pulses of both would meet, or a capacitor would
//! be charged backwards, that is not so, and the general engine is asked.

use std::f64::consts::PI;

use super::reservoir::{Steady, events, measures, sample};

/// Looks at the sum over half a period, before the best is refined.
const LOOKS: u32 = 24;
/// Cuts of the interval about it by the golden section, which leave 4e-6 of it: a value's error is the square of that.
const CUTS: u32 = 26;

/// Least, greatest and turn-on voltage of both capacitors in series, V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sum {
    pub(super) valley: f64,
    pub(super) crest: f64,
    pub(super) turn_on: f64,
}

/// Whether the halves do not meet: one pulse ends before the other begins, and neither capacitor ever stands below nothing.
pub(super) fn apart(half: &Steady) -> bool {
    let (on, off) = events(half);
    off - on < PI && measures(half).valley_v >= 0.0
}

/// Voltage across both capacitors at an angle of the mains, V.
fn sum_v(half: &Steady, theta: f64) -> f64 {
    sample(half, theta).load_v + sample(half, theta + PI).load_v
}

/// Extremes over the half period from one turn-on to the next; between pulses the sum only falls.
pub(super) fn sum(half: &Steady) -> Sum {
    let (on, off) = events(half);
    let step = (off - on) / f64::from(LOOKS);
    let at = |look: u32| on + step * f64::from(look);
    let (mut least, mut most) = ((f64::INFINITY, 0), (f64::NEG_INFINITY, 0));
    let turn_on = sum_v(half, on);
    for look in 0..=LOOKS {
        let volts = sum_v(half, at(look));
        least = if volts < least.0 { (volts, look) } else { least };
        most = if volts > most.0 { (volts, look) } else { most };
    }
    let near = |look: u32, sign: f64| {
        let (low, high) = (at(look.saturating_sub(1)), at((look + 1).min(LOOKS)));
        sign * summit(low, high, |theta| sign * sum_v(half, theta))
    };
    Sum { valley: near(least.1, -1.0).min(least.0), crest: near(most.1, 1.0).max(most.0), turn_on }
}

/// Greatest value of a function with one summit in an interval, by the golden section.
fn summit(mut low: f64, mut high: f64, value: impl Fn(f64) -> f64) -> f64 {
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let ends = value(low).max(value(high));
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut of_a, mut of_b) = (value(a), value(b));
    for _ in 0..CUTS {
        if of_a > of_b {
            (high, b, of_b) = (b, a, of_a);
            a = high - ratio * (high - low);
            of_a = value(a);
        } else {
            (low, a, of_a) = (a, b, of_b);
            b = low + ratio * (high - low);
            of_b = value(b);
        }
    }
    of_a.max(of_b).max(ends)
}

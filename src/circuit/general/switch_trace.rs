//! The first periods after switch-on as samples, every event included.
//!
//! Knows nothing of plots; the worst phase is found by [`super::switch_on`].

use super::core::Core;
use super::places::Places;
use super::switch_on::{Conditions, Outset};
use super::switch_on_bench::Bench;
use super::waveform::{Sample, Track};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::Spec;
use crate::quantity::Ohms;

/// Switched on at `phase_rad` of the EMF: `points` evenly spaced instants of each of `periods` periods, and every event.
/// Times count from the switch.
pub fn trace(
    spec: &Spec,
    conditions: &Conditions,
    phase_rad: f64,
    periods: u32,
    points: u32,
) -> Result<Vec<Sample>, NoSteadyState> {
    traced(&mut Bench::of(spec, conditions)?, phase_rad, periods, points)
}

/// The first periods of a whole core.
#[derive(Clone, Debug)]
pub struct CoreTrace {
    /// Samples; diodes and outputs in the order of the rails.
    pub samples: Vec<Sample>,
    /// Places of the diodes of each rail in the samples.
    pub diodes: Vec<Vec<usize>>,
}

/// All rails of a core switched on together at `phase_rad` of the EMF, as [`trace`] one; periods, and instants of each.
pub fn trace_core(
    core: &Core,
    limiter: Ohms,
    outsets: &[Outset],
    phase_rad: f64,
    (periods, points): (u32, u32),
) -> Result<CoreTrace, NoSteadyState> {
    let mut bench = Bench::of_rails(&core.rails, core.primary_resistance.0 + limiter.0, outsets)?;
    let samples = traced(&mut bench, phase_rad, periods, points)?;
    Ok(CoreTrace { samples, diodes: bench.diodes_of_rails() })
}

fn traced(
    bench: &mut Bench,
    phase_rad: f64,
    periods: u32,
    points: u32,
) -> Result<Vec<Sample>, NoSteadyState> {
    let period = bench.net.period();
    let begin = phase_rad / bench.net.omega;
    let end = begin + f64::from(periods) * period;
    let mut place = bench.begin(begin)?;
    let stretches = bench.run(&mut place, begin, end)?;
    let places = Places::of(&bench.net);
    let own: Vec<(usize, f64)> = (0..places.count).map(|signal| (signal, 1.0)).collect();
    let step = period / f64::from(points.max(2));
    let last = periods.saturating_mul(points.max(2));
    let mut next = 0_u32;
    let mut samples = Vec::new();
    for stretch in &stretches {
        let Some(track) = Track::of(&bench.net, &bench.cache, &places, stretch) else { continue };
        samples.push(track.sample(&places, &own, 0.0, stretch.start - begin, true));
        while next <= last {
            let s = begin + f64::from(next) * step - stretch.start;
            if s > stretch.length {
                break;
            }
            next += 1;
            if s > 0.0 {
                samples.push(track.sample(&places, &own, s, stretch.start + s - begin, false));
            }
        }
        let over = stretch.start + stretch.length - begin;
        samples.push(track.sample(&places, &own, stretch.length, over, true));
    }
    Ok(samples)
}

//! The first periods after switch-on as samples, every event included.
//!
//! Knows nothing of plots; the worst phase is found by [`super::switch_on`].

use super::places::Places;
use super::switch_on::Conditions;
use super::switch_on_bench::Bench;
use super::waveform::{Sample, Track};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::Spec;

/// Switched on at `phase_rad` of the EMF: `points` evenly spaced instants of each of `periods` periods, and every event.
/// Times count from the switch.
pub fn trace(
    spec: &Spec,
    conditions: &Conditions,
    phase_rad: f64,
    periods: u32,
    points: u32,
) -> Result<Vec<Sample>, NoSteadyState> {
    let mut bench = Bench::of(spec, conditions)?;
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

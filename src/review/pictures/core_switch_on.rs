//! The first periods after all rails of a core are switched on together.

use super::{
    model::{Curves, Series, SwitchOnCurves},
    switch_on::{PERIODS, POINTS},
};
use crate::{
    analysis::{CoreAnalysed, CoreFile, core_study::outsets},
    circuit::general::{Sample, switch_trace::trace_core},
    quantity::Ohms,
    review::figure::Unit,
};

/// Voltages of every output and the greatest diode current of every rail; `None` where switch-on was not asked for.
pub fn core_switch_on(file: &CoreFile, found: &CoreAnalysed) -> Option<SwitchOnCurves> {
    let first = found.switched.as_ref()?.first()?;
    let (core, limiter) = (file.core(), file.limiter.map_or(Ohms(0.0), |(cold, _)| cold));
    let phase_rad = first.first().peak_phase_rad;
    let outsets = outsets(file, &core);
    let all = trace_core(&core, limiter, &outsets, phase_rad, (PERIODS, POINTS)).ok()?;
    let samples: Vec<&Sample> = all
        .samples
        .iter()
        .enumerate()
        .filter(|(index, one)| *index == 0 || !one.event)
        .map(|(_, one)| one)
        .collect();
    let (mut volts, mut amps) = (Vec::new(), Vec::new());
    for (rail, diodes) in file.rails.iter().zip(&all.diodes) {
        for name in std::iter::once(rail.name.clone())
            .chain(rail.spec.negative.map(|_| format!("{}, negative", rail.name)))
        {
            let at = volts.len();
            let value = |sample: &&Sample| {
                sample.outputs.get(at).map_or(0.0, |output| output.reservoir_v.unwrap_or(output.load_v))
            };
            let name = format!("{name}, reservoir");
            volts.push(Series::new(&name, Unit::Volts, samples.iter().map(value).collect())?);
        }
        let most = |sample: &&Sample| {
            diodes.iter().filter_map(|&diode| sample.diode_a.get(diode)).copied().fold(0.0, f64::max)
        };
        let name = format!("{}, diodes", rail.name);
        amps.push(Series::new(&name, Unit::Amps, samples.iter().map(most).collect())?);
    }
    let over = Series::new(
        "time from the switch",
        Unit::Seconds,
        samples.iter().map(|sample| sample.time_s).collect(),
    )?;
    let limited = if file.limiter.is_some() { ", the limiter cold" } else { "" };
    let words = format!(
        "All rails switched on together at {:.1}° of the EMF, where the current of the first is greatest{limited}; of each rail its reservoir and the greatest of its diodes.",
        phase_rad.to_degrees()
    );
    Some(SwitchOnCurves {
        words,
        voltages: Curves { over: over.clone(), rows: volts },
        currents: Curves { over, rows: amps },
        levels: Vec::new(),
    })
}

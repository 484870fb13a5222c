//! The first periods after switch-on, of a recorded rail or of a circuit that is analysed.
//!
//! Every instant is exact; instants lie close enough that a pulse is seen whole.

use std::f64::consts::FRAC_PI_2;

use super::model::{Curves, Level, Series, SwitchOnCurves};
use crate::{
    circuit::{
        general::{Sample, switch_on::Conditions, switch_trace::trace},
        spec::{Spec, Topology},
    },
    review::{
        figure::{Figure, Unit},
        recompute::RailReview,
    },
    stress::{
        assembly::Section,
        surge::{Limiter, switched},
        verdict::Verdict,
    },
};

/// Periods shown.
pub(super) const PERIODS: u32 = 3;
/// Instants of a period: 6° apart.
pub(super) const POINTS: u32 = 60;

/// One way to be switched on.
pub(super) struct Case {
    /// What tells it from the others; empty where there is one.
    pub(super) name: &'static str,
    /// Circuit.
    pub(super) spec: Spec,
    /// How its load starts, and what limits.
    pub(super) conditions: Conditions,
    /// Phase of the EMF, rad.
    pub(super) phase_rad: f64,
}

/// Switch-on of a recorded rail at its worst.
pub(super) fn switch_on(rail: &RailReview<'_>) -> Option<SwitchOnCurves> {
    let case = |name, limiter| {
        let (spec, conditions) = switched(&rail.bench, limiter);
        Case { name, spec, conditions, phase_rad: FRAC_PI_2 }
    };
    let cases = match rail.bench.assembly.limiter {
        None => vec![case("", Limiter::Hot)],
        Some(_) => vec![case("limiter cold", Limiter::Cold), case("limiter hot", Limiter::Hot)],
    };
    let limit = rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == "rectifier-surge-current" => Some(stress.limit),
        _ => None,
    });
    let levels = limit
        .and_then(|limit| Figure::new(limit, Unit::Amps))
        .map(|at| Level { name: String::from("limit of the surge"), at });
    let left_out = match rail.bench.assembly.section {
        Some(Section::ChokeInput(_)) => {
            " The choke saturates and is left out, which lets the output rise farther and faster than it will."
        }
        Some(Section::Clc(..)) => " The choke saturates and leaves its resistance.",
        _ if rail.bench.assembly.topology == Topology::HalfWaveDoubler => {
            " The diode across the coupling capacitor is left out: with it the output rises sooner."
        }
        Some(Section::Crc(..)) | None => "",
    };
    let words = "Switched on at the peak of the EMF with the reservoir empty: mains and EMF at their high ends, windings at the \
                 least ambient, diodes at their least drop, leakage inductance left out.";
    curves(&cases, &format!("{words}{left_out}"), levels.into_iter().collect())
}

/// Curves of every case; `None` where the engine finds one of them not.
pub(super) fn curves(cases: &[Case], words: &str, levels: Vec<Level>) -> Option<SwitchOnCurves> {
    let mut times: Vec<f64> = Vec::new();
    let (mut volts, mut amps) = (Vec::new(), Vec::new());
    for case in cases {
        let all = trace(&case.spec, &case.conditions, case.phase_rad, PERIODS, POINTS).ok()?;
        let samples: Vec<&Sample> = all
            .iter()
            .enumerate()
            .filter(|(index, one)| *index == 0 || !one.event)
            .map(|(_, one)| one)
            .collect();
        let name = |what: &str| {
            if case.name.is_empty() { what.to_owned() } else { format!("{what}, {}", case.name) }
        };
        let first = |sample: &&Sample| {
            sample.outputs.first().map_or(0.0, |output| output.reservoir_v.unwrap_or(output.load_v))
        };
        let most = |sample: &&Sample| sample.diode_a.iter().copied().fold(0.0, f64::max);
        volts.push(Series::new(&name("reservoir"), Unit::Volts, samples.iter().map(first).collect())?);
        amps.push(Series::new(
            &name("greatest diode current"),
            Unit::Amps,
            samples.iter().map(most).collect(),
        )?);
        if times.is_empty() {
            times = samples.iter().map(|sample| sample.time_s).collect();
        }
        if samples.len() != times.len() {
            return None;
        }
    }
    let over = Series::new("time from the switch", Unit::Seconds, times)?;
    Some(SwitchOnCurves {
        words: words.to_owned(),
        voltages: Curves { over: over.clone(), rows: volts },
        currents: Curves { over, rows: amps },
        levels,
    })
}

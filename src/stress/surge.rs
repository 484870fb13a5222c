//! The first half cycle of charging after switch-on.
//!
//! Knows no limit of policy; the rules on rectifier surge and on restart share it. [`first_half_cycle`] alone says how the
//! figure is found.

use crate::{
    physics::{copper, diode::surge_on_basis},
    quantity::{Amps, Celsius, Seconds},
};

use super::{bench::Bench, junction};

/// State of the inrush limiter at switch-on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Limiter {
    /// Cold, at the lower end of its tolerance.
    Cold,
    /// Hot, as when the mains returns at once.
    Hot,
}

/// What the rectifier carries in the first half cycle, and whether it is a bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FirstHalfCycle {
    /// Peak of one diode, A.
    pub(super) peak_a: f64,
    /// Heating integral of one diode, A²s.
    pub(super) integral_a2s: f64,
    /// Whether both are upper bounds rather than the exact worst phase.
    pub(super) bound: bool,
}

/// Remark on a figure that is a bound.
pub(super) const BOUND_NOTE: &str = "upper bound: mains at its peak onto an empty reservoir held at zero";

/// Shortest and longest half-sine of a surge rating, s.
const PULSE: (f64, f64) = (0.0083, 0.01);

/// Peak and integral of the first half cycle at mains high, EMF high, windings cold, reservoir empty and new.
///
/// ```text
/// i_pk ≤ (V_pk − n V_0)/R,   ∫i² ≤ min(i_pk² T/4, i_pk (C V_pk + I T/2))
/// ```
/// `V_pk` no-load peak · `n V_0` least thresholds in the path · `R` windings at the least ambient, mains, limiter referred
/// to the path, slopes, least ESR · `T` longest period · `C` greatest capacitance · `I` greatest load. Without leakage,
/// phase or charging taken into account: an upper bound at every phase. Source: Ohm; derived.
pub(super) fn first_half_cycle(bench: &Bench<'_>, limiter: Limiter) -> FirstHalfCycle {
    let supply = &bench.supply;
    let count = junction::in_series(supply.topology);
    // Between two temperatures the line is straight, so the least of each lies at an end.
    let ends = [Celsius(supply.air.cold_c), supply.rectifier.line.temperatures().1];
    let least = |figure: fn(crate::physics::diode::Line) -> f64| {
        ends.iter().map(|&end| figure(supply.rectifier.line.at(end))).fold(f64::INFINITY, f64::min)
    };
    let threshold_v = least(|line| line.threshold.0) * supply.rectifier.drop_low_factor;
    let slope_ohm = least(|line| line.slope.0);
    let peak_v = bench.no_load_peak_v();
    let driving_v = (peak_v - count * threshold_v).max(0.0);
    let ohms = path_ohm(bench, limiter) + count * slope_ohm + supply.bank.esr_ohm.low;
    let peak_a = driving_v / ohms;
    let half_s = 0.5 / supply.frequency_hz.low;
    let charge = supply.bank.farad.high * peak_v + supply.load_a.high * half_s;
    FirstHalfCycle { peak_a, integral_a2s: peak_a * (peak_a * half_s / 2.0).min(charge), bound: true }
}

/// Resistance of windings at the least ambient, mains and limiter, referred to the path, Ω.
fn path_ohm(bench: &Bench<'_>, limiter: Limiter) -> f64 {
    let source = &bench.supply.source;
    let windings =
        (source.secondary_20_ohm + source.primary_20_ohm) * copper::factor(Celsius(bench.supply.air.cold_c));
    let turns = source.primary_per_path;
    let limiting = bench.assembly.limiter.map_or(0.0, |part| match limiter {
        Limiter::Cold => part.cold.0 * (1.0 - part.tolerance.0),
        Limiter::Hot => part.hot.0,
    });
    windings + source.mains_ohm + limiting * turns * turns
}

/// Surge rating on the half period of the nominal mains, by `I²t` constant between 8.3 ms and 10 ms, A.
pub(super) fn rating_a(bench: &Bench<'_>) -> f64 {
    let element = junction::element(bench);
    let half_s = (0.5 / bench.supply.frequency_hz.nominal).clamp(PULSE.0, PULSE.1);
    surge_on_basis(Amps(element.surge.0), element.surge_pulse, Seconds(half_s)).0
}

/// Remark of a surge verdict: the bound, and what a cold limiter makes of the figure.
pub(super) fn note(found: &FirstHalfCycle, cold: Option<(f64, &str)>) -> String {
    let mut text = String::new();
    if found.bound {
        text.push_str(BOUND_NOTE);
    }
    if let Some((value, unit)) = cold {
        if !text.is_empty() {
            text.push_str("; ");
        }
        text.push_str(&format!("limiter hot, as at a restart; cold {value:.1} {unit}"));
    }
    text
}

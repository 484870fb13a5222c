//! Heat of a whole rail: what is drawn from the mains and not delivered.
//!
//! ```text
//! P_loss = P_copper + P_core + P_diodes + P_ESR + V_mean I_drawn − V_out I_load (+ R_hot I_p² of an inrush limiter)
//! ```
//! Everything drawn from the reservoir that the load does not get becomes heat: regulator, set resistors, bleeder. The
//! bleeder counts at its greatest current. What two rails of one transformer share counts with the rail that lists it. Source: energy balance, derived. Knows no limit.

use crate::{
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::OperatingPoint,
        supply::Body,
    },
    policy::Policy,
    requirement::{Enclosure, Rail, Requirement},
};

use super::{
    assembly::Assembly,
    bench::{Asked, Bench},
    stage,
};

/// Where a rail's loss is greatest: hot, mains high, full load, all else at the end that draws most.
const WORST: Vertex = Vertex {
    mains: End::High,
    load: End::High,
    frequency: End::Low,
    thermal: Thermal::Hot,
    emf: End::High,
    capacitance: End::High,
    esr: End::Low,
    drop: End::Low,
    leakage: End::Low,
    others: None,
};

/// Loss at a point where the load draws `load_a`, W.
pub fn at(bench: &Bench<'_>, point: &OperatingPoint, load_a: f64) -> f64 {
    let delivered_w = output_v(bench, point) * load_a;
    let assembly = &bench.assembly;
    let core_w =
        if assembly.is_second() { 0.0 } else { point.copper_w + point.iron_w + of_limiter_w(bench, point) };
    let diode_w = if assembly.is_second_of_tap() { 0.0 } else { point.diode_w };
    core_w + diode_w + point.bank_w + point.section_w() + point.mean_v * point.load_a - delivered_w
}

/// Loss of the inrush limiter at a point, hot, W; nothing without one.
pub fn of_limiter_w(bench: &Bench<'_>, point: &OperatingPoint) -> f64 {
    bench
        .assembly
        .limiter
        .map_or(0.0, |limiter| limiter.hot.0 * point.primary_load_rms_a * point.primary_load_rms_a)
}

/// Output voltage at a point: as set, or the mean of the reservoir, V.
pub fn output_v(bench: &Bench<'_>, point: &OperatingPoint) -> f64 {
    bench.output.map_or(point.mean_v, |output| output.set_v)
}

/// Greatest loss of a rail, W; `None` where it cannot be solved, which is a finding elsewhere.
pub fn worst_w(asked: Asked<'_>, assembly: Assembly<'_>) -> Option<f64> {
    let bench = Bench::build(asked, assembly, std::iter::once(WORST)).ok()?;
    let point = bench.points_of(Body::Heavy).first()?;
    Some(at(&bench, point, stage::load_of(asked.rail, Body::Heavy)))
}

/// Rounds after which the air inside has run away.
const ROUNDS_MAX: u32 = 40;
/// Change of the rise below which it has come to rest, K.
const RISE_TOLERANCE_K: f64 = 1e-3;

/// Rise of the air inside over the room, K, and whether it came to rest: as stated, or the fixed point of the loss of all
/// rails at its worst and the enclosure's thermal resistance.
pub fn inside_rise(
    requirement: &Requirement,
    policy: &Policy,
    rails: &[(&Rail, Assembly<'_>)],
) -> (f64, bool) {
    let resistance = match requirement.ambient.enclosure {
        Enclosure::Rise(rise) => return (rise.0, true),
        Enclosure::Resistance(resistance) => resistance.0,
    };
    let mut rise_k = 0.0;
    for _ in 0..ROUNDS_MAX {
        let lost_w: f64 = rails
            .iter()
            .filter_map(|&(rail, assembly)| {
                worst_w(Asked { requirement, rail, policy, inside_rise_k: rise_k }, assembly)
            })
            .sum();
        let next = resistance * lost_w;
        let moved = (next - rise_k).abs();
        rise_k = next;
        if moved <= RISE_TOLERANCE_K {
            return (rise_k, true);
        }
    }
    (rise_k, false)
}

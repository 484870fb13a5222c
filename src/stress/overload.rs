//! The rail with its output shorted behind what limits the current, for as long as it takes: a regulator's limit, or the
//! resistance of a second section.
//!
//! Knows no limit; two rules share it. Exact: the circuit is solved anew at that current.

use crate::{
    circuit::{
        corner::{End, Thermal, Vertex},
        operate::{OperatingPoint, operate},
        supply::{Drawn, Section, Supply},
    },
    physics::copper,
    quantity::Celsius,
};

use super::{bench::Bench, fault::Fault, pass_point::PassNumbers, surge};

/// The rail at its greatest current limit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Overload {
    /// The point at which it was solved; `None` where the source cannot give that much or the windings run away.
    pub(super) point: Option<OperatingPoint>,
    /// Currents for the fuses.
    pub(super) fault: Fault,
    /// Current drawn from the reservoir, A.
    pub(super) load_a: f64,
}

/// Output shorted, mains high, windings hot; `None` for a raw rail with nothing between reservoir and output.
///
/// Behind a second section a regulator draws its limit from the second bank, or what the section lets through where that is less.
pub(super) fn shorted_output(bench: &Bench<'_>) -> Option<Overload> {
    let ohm = surge::section_ohm(&bench.supply).map(|(ohm, _)| ohm);
    let Some(limit_a) = limited_a(bench) else { return ohm.map(|ohm| through(bench, ohm)) };
    let limited = drawing(bench, limit_a);
    let starved = ohm.filter(|&ohm| reservoir_v(bench, limit_a) < limit_a * ohm);
    Some(starved.map_or(limited, |ohm| through(bench, ohm)))
}

/// What a regulator at its greatest limit draws from its reservoir, A; `None` for a raw rail.
fn limited_a(bench: &Bench<'_>) -> Option<f64> {
    let regulation = bench.assembly.regulation.as_ref()?;
    let own_a = regulation.part.limit_max.0;
    // Pass transistors add what their limit transistor leaves them.
    let stage_a = regulation
        .pass
        .as_ref()
        .map_or(own_a, |pass| PassNumbers::of(bench.asked, pass).limit_total_a(own_a));
    Some(stage_a + bench.auxiliary.ground_a + bench.auxiliary.bleeder_a)
}

/// Heat of a second section's resistor or choke with the output shorted, W; `None` without one.
///
/// ```text
/// raw: P = V²/R-;   behind a regulator: P = I_lim² min(R+, V/I_lim), the same as raw where R- > V/I_lim
/// ```
/// `V` mean of the reservoir at the current that flows, V · `I_lim` greatest limit and what the supply draws itself, A · `R-`, `R+` least
/// and greatest resistance, of a choke cold and as warm as the limit makes it, Ω. Source: Ohm and Joule; derived.
pub fn shorted_section_w(bench: &Bench<'_>) -> Option<f64> {
    let (least_ohm, _) = surge::section_ohm(&bench.supply)?;
    let Some(limit_a) = limited_a(bench) else { return shorted_second_w(bench) };
    let feeds_ohm = reservoir_v(bench, limit_a) / limit_a;
    if least_ohm >= feeds_ohm {
        return shorted_second_w(bench);
    }
    let most_ohm = match bench.supply.section {
        Some(Section::Crc(ohm, _)) => ohm.high,
        Some(Section::Clc(choke, _) | Section::ChokeInput(choke)) => {
            let warm_c = bench.supply.air.hot_c + choke.rise_per_a2 * limit_a * limit_a;
            choke.ohm_20 * copper::factor(Celsius(warm_c))
        }
        None => least_ohm,
    };
    Some(limit_a * limit_a * most_ohm.min(feeds_ohm))
}

/// The same with the second bank shorted, W: what the section itself lets through.
pub fn shorted_second_w(bench: &Bench<'_>) -> Option<f64> {
    let (ohm, _) = surge::section_ohm(&bench.supply)?;
    Some(ohm * through(bench, ohm).load_a.powi(2))
}

/// Mean of the reservoir while a current is drawn from it, V; nothing where it cannot give that much.
fn reservoir_v(bench: &Bench<'_>, amps: f64) -> f64 {
    let supply = Supply { section: None, load_a: Drawn::steady(amps), ..bench.supply };
    operate(&supply, VERTEX).map_or(0.0, |point| point.mean_v)
}

/// Where the most current flows.
const VERTEX: Vertex = Vertex {
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

/// Halvings after which the current through a resistance is known.
const HALVINGS: u32 = 40;

/// The reservoir discharged into a short through a resistance: its mean over the resistance is what is drawn.
///
/// The mean falls as more is drawn, so halving finds it; the greater end is taken.
fn through(bench: &Bench<'_>, ohm: f64) -> Overload {
    let alone = Supply { section: None, ..bench.supply };
    let (mut least_a, mut most_a) = (0.0, bench.no_load_peak_v() / ohm.max(1e-3));
    for _ in 0..HALVINGS {
        let middle_a = 0.5 * (least_a + most_a);
        let point = operate(&Supply { load_a: Drawn::steady(middle_a), ..alone }, VERTEX);
        if point.is_ok_and(|point| point.mean_v > middle_a * ohm) {
            least_a = middle_a;
        } else {
            most_a = middle_a;
        }
    }
    drawing(bench, most_a)
}

/// The rail with a steady current drawn from its reservoir.
fn drawing(bench: &Bench<'_>, load_a: f64) -> Overload {
    let supply = Supply { section: None, load_a: Drawn::steady(load_a), ..bench.supply };
    let point = operate(&supply, VERTEX).ok().filter(|point| point.settled);
    let fault = point.as_ref().map_or(Fault { primary_a: 0.0, path_a: 0.0 }, |point| Fault {
        primary_a: point.primary_load_rms_a,
        path_a: point.path_rms_a,
    });
    Overload { point, fault, load_a }
}

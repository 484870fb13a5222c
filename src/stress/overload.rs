//! The rail with its output shorted behind a regulator: the current limit's most, for as long as it takes.
//!
//! Knows no limit; two rules share it. Exact: the circuit is solved anew at that current.

use crate::circuit::{
    corner::{End, Thermal, Vertex},
    operate::{OperatingPoint, operate},
    supply::{Drawn, Supply},
};

use super::{bench::Bench, fault::Fault, pass_point::PassNumbers};

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

/// Output shorted, mains high, windings hot; `None` for a raw rail.
pub(super) fn shorted_output(bench: &Bench<'_>) -> Option<Overload> {
    let regulation = bench.assembly.regulation.as_ref()?;
    let own_a = regulation.part.limit_max.0;
    // Pass transistors add what their limit transistor leaves them.
    let stage_a = regulation
        .pass
        .as_ref()
        .map_or(own_a, |pass| PassNumbers::of(bench.asked, pass).limit_total_a(own_a));
    let load_a = stage_a + bench.auxiliary.ground_a + bench.auxiliary.bleeder_a;
    let supply = Supply { load_a: Drawn::steady(load_a), ..bench.supply };
    let vertex = Vertex {
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
    let point = operate(&supply, vertex).ok().filter(|point| point.settled);
    let fault = point.as_ref().map_or(Fault { primary_a: 0.0, path_a: 0.0 }, |point| Fault {
        primary_a: point.primary_load_rms_a,
        path_a: point.path_rms_a,
    });
    Some(Overload { point, fault, load_a })
}

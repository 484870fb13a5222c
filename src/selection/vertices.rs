//! The vertices at which a stress is expected to be worst: looked at first, because most candidates fail there.
//!
//! A candidate that fails at one of them fails; one that passes is still judged at every vertex.

use crate::circuit::{
    corner::{End, Thermal, Vertex},
    figures::NoSteadyState,
    operate::{OperatingPoint, operate},
    supply::Supply,
};

const LOADED: Vertex = Vertex {
    mains: End::High,
    load: End::High,
    frequency: End::High,
    thermal: Thermal::Cold,
    emf: End::High,
    capacitance: End::High,
    esr: End::Low,
    drop: End::Low,
    leakage: End::Low,
    others: None,
};

/// Lowest reservoir valley, nothing heated.
pub const VALLEY_COLD: Vertex = Vertex {
    mains: End::Low,
    frequency: End::Low,
    emf: End::Low,
    capacitance: End::Low,
    esr: End::High,
    drop: End::High,
    ..LOADED
};
/// Lowest reservoir valley, everything heated.
pub const VALLEY_HOT: Vertex = Vertex { thermal: Thermal::Hot, ..VALLEY_COLD };
/// Greatest rms and peak currents.
pub const CURRENT: Vertex = LOADED;
/// Greatest dissipation of the regulator.
pub const DISSIPATION: Vertex = Vertex { thermal: Thermal::Hot, ..LOADED };
/// Greatest heat in winding and rectifier.
pub const HEAT: Vertex = Vertex { drop: End::High, ..DISSIPATION };

/// All of them, in the order in which they are looked at.
pub const NAMED: [Vertex; 5] = [VALLEY_COLD, CURRENT, VALLEY_HOT, DISSIPATION, HEAT];

/// All of them; where leakage is stated also with it at its upper end, and where a transformer is shared with the other rail at
/// either end.
pub fn named(leakage_stated: bool, shared: bool) -> impl Iterator<Item = Vertex> {
    let leaky = if leakage_stated { NAMED.len() } else { 0 };
    let others: &[Option<End>] = if shared { &[Some(End::High), Some(End::Low)] } else { &[None] };
    NAMED
        .into_iter()
        .chain(NAMED.into_iter().take(leaky).map(|vertex| Vertex { leakage: End::High, ..vertex }))
        .flat_map(|vertex| others.iter().map(move |&others| Vertex { others, ..vertex }))
}

/// A rail at one of them; where it shares its transformer, the other rails as they make the vertex worst: idle where current and
/// mean are greatest, laden where the valley is lowest and the windings are hottest.
pub(super) fn at(supply: &Supply, vertex: Vertex) -> Result<OperatingPoint, NoSteadyState> {
    let others = (!supply.beside.is_empty()).then_some(vertex.drop);
    operate(supply, Vertex { others, ..vertex })
}

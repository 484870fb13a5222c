//! Every way a transformer can feed a rectifier: connection, wiring, topology.
//!
//! Screens by nothing but the rules that concern transformer and mains alone.

use crate::{
    catalog::Transformer,
    circuit::{spec::Topology, supply::Source},
    requirement,
    stress::{
        assembly::{Assembly, Wiring},
        bench::Asked,
        convert::source_of,
    },
};

use super::shop::Shop;

/// Largest ratio of mains to the rated voltage of the connection, either way: beyond it a connection is for other mains.
pub const CONNECTION_RATIO_MAX: f64 = 1.16;

/// One way to feed a rectifier.
#[derive(Clone, Copy, Debug)]
pub struct SourceOption<'a> {
    /// Part.
    pub transformer: &'a Transformer,
    /// Index of the primary connection.
    pub primary: usize,
    /// How the secondaries are used.
    pub wiring: Wiring,
    /// Topology.
    pub topology: Topology,
    /// As plain numbers.
    pub source: Source,
    /// Score of the part.
    pub score: f64,
}

/// The circuit topology of a topology that a requirement allows.
pub fn circuit_topology(topology: requirement::Topology) -> Topology {
    match topology {
        requirement::Topology::HalfWave => Topology::HalfWave,
        requirement::Topology::CentreTap => Topology::CentreTap,
        requirement::Topology::Bridge => Topology::Bridge,
        requirement::Topology::FullWaveDoubler => Topology::FullWaveDoubler,
        requirement::Topology::HalfWaveDoubler => Topology::HalfWaveDoubler,
        requirement::Topology::DualComplementary => Topology::DualComplementary,
    }
}

/// Wirings that make a topology from the secondaries of a part, for one rail or for one of two.
fn wirings(topology: Topology, part: &Transformer, mated: bool) -> &'static [Wiring] {
    if !part.has_equal_windings() {
        return if mated && topology == Topology::Bridge { &[Wiring::First, Wiring::Second] } else { &[] };
    }
    let whole = matches!(
        topology,
        Topology::HalfWave | Topology::Bridge | Topology::FullWaveDoubler | Topology::HalfWaveDoubler
    );
    match (topology, part.secondaries.len(), mated) {
        (Topology::Bridge, 2, true) => &[Wiring::Single],
        (_, 1, false) if whole => &[Wiring::Single],
        (_, 2, false) if whole => &[Wiring::Series, Wiring::Parallel],
        (Topology::CentreTap, 2, false) => &[Wiring::CentreTap],
        (Topology::DualComplementary, 2, true) => &[Wiring::Complementary],
        _ => &[],
    }
}

/// All sources of a topology, cheapest first; of equal ones by part id, connection, wiring.
///
/// `blank` is any assembly: only its transformer fields are replaced.
pub fn sources<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    topology: Topology,
    blank: &Assembly<'a>,
) -> Vec<SourceOption<'a>> {
    let mains_v = asked.requirement.mains.voltage.0;
    let mut found = Vec::new();
    for priced in &shop.transformers {
        for (primary, connection) in priced.part.primaries.iter().enumerate() {
            let ratio = mains_v / connection.rated.0;
            if ratio.max(1.0 / ratio) > CONNECTION_RATIO_MAX {
                continue;
            }
            for &wiring in wirings(topology, priced.part, blank.mate.is_some()) {
                let assembly = Assembly { transformer: priced.part, primary, wiring, topology, ..*blank };
                if let Ok(source) = source_of(asked.requirement, &assembly) {
                    found.push(SourceOption {
                        transformer: priced.part,
                        primary,
                        wiring,
                        topology,
                        source,
                        score: priced.score(1),
                    });
                }
            }
        }
    }
    found
}

//! Every way a transformer can feed a rectifier: connection, wiring, topology.
//!
//! Screens by nothing but the rules that concern transformer and mains alone.

use crate::{
    catalog::Transformer,
    circuit::{spec::Topology, supply::Source},
    numeric::few::Few,
    requirement,
    stress::{
        assembly::{Assembly, Mate, Wiring},
        bench::Asked,
        convert::source_of,
        seat::{interchangeable, seatings},
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
    /// How the other rails on them use them, in their order.
    pub others: Few<Wiring>,
    /// Topology.
    pub topology: Topology,
    /// As plain numbers.
    pub source: Source,
    /// Score of the part.
    pub score: f64,
}

/// A wiring that stands for those of a topology before windings are dealt out among several rails.
pub fn unseated(topology: Topology) -> Wiring {
    if topology == Topology::DualComplementary { Wiring::Complementary } else { Wiring::Single }
}

impl<'a> SourceOption<'a> {
    /// Mates as they are wired behind this source.
    pub fn seated(&self, mates: &Few<Mate<'a>>) -> Few<Mate<'a>> {
        seated(mates, self.others)
    }
}

/// Mates with their wirings.
fn seated<'a>(mates: &Few<Mate<'a>>, wirings: Few<Wiring>) -> Few<Mate<'a>> {
    Few::of(mates.iter().zip(wirings).map(|(mate, wiring)| Mate { wiring, ..*mate }))
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

/// How a rail and the others on its transformer use the secondaries: those wirings in the order of the rails.
pub type Seats = (Wiring, Few<Wiring>);

/// Every way in which the secondaries of a part feed several rails, each of a topology; `place` is that of the rail asked for.
///
/// Of windings alike the first feeds the first rail: the other way round is the same.
pub fn seats(part: &Transformer, topologies: &[Topology], place: usize) -> Vec<Seats> {
    let mut found = Vec::new();
    for set in seatings(part).iter().filter(|set| set.len() == topologies.len()) {
        for order in orders(set.len()) {
            let wirings: Vec<Wiring> = order.iter().filter_map(|&at| set.get(at).copied()).collect();
            let fits = |(wiring, topology): (&Wiring, &Topology)| match topology {
                Topology::DualComplementary => *wiring == Wiring::Complementary,
                Topology::Bridge => *wiring != Wiring::Complementary,
                _ => false,
            };
            let sorted = |one: usize, other: usize| match (wirings.get(one), wirings.get(other)) {
                (Some(&a), Some(&b)) => a <= b || !interchangeable(part, a, b),
                _ => true,
            };
            let in_order = (1..wirings.len()).all(|other| (0..other).all(|one| sorted(one, other)));
            let Some(&own) = wirings.get(place) else { continue };
            let others = wirings.iter().enumerate().filter(|(at, _)| *at != place).map(|(_, &wiring)| wiring);
            let seats = (own, Few::of(others));
            if in_order && wirings.iter().zip(topologies).all(fits) && !found.contains(&seats) {
                found.push(seats);
            }
        }
    }
    found
}

/// Every order of some things, first of all their own.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let shorter = orders(count - 1);
    (0..count)
        .rev()
        .flat_map(|at| {
            shorter.iter().map(move |order| {
                let mut order = order.clone();
                order.insert(at.min(order.len()), count - 1);
                order
            })
        })
        .collect()
}

/// Wirings that make a topology from the secondaries of a part, for one rail alone.
fn wirings(topology: Topology, part: &Transformer) -> &'static [Wiring] {
    if !part.has_equal_windings() {
        return &[];
    }
    let whole = matches!(
        topology,
        Topology::HalfWave | Topology::Bridge | Topology::FullWaveDoubler | Topology::HalfWaveDoubler
    );
    match (topology, part.secondaries.len()) {
        (_, 1) if whole => &[Wiring::Single],
        (_, 2) if whole => &[Wiring::Series, Wiring::Parallel],
        (Topology::CentreTap, 2) => &[Wiring::CentreTap],
        _ => &[],
    }
}

/// All sources of a topology, cheapest first; of equal ones by part id, connection, wiring.
///
/// `blank` is any assembly: only its transformer fields are replaced. `beside`: where its mates hang on the same transformer the
/// topologies of all of them in the order of the rails, and the rail's place among them.
pub fn sources<'a>(
    asked: Asked<'_>,
    shop: &Shop<'a>,
    topology: Topology,
    blank: &Assembly<'a>,
    beside: Option<(&[Topology], usize)>,
) -> Vec<SourceOption<'a>> {
    let mains_v = asked.requirement.mains.voltage.0;
    let mut found = Vec::new();
    for priced in &shop.transformers {
        for (primary, connection) in priced.part.primaries.iter().enumerate() {
            let ratio = mains_v / connection.rated.0;
            if ratio.max(1.0 / ratio) > CONNECTION_RATIO_MAX {
                continue;
            }
            let seats = match beside {
                Some((topologies, place)) => seats(priced.part, topologies, place),
                None => wirings(topology, priced.part).iter().map(|&wiring| (wiring, Few::NONE)).collect(),
            };
            for (wiring, others) in seats {
                let mates = seated(&blank.mates, others);
                let assembly =
                    Assembly { transformer: priced.part, primary, wiring, topology, mates, ..*blank };
                if let Ok(source) = source_of(asked.requirement, &assembly) {
                    found.push(SourceOption {
                        transformer: priced.part,
                        primary,
                        wiring,
                        others,
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

//! Short words for vertices, origins of limits and degrees of knowledge.
//!
//! Knows no numbers.

use crate::{
    circuit::{
        corner::{End, Thermal, Vertex},
        spec::Topology,
    },
    policy::Known,
    stress::verdict::Origin,
};

/// A vertex in short: `hot M+ L+ f− E+ C+ R− D+`.
pub(super) fn vertex(vertex: &Vertex) -> String {
    let sign = |end: End| end.of('−', '+');
    let state = match vertex.thermal {
        Thermal::Cold => "cold",
        Thermal::Hot => "hot",
    };
    format!(
        "{state} M{} L{} f{} E{} C{} R{} D{}{}{}",
        sign(vertex.mains),
        sign(vertex.load),
        sign(vertex.frequency),
        sign(vertex.emf),
        sign(vertex.capacitance),
        sign(vertex.esr),
        sign(vertex.drop),
        vertex.leakage.of("", " leakage+"),
        vertex.others.map_or("", |end| end.of(" O−", " O+")),
    )
}

/// Where a limit comes from, and how that figure is known; the second is empty where there is nothing to know.
pub(super) fn origin(origin: &Origin, policy: &str) -> (String, &'static str) {
    match origin {
        Origin::Policy { clause, known } if clause.is_empty() || clause == "none" => {
            (policy.to_owned(), self::known(*known))
        }
        Origin::Policy { clause, known } => (format!("{policy}, {clause}"), self::known(*known)),
        Origin::Rating => (String::from("the part's rating"), ""),
        Origin::Requirement => (String::from("the requirement"), ""),
        Origin::Standard(name) => ((*name).to_owned(), ""),
    }
}

/// How a figure is known.
pub(super) const fn known(known: Known) -> &'static str {
    match known {
        Known::Seen => "seen",
        Known::SecondHand => "seen in a second witness",
        Known::Memory => "from memory",
        Known::CommonPractice => "common practice",
    }
}

/// A topology in words.
pub(super) const fn topology(topology: Topology) -> &'static str {
    match topology {
        Topology::HalfWave => "half-wave",
        Topology::CentreTap => "centre-tapped full-wave",
        Topology::Bridge => "bridge",
        Topology::FullWaveDoubler => "full-wave doubler",
        Topology::HalfWaveDoubler => "half-wave doubler",
        Topology::DualComplementary => "dual complementary",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_vertex_has_its_own_short_name() {
        let names: std::collections::BTreeSet<String> =
            Vertex::all(true, true).map(|one| vertex(&one)).collect();
        assert_eq!(names.len(), 1024);
        assert!(names.contains("cold M− L− f− E− C− R− D− O−"));
        assert!(names.contains("hot M+ L+ f+ E+ C+ R+ D+ leakage+ O+"));
    }
}

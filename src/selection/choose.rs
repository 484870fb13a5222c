//! The whole supply: every rail in every topology, and what all rails together cost.
//!
//! Knows nothing of words or files.

use rayon::prelude::*;

use crate::{
    candidate::{
        shop::{Shop, View},
        source::circuit_topology,
    },
    catalog::Catalog,
    circuit::spec::Topology,
    policy::Policy,
    requirement::{Enclosure, Requirement},
    stress::bench::Asked,
};

use super::{
    leaf::Found,
    search::{Banned, Search},
    tally::Tally,
};

/// How much more than the design an alternative may score.
const ALTERNATIVE_MOST: f64 = 1.5;

/// What one topology comes to for one rail.
#[derive(Clone, Debug)]
pub struct TopologyOutcome<'a> {
    /// Topology.
    pub topology: Topology,
    /// Best rail, if any.
    pub best: Option<Found<'a>>,
    /// What stopped the others.
    pub tally: Tally,
}

/// One rail with every topology looked at.
#[derive(Clone, Debug)]
pub struct RailOutcome<'a> {
    /// Index of the rail.
    pub rail: usize,
    /// Topologies, in the order allowed.
    pub topologies: Vec<TopologyOutcome<'a>>,
}

impl<'a> RailOutcome<'a> {
    /// The best rail over all topologies; of equal scores the first by part ids.
    pub fn best(&self) -> Option<&Found<'a>> {
        let all = self.topologies.iter().filter_map(|one| one.best.as_ref());
        all.reduce(|a, b| if b.before(a) { b } else { a })
    }

    /// What stopped everything, over all topologies.
    pub fn tally(&self) -> Tally {
        let mut all = Tally::default();
        for one in &self.topologies {
            all.absorb(&one.tally);
        }
        all
    }
}

/// Inputs of a selection.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// What is asked.
    pub requirement: &'a Requirement,
    /// What can be bought.
    pub catalog: &'a Catalog,
    /// What is allowed.
    pub policy: &'a Policy,
}

impl<'a> Inputs<'a> {
    /// What is asked of one rail.
    pub fn asked(&self, rail: usize) -> Option<Asked<'a>> {
        Some(Asked {
            requirement: self.requirement,
            rail: self.requirement.rails.get(rail)?,
            policy: self.policy,
            inside_rise_k: inside_rise_k(self.requirement),
        })
    }
}

/// Rise of the air inside over the room, K. An enclosure stated by its thermal resistance is taken at a loss as great as
/// the power all rails deliver, which a linear supply does not exceed at the corners the catalog covers.
pub fn inside_rise_k(requirement: &Requirement) -> f64 {
    match requirement.ambient.enclosure {
        Enclosure::Rise(rise) => rise.0,
        Enclosure::Resistance(resistance) => {
            let delivered: f64 =
                requirement.rails.iter().map(|rail| rail.voltage.0 * rail.current_max.0).sum();
            resistance.0 * delivered
        }
    }
}

/// Every rail in every allowed topology, each part bought for its one position.
pub fn solo<'a>(inputs: Inputs<'a>, shop: &Shop<'a>, banned: &Banned) -> Vec<RailOutcome<'a>> {
    let tasks: Vec<(usize, Topology)> = (0..inputs.requirement.rails.len())
        .flat_map(|rail| {
            inputs.requirement.topologies.iter().map(move |&topology| (rail, circuit_topology(topology)))
        })
        .collect();
    let outcomes: Vec<(usize, TopologyOutcome<'a>)> = tasks
        .into_par_iter()
        .filter_map(|(rail, topology)| {
            let asked = inputs.asked(rail)?;
            let found = Search::new(asked, shop, topology, banned).run(f64::INFINITY);
            Some((
                rail,
                TopologyOutcome { topology, best: found.found.into_iter().next(), tally: found.tally },
            ))
        })
        .collect();
    (0..inputs.requirement.rails.len())
        .map(|rail| RailOutcome {
            rail,
            topologies: outcomes.iter().filter(|(of, _)| *of == rail).map(|(_, one)| one.clone()).collect(),
        })
        .collect()
}

/// The best designs of a rail that do without the transformer chosen, and without the regulator chosen.
pub fn without<'a>(inputs: Inputs<'a>, shop: &Shop<'a>, rail: usize, chosen: &Found<'a>) -> Vec<Found<'a>> {
    let regulator = chosen.assembly.regulation.map(|stage| &stage.part.common.id.0);
    let bans = std::iter::once(&chosen.assembly.transformer.common.id.0).chain(regulator);
    let tasks: Vec<(&String, Topology)> = bans
        .flat_map(|ban| inputs.requirement.topologies.iter().map(move |&one| (ban, circuit_topology(one))))
        .collect();
    let found: Vec<(&String, Option<Found<'a>>)> = tasks
        .into_par_iter()
        .filter_map(|(ban, topology)| {
            let banned = Banned::from([ban.clone()]);
            let search = Search::new(inputs.asked(rail)?, shop, topology, &banned);
            Some((ban, search.run(ALTERNATIVE_MOST * chosen.score).found.into_iter().next()))
        })
        .collect();
    let mut best: Vec<(&String, Found<'a>)> = Vec::new();
    for (ban, found) in found {
        let Some(found) = found else { continue };
        match best.iter_mut().find(|(of, _)| *of == ban) {
            Some((_, known)) if found.before(known) => *known = found,
            Some(_) => {}
            None => best.push((ban, found)),
        }
    }
    best.into_iter().map(|(_, found)| found).collect()
}

/// A search that may use every part.
pub fn nothing_banned() -> Banned {
    Banned::new()
}

/// A shop for parts each bought for its one position.
pub fn open(inputs: Inputs<'_>) -> Shop<'_> {
    Shop::open(inputs.catalog, inputs.requirement, View::Alone)
}

//! The whole supply: every rail in every topology, and what all rails together cost.
//!
//! Knows nothing of words or files.

use rayon::prelude::*;

use crate::{
    candidate::shop::{Shop, View},
    catalog::Catalog,
    policy::Policy,
    requirement::{Enclosure, Requirement},
    stress::bench::Asked,
};

use super::{
    leaf::Found,
    search::{Circuit, Search, circuits},
    tally::Tally,
};

/// How much more than the design an alternative may score.
const ALTERNATIVE_MOST: f64 = 1.5;

/// What one topology comes to for one rail.
#[derive(Clone, Debug)]
pub struct TopologyOutcome<'a> {
    /// Circuit.
    pub circuit: Circuit,
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
    /// Circuits, in the order allowed.
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
/// the power all rails deliver: where selection begins, before there are parts that lose anything.
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

/// Searches of every rail in every allowed topology, their lists made once.
pub struct Searches<'s, 'a> {
    /// Index of the rail and its search, by rail, topologies in the order allowed.
    all: Vec<(usize, Search<'s, 'a>)>,
    rails: usize,
}

impl<'s, 'a> Searches<'s, 'a> {
    /// Lists everything that could serve.
    pub fn of(inputs: Inputs<'a>, shop: &'s Shop<'a>) -> Self {
        let rails = inputs.requirement.rails.len();
        let tasks: Vec<(usize, Circuit)> = inputs
            .requirement
            .rails
            .iter()
            .enumerate()
            .flat_map(|(rail, of)| circuits(inputs.requirement, of).into_iter().map(move |one| (rail, one)))
            .collect();
        let all = tasks
            .into_par_iter()
            .filter_map(|(rail, circuit)| Some((rail, Search::of(inputs.asked(rail)?, shop, circuit))))
            .collect();
        Self { all, rails }
    }

    /// Every rail in every allowed topology, each part bought for its one position.
    pub fn solo(&self) -> Vec<RailOutcome<'a>> {
        let outcomes: Vec<(usize, TopologyOutcome<'a>)> = self
            .all
            .par_iter()
            .map(|(rail, search)| {
                let found = search.run(f64::INFINITY);
                let best = found.found.into_iter().next();
                (*rail, TopologyOutcome { circuit: search.circuit(), best, tally: found.tally })
            })
            .collect();
        (0..self.rails)
            .map(|rail| RailOutcome {
                rail,
                topologies: outcomes
                    .iter()
                    .filter(|(of, _)| *of == rail)
                    .map(|(_, one)| one.clone())
                    .collect(),
            })
            .collect()
    }

    /// The best design of each rail without the transformer chosen for it, and without the regulator chosen.
    ///
    /// A topology whose best does without the part already bounds the search of the others.
    pub fn without(&self, rails: &[RailOutcome<'a>], chosen: &[Found<'a>]) -> Vec<(usize, Found<'a>)> {
        let tasks: Vec<(&RailOutcome<'a>, &Found<'a>, &str)> = rails
            .iter()
            .filter_map(|rail| Some((rail, chosen.get(rail.rail)?)))
            // Of two on one transformer neither is exchanged alone.
            .filter(|(_, own)| own.assembly.is_alone())
            .flat_map(|(rail, own)| {
                let regulator = own.assembly.regulation.map(|stage| stage.part.common.id.0.as_str());
                std::iter::once(own.assembly.transformer.common.id.0.as_str())
                    .chain(regulator)
                    .map(move |part| (rail, own, part))
            })
            .collect();
        let found: Vec<Option<(usize, Found<'a>)>> = tasks
            .into_par_iter()
            .map(|(rail, own, part)| Some((rail.rail, self.best_without(rail, own, part)?)))
            .collect();
        found.into_iter().flatten().collect()
    }

    /// The best design of a rail that does without a part, if it is not much worse than the one chosen.
    fn best_without(&self, rail: &RailOutcome<'a>, own: &Found<'a>, part: &str) -> Option<Found<'a>> {
        let mut known: Vec<(&TopologyOutcome<'a>, f64)> = rail
            .topologies
            .iter()
            .map(|one| (one, one.best.as_ref().map_or(f64::INFINITY, |best| best.score)))
            .collect();
        known.sort_by(|a, b| a.1.total_cmp(&b.1));
        let fits = |found: &&Found<'a>| found.assembly.primary_fuse.is_some() && !uses(found, part);
        let mut best: Option<Found<'a>> = known
            .iter()
            .filter_map(|(one, _)| one.best.as_ref())
            .filter(fits)
            .reduce(|a, b| if b.before(a) { b } else { a })
            .cloned();
        for (outcome, _) in known {
            if outcome.best.as_ref().is_some_and(|found| !uses(found, part)) {
                // Its best does without the part as it is.
                continue;
            }
            let search =
                self.all.iter().find(|(index, one)| *index == rail.rail && one.circuit() == outcome.circuit);
            let most =
                best.as_ref().map_or(f64::INFINITY, |found| found.score).min(ALTERNATIVE_MOST * own.score);
            let other = search.and_then(|(_, one)| one.run_without(part, most).found.into_iter().next());
            best = [best, other].into_iter().flatten().reduce(|a, b| if b.before(&a) { b } else { a });
        }
        best.filter(|found| found.score <= ALTERNATIVE_MOST * own.score)
    }
}

/// Whether a design has a part as its transformer or regulator.
fn uses(found: &Found<'_>, part: &str) -> bool {
    found.assembly.transformer.common.id.0 == part
        || found.assembly.regulation.is_some_and(|stage| stage.part.common.id.0 == part)
}

/// A shop for parts each bought for its one position.
pub fn open(inputs: Inputs<'_>) -> Shop<'_> {
    Shop::open(inputs.catalog, inputs.requirement, View::Alone)
}

//! The searches of all rails of a supply side by side.
//!
//! Chooses nothing: `joint` asks each what its rail comes to.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::{
    candidate::{shop::Shop, source::circuit_topology},
    circuit::spec::Topology,
};

use super::{choose::Inputs, leaf::Found, protect::Fusing, search::Search, usage::Usage};

/// A search of one rail in one topology.
pub(super) struct RailSearch<'s, 'a> {
    /// Index of the rail.
    pub(super) index: usize,
    /// Whether a mains fuse is looked for.
    pub(super) fusing: Fusing,
    /// The search.
    pub(super) search: Search<'s, 'a>,
}

/// Searches of every rail in every topology without a second section: one that is best with a section stays as it is alone.
pub(super) fn searches<'s, 'a>(
    inputs: Inputs<'a>,
    alone: &[Found<'a>],
    shop: &'s Shop<'a>,
) -> Vec<RailSearch<'s, 'a>> {
    let topologies = &inputs.requirement.topologies;
    let tasks: Vec<(usize, Topology)> = (0..inputs.requirement.rails.len())
        .flat_map(|rail| topologies.iter().map(move |&topology| (rail, circuit_topology(topology))))
        .collect();
    tasks
        .into_par_iter()
        .filter_map(|(index, topology)| {
            let search = Search::new(inputs.asked(index)?, shop, topology);
            // A rail that alone has no fuse that passes has none here either.
            let bare = alone.get(index).is_some_and(|found| found.assembly.primary_fuse.is_none());
            let fusing = if bare { Fusing::Without } else { Fusing::Fitted };
            Some(RailSearch { index, fusing, search })
        })
        .collect()
}

/// Most pieces of each part that all rails together could use within reach, each as it is alone included.
pub(super) fn usage(
    searches: &[RailSearch<'_, '_>],
    alone: &[Found<'_>],
    reach: impl Fn(usize) -> f64 + Sync,
) -> Usage {
    let mut found: Vec<(usize, Usage)> =
        searches.par_iter().map(|one| (one.index, one.search.usage(reach(one.index), one.fusing))).collect();
    let kept = alone.iter().enumerate().filter(|(_, found)| found.assembly.section.is_some());
    found.extend(kept.map(|(rail, found)| (rail, pieces_of(found))));
    let mut by_rail: BTreeMap<usize, Usage> = BTreeMap::new();
    for (rail, usage) in found {
        let known = by_rail.entry(rail).or_default();
        for (part, count) in usage {
            let known = known.entry(part).or_default();
            *known = (*known).max(count);
        }
    }
    let mut all = Usage::new();
    for (part, count) in by_rail.into_values().flatten() {
        *all.entry(part).or_default() += count;
    }
    all
}

/// Pieces of each part of one rail.
fn pieces_of(found: &Found<'_>) -> Usage {
    let mut usage = Usage::new();
    for line in found.assembly.lines() {
        *usage.entry(line.common.id.0.clone()).or_default() += line.count;
    }
    usage
}

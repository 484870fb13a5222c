//! What a group of rails on one transformer is sought with: a search for each, the sources they have in common, their trains.

use rayon::prelude::*;

use crate::{
    candidate::{shop::Shop, source::unseated},
    circuit::spec::Topology,
    numeric::few::Few,
    stress::{
        assembly::{Assembly, Mate, Wiring},
        bench::{Asked, Bench},
        registry,
        verdict::Verdict,
    },
};

use super::{
    keep::Wish,
    leaf::Found,
    list::Fed,
    protect::Fusing,
    search::{Search, State},
    vertices::named,
};

/// What names a way to feed a group: part, connection, the wiring of each rail.
pub(super) type Key<'a> = (&'a str, usize, Vec<Wiring>);

/// Trains that are judged in full behind one transformer that several rails share.
const BEHIND_MAX: u32 = 3000;

impl<'a> Search<'_, 'a> {
    /// What is wished for behind one source, with a mains fuse and with any rectifier or only one.
    pub(super) fn trains_behind(
        &self,
        fed: &Fed<'a>,
        wish: Wish,
        most: f64,
        only: Option<&'a str>,
    ) -> Vec<Found<'a>> {
        let mut state = State { only, left: BEHIND_MAX, ..self.state(wish, most, Fusing::Fitted) };
        state.tries_max = u32::MAX;
        if let Some(opened) = self.open(fed, &mut state)
            && opened.bound <= state.bound()
        {
            self.source(&opened, None, &mut state);
        }
        state.kept.into_found()
    }
}

/// A rail of a group at the named vertices or at all, where it passes every rule.
pub(super) fn bench<'a>(asked: Asked<'a>, assembly: &Assembly<'a>, whole: bool) -> Option<Bench<'a>> {
    let bench = if whole {
        Bench::build_whole(asked, *assembly)
    } else {
        let leaky = assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some());
        Bench::build(asked, *assembly, named(leaky, true))
    };
    bench.ok().filter(|bench| registry::judge(bench).iter().all(Verdict::holds))
}

/// What is wished for of each rail, of the sides of a tap with one rectifier only.
pub(super) fn trains<'a>(
    searches: &[Search<'_, 'a>],
    fed: &[&Fed<'a>],
    only: Option<&'a str>,
    wish: impl Fn(usize) -> (Wish, f64) + Sync,
) -> Vec<Vec<Found<'a>>> {
    searches
        .par_iter()
        .zip(fed)
        .enumerate()
        .map(|(at, (search, fed))| {
            let (wish, most) = wish(at);
            let only = only.filter(|_| search.topology == Topology::DualComplementary);
            search.trains_behind(fed, wish, most, only)
        })
        .collect()
}

/// The searches of all rails, each with the others beside it, which are taken to draw some current beside their load.
pub(super) fn searches<'s, 'a>(
    shop: &'s Shop<'a>,
    asked: &[Asked<'a>],
    topologies: &[Topology],
    drawn_a: &[f64],
) -> Vec<Search<'s, 'a>> {
    let mate = |other: usize| {
        let (topology, drawn_a) = (topologies.get(other)?, drawn_a.get(other)?);
        Some(Mate {
            rail: asked.get(other)?.rail,
            wiring: unseated(*topology),
            lists_core: other == 0,
            parts: None,
            assumed_a: *drawn_a,
        })
    };
    let of = |(place, &asked_of): (usize, &Asked<'a>)| {
        let mates = Few::of((0..asked.len()).filter(|other| *other != place).filter_map(mate));
        Search::beside(asked_of, shop, (topologies, place), &mates)
    };
    asked.iter().enumerate().map(of).collect()
}

/// The same source in the search of another rail.
pub(super) fn same<'t, 'a>(
    search: &'t Search<'_, 'a>,
    place: usize,
    wanted: &Key<'a>,
) -> Option<&'t Fed<'a>> {
    search.sources.iter().find(|one| key(one, place) == *wanted)
}

/// What names a source from the place of one of the rails.
pub(super) fn key<'a>(fed: &Fed<'a>, place: usize) -> Key<'a> {
    let option = &fed.option;
    let mut wirings: Vec<Wiring> = option.others.into_iter().collect();
    wirings.insert(place.min(wirings.len()), option.wiring);
    (option.transformer.common.id.0.as_str(), option.primary, wirings)
}

//! Two rails on one transformer: a bridge each behind equal or unlike secondaries, or one bridge behind a tapped winding.
//!
//! Each rail's trains are sought with the other taken as alike but for its load, behind each transformer by itself. What is
//! kept has both rails solved together at every vertex. The search is not a proof: see `DEVELOPERS.md`, "Rails on one core".

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::{
    candidate::{
        shop::{Shop, View},
        source::circuit_topology,
    },
    catalog::Common,
    circuit::{operate::operate_nominal, spec::Topology},
    stress::{
        assembly::{Assembly, Mate},
        bench::{Asked, Bench, numbers},
        loss, registry,
        verdict::Verdict,
    },
};

use super::{
    choose::Inputs,
    keep::Wish,
    leaf::{Found, Order, SCORE_TIE, order_of},
    list::Fed,
    partners::opposite,
    search::Search,
    share::score,
    vertices::named,
};

/// Two rails on one transformer.
#[derive(Clone, Debug)]
pub struct Pair<'a> {
    /// Which rails: first the one that lists what both share.
    pub rails: [usize; 2],
    /// What was chosen of each.
    pub found: [Found<'a>; 2],
    /// Score of both together.
    pub score: f64,
}

/// How far beyond the best trains of each rail others are tried, where the best do not hold together.
const WIDER: [f64; 3] = [1.0, 1.03, 1.12];
/// Trains of one rail behind one transformer that are combined.
const TRAINS_MAX: usize = 16;
/// Combinations behind one transformer that are solved.
const COMBINATIONS_MAX: usize = 20;
/// Pairs that may fall at a vertex which the few named ones do not tell, before every pair is solved at all of them at once.
const REFUSED_MAX: usize = 6;

/// Pairs that fall at some vertex of the whole box, each with the rail that falls; and how many vertices are looked at.
#[derive(Clone, Debug, Default)]
struct Refused<'a> {
    pairs: Vec<([Order<'a>; 2], usize)>,
    /// Whether every pair is solved at all vertices.
    whole: bool,
}

/// The best pair found of two rails that scores less than `most`.
pub fn pair<'a>(inputs: Inputs<'a>, rails: [usize; 2], most: f64) -> Option<Pair<'a>> {
    let shop = &sharing(inputs);
    let topologies: Vec<Topology> = inputs
        .requirement
        .topologies
        .iter()
        .map(|&one| circuit_topology(one))
        .filter(|one| match one {
            Topology::Bridge => true,
            Topology::DualComplementary => opposite(inputs, rails),
            _ => false,
        })
        .collect();
    let mut searches: Vec<Two<'_, 'a>> =
        topologies.into_par_iter().filter_map(|topology| Two::of(inputs, shop, rails, topology)).collect();
    loop {
        // The best by the named vertices is solved at all of them; where it falls, all is sought again without it.
        let found: Vec<Option<Pair<'a>>> = searches.par_iter().map(|two| two.best(most)).collect();
        let best =
            found.into_iter().flatten().reduce(|a, b| if b.score < a.score - SCORE_TIE { b } else { a })?;
        let first = searches.first()?;
        if first.refused.whole {
            return Some(best);
        }
        let both = [0, 1].map(|at: usize| best.found[at].assembly);
        let holds: Vec<bool> = [0, 1]
            .into_par_iter()
            .map(|at: usize| bench(first.asked[at], &both[at], true).is_some())
            .collect();
        let Some(falls) = holds.iter().position(|holds| !holds) else { return Some(best) };
        for two in &mut searches {
            two.refused.pairs.push((both.map(|one| order_of(&one)), falls));
            two.refused.whole = two.refused.pairs.len() >= REFUSED_MAX;
        }
    }
}

/// A rail of a pair at the named vertices or at all, where it passes every rule.
fn bench<'a>(asked: Asked<'a>, assembly: &Assembly<'a>, whole: bool) -> Option<Bench<'a>> {
    let bench = if whole {
        Bench::build_whole(asked, *assembly)
    } else {
        let leaky = assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some());
        Bench::build(asked, *assembly, named(leaky, true))
    };
    bench.ok().filter(|bench| registry::judge(bench).iter().all(Verdict::holds))
}

/// The searches of both rails in one topology.
struct Two<'s, 'a> {
    inputs: Inputs<'a>,
    shop: &'s Shop<'a>,
    rails: [usize; 2],
    topology: Topology,
    asked: [Asked<'a>; 2],
    searches: [Search<'s, 'a>; 2],
    refused: Refused<'a>,
}

impl<'s, 'a> Two<'s, 'a> {
    fn of(inputs: Inputs<'a>, shop: &'s Shop<'a>, rails: [usize; 2], topology: Topology) -> Option<Self> {
        let asked = [inputs.asked(rails[0])?, inputs.asked(rails[1])?];
        let searches = searches(shop, asked, topology, [0.0; 2]);
        Some(Self { inputs, shop, rails, topology, asked, searches, refused: Refused::default() })
    }

    /// Source by source, the least first, as long as one may score less than the best.
    fn best(&self, most: f64) -> Option<Pair<'a>> {
        let mut waiting: Vec<(f64, [&Fed<'a>; 2])> = Vec::new();
        for one in &self.searches[0].sources {
            let same = |other: &&Fed<'a>| beside(one) == key(other);
            if let Some(other) = self.searches[1].sources.iter().find(same) {
                waiting.push((self.least(one, other), [one, other]));
            }
        }
        waiting.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| key(a.1[0]).cmp(&key(b.1[0]))));
        let mut best: Option<Pair<'a>> = None;
        for (least, fed) in waiting {
            let bound = best.as_ref().map_or(most, |pair| pair.score);
            if least > bound {
                break;
            }
            if let Some(pair) = self.behind(fed, bound) {
                best = Some(pair);
            }
        }
        best
    }

    /// What both have in common and each search counts.
    fn shared(&self, fed: &Fed<'a>) -> f64 {
        let rectifier = if self.topology == Topology::DualComplementary {
            self.searches[0].least_rectifier.min(self.searches[1].least_rectifier)
        } else {
            0.0
        };
        fed.option.score + rectifier
    }

    /// Least score of anything behind a source.
    fn least(&self, one: &Fed<'a>, other: &Fed<'a>) -> f64 {
        let both = self.searches[0].least_behind(one) + self.searches[1].least_behind(other);
        both - self.shared(one) + one.fuse_score.max(other.fuse_score)
    }

    /// The same once the best train of either is known: it stands beside the least of the other.
    fn least_with(&self, fed: [&Fed<'a>; 2], alone: &[Found<'a>]) -> f64 {
        let with = |at: usize| {
            let best = alone.get(at).map_or(0.0, |found| found.score);
            best + self.searches[1 - at].least_behind(fed[1 - at])
        };
        with(0).max(with(1)) - self.shared(fed[0])
    }

    /// The best pair behind one source that scores less than `most`.
    fn behind(&self, fed: [&Fed<'a>; 2], most: f64) -> Option<Pair<'a>> {
        match self.topology {
            Topology::DualComplementary => self.about_a_tap(fed, most),
            _ => self.together(fed, None, most),
        }
    }

    /// One rectifier for both: those that are best for either.
    fn about_a_tap(&self, fed: [&Fed<'a>; 2], most: f64) -> Option<Pair<'a>> {
        let mut ids: Vec<&'a str> = Vec::new();
        for (search, fed) in self.searches.iter().zip(fed) {
            let found = search.trains_behind(fed, Wish::Best, most, None);
            let id = found.first()?.assembly.rectifier.common().id.0.as_str();
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        let mut best: Option<Pair<'a>> = None;
        for id in ids {
            let bound = best.as_ref().map_or(most, |pair| pair.score);
            if let Some(pair) = self.together(fed, Some(id), bound) {
                best = Some(pair);
            }
        }
        best
    }

    /// The best trains of both rails, then with what those draw for themselves, and others near them until some hold.
    fn together(&self, fed: [&Fed<'a>; 2], only: Option<&'a str>, most: f64) -> Option<Pair<'a>> {
        let alone = self.alone(&self.searches, fed, only, most)?;
        if self.least_with(fed, &alone) > most {
            return None;
        }
        let mut drawn_a = [0.0; 2];
        for ((drawn_a, asked), found) in drawn_a.iter_mut().zip(self.asked).zip(&alone) {
            *drawn_a = numbers(asked, &found.assembly).ok()?.2.total_a();
        }
        let searches = searches(self.shop, self.asked, self.topology, drawn_a);
        let fed = [same(&searches[0], fed[0])?, same(&searches[1], fed[1])?];
        self.near(&searches, fed, only, most)
    }

    /// The best train of either rail that leaves room for the other.
    fn alone(
        &self,
        searches: &[Search<'s, 'a>; 2],
        fed: [&Fed<'a>; 2],
        only: Option<&'a str>,
        most: f64,
    ) -> Option<Vec<Found<'a>>> {
        let best = |at: usize| {
            searches[at].trains_behind(fed[at], Wish::Best, self.room(fed, at, most), only).into_iter().next()
        };
        [0, 1].into_par_iter().map(best).collect()
    }

    /// What one rail may score beside the least of the other.
    fn room(&self, fed: [&Fed<'a>; 2], at: usize, most: f64) -> f64 {
        most + self.shared(fed[0]) - self.searches[1 - at].least_behind(fed[1 - at])
    }

    /// Trains of both rails combined, the least first, until a combination holds.
    fn near(
        &self,
        searches: &[Search<'s, 'a>; 2],
        fed: [&Fed<'a>; 2],
        only: Option<&'a str>,
        most: f64,
    ) -> Option<Pair<'a>> {
        let alone = self.alone(searches, fed, only, most)?;
        // Trains that fell whatever stood beside them, as far as was tried.
        let mut fallen: [Vec<Order<'a>>; 2] = [Vec::new(), Vec::new()];
        for wider in WIDER {
            let trains: Vec<Vec<Found<'a>>> = if wider > 1.0 {
                let reach = |at: usize| {
                    let best = alone.get(at).map_or(0.0, |best| best.score * wider);
                    best.min(self.room(fed, at, most))
                };
                let all = [0, 1].into_par_iter();
                all.map(|at| searches[at].trains_behind(fed[at], Wish::All(TRAINS_MAX), reach(at), only))
                    .collect()
            } else {
                alone.iter().map(|one| vec![one.clone()]).collect()
            };
            let [ones, others] = trains.as_slice() else { return None };
            let mut both: Vec<(f64, &Found<'a>, &Found<'a>)> = ones
                .iter()
                .flat_map(|one| others.iter().map(move |other| (one.score + other.score, one, other)))
                .collect();
            both.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut tried = 0;
            for (_, one, other) in both {
                let orders = [order_of(&one.assembly), order_of(&other.assembly)];
                if tried >= COMBINATIONS_MAX
                    || fallen[0].contains(&orders[0])
                    || fallen[1].contains(&orders[1])
                {
                    continue;
                }
                tried += 1;
                match self.combined(one, other, most) {
                    Ok(pair) => return Some(pair),
                    Err(Some(rail)) => fallen[rail].push(orders[rail]),
                    Err(None) => {}
                }
            }
        }
        None
    }

    /// Two trains as one pair, with the protection and the rectifier's cooling of either. Where none holds at every vertex,
    /// the rail that falls; none where all that hold score too much.
    fn combined(&self, one: &Found<'a>, other: &Found<'a>, most: f64) -> Result<Pair<'a>, Option<usize>> {
        let tap = self.topology == Topology::DualComplementary;
        let core = |of: &Assembly<'a>, own: &Assembly<'a>| Assembly {
            primary_fuse: of.primary_fuse,
            limiter: of.limiter,
            cut_out: of.cut_out,
            rectifier_cooling: if tap { of.rectifier_cooling } else { own.rectifier_cooling },
            ..*own
        };
        let with = |of: &Found<'a>| [core(&of.assembly, &one.assembly), core(&of.assembly, &other.assembly)];
        let ways = [with(one), with(other)];
        let same = ways[0].iter().zip(&ways[1]).all(|(a, b)| order_of(a) == order_of(b));
        let mut best: Result<Pair<'a>, Option<usize>> = Err(None);
        for way in ways.into_iter().take(if same { 1 } else { 2 }) {
            let bound = best.as_ref().map_or(most, |pair| pair.score);
            match (self.judged(&way, bound), &best) {
                (Ok(pair), _) => best = Ok(pair),
                (Err(Some(rail)), Err(_)) => best = Err(Some(rail)),
                _ => {}
            }
        }
        best
    }

    /// Both assemblies with each other beside them, judged in full; or the rail that falls, none where the price is too high.
    fn judged(&self, own: &[Assembly<'a>; 2], most: f64) -> Result<Pair<'a>, Option<usize>> {
        let beside = |one: Assembly<'a>, other: &Assembly<'a>| Assembly {
            mate: one.mate.map(|mate| Mate { parts: Some(other.as_mate()), ..mate }),
            ..one
        };
        let both = [beside(own[0], &own[1]), beside(own[1], &own[0])];
        if score(self.inputs.requirement, both.map(|one| (one, 0.0))) >= most {
            return Err(None);
        }
        let orders = both.map(|one| order_of(&one));
        if let Some((_, falls)) = self.refused.pairs.iter().find(|(pair, _)| *pair == orders) {
            return Err(Some(*falls));
        }
        let of = |at: usize, whole: bool| bench(self.asked[at], &both[at], whole).ok_or(Some(at));
        let mut benches = vec![of(0, false)?, of(1, false)?];
        if self.refused.whole {
            let all = [0, 1].into_par_iter();
            benches = all.map(|at| of(at, true)).collect::<Vec<_>>().into_iter().collect::<Result<_, _>>()?;
        }
        let found = |bench: &Bench<'a>| {
            let nominal = operate_nominal(&bench.supply).ok()?;
            let loss_w = loss::at(bench, &nominal, bench.asked.rail.current_max.0);
            let raw_w = nominal.mean_v * nominal.load_a;
            let alone = score(self.inputs.requirement, [(bench.assembly, loss_w)]);
            Some(Found { assembly: bench.assembly, score: alone, loss_w, raw_w })
        };
        let found: Option<Vec<Found<'a>>> = benches.iter().map(found).collect();
        let found: [Found<'a>; 2] = found.and_then(|both| both.try_into().ok()).ok_or(None)?;
        let total = score(self.inputs.requirement, found.iter().map(|one| (one.assembly, one.loss_w)));
        if total < most - SCORE_TIE { Ok(Pair { rails: self.rails, found, score: total }) } else { Err(None) }
    }
}

/// The catalog at prices that no order for both rails undercuts.
fn sharing(inputs: Inputs<'_>) -> Shop<'_> {
    let catalog = inputs.catalog;
    let banks = 2 * inputs.requirement.preferences.parallel_max;
    let mut most: BTreeMap<String, u32> = BTreeMap::new();
    let mut put = |common: &Common, count: u32| {
        most.insert(common.id.0.clone(), count);
    };
    catalog.diodes.iter().for_each(|one| put(&one.common, 10));
    catalog.bridges.iter().for_each(|one| put(&one.common, 2));
    catalog.electrolytics.iter().for_each(|one| put(&one.common, banks));
    catalog.small_capacitors.iter().for_each(|one| put(&one.common, 4));
    catalog.regulators.iter().for_each(|one| put(&one.common, 2));
    catalog.sinks.iter().for_each(|one| put(&one.common, 4));
    catalog.pads.iter().for_each(|one| put(&one.common, 4));
    catalog.resistors.iter().for_each(|one| put(&one.common, 8));
    Shop::open(catalog, inputs.requirement, View::Shared { most: &most, paid: &BTreeMap::new() })
}

/// The searches of both rails, each with the other beside it, which is taken to draw some current beside its load.
fn searches<'s, 'a>(
    shop: &'s Shop<'a>,
    asked: [Asked<'a>; 2],
    topology: Topology,
    drawn_a: [f64; 2],
) -> [Search<'s, 'a>; 2] {
    let mate = |other: usize, lists_core| {
        Some(Mate { rail: asked[other].rail, lists_core, parts: None, assumed_a: drawn_a[other] })
    };
    [
        Search::beside(asked[0], shop, topology, mate(1, false)),
        Search::beside(asked[1], shop, topology, mate(0, true)),
    ]
}

/// The same source in another search.
fn same<'t, 'a>(search: &'t Search<'_, 'a>, fed: &Fed<'a>) -> Option<&'t Fed<'a>> {
    search.sources.iter().find(|one| key(one) == key(fed))
}

/// What names the source of the other rail of the same transformer.
fn beside<'a>(fed: &Fed<'a>) -> (&'a str, usize, u8) {
    (key(fed).0, key(fed).1, fed.option.wiring.other() as u8)
}

/// What names a source: part, connection, wiring.
fn key<'a>(fed: &Fed<'a>) -> (&'a str, usize, u8) {
    let option = &fed.option;
    (option.transformer.common.id.0.as_str(), option.primary, option.wiring as u8)
}

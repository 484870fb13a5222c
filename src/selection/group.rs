//! Several rails on one transformer: a bridge each behind secondaries of their own, or two of them behind a tapped winding.
//!
//! Each rail's trains are sought with the others taken as alike but for turns and load, behind each transformer by itself. What
//! is kept has all rails solved together at every vertex. The search is not a proof: see `DEVELOPERS.md`, "Rails on one core".

use rayon::prelude::*;

use crate::{
    candidate::shop::Shop,
    circuit::{operate::operate_nominal, spec::Topology},
    stress::{
        assembly::{Assembly, Mate},
        bench::{Asked, Bench, numbers},
        loss,
    },
};

use super::{
    choose::Inputs,
    group_parts::{Key, bench, key, same, searches, trains},
    keep::Wish,
    leaf::{Found, Order, SCORE_TIE, order_of},
    list::Fed,
    partners::{Plan, plans, prices},
    search::Search,
    share::score,
};

/// Rails on one transformer.
#[derive(Clone, Debug)]
pub struct Group<'a> {
    /// Which rails: first the one that lists what all share.
    pub rails: Vec<usize>,
    /// What was chosen of each.
    pub found: Vec<Found<'a>>,
    /// Score of all together.
    pub score: f64,
}

/// How far beyond the best trains of each rail others are tried, where the best do not hold together.
const WIDER: [f64; 3] = [1.0, 1.03, 1.12];
/// Trains of one rail behind one transformer that are combined.
const TRAINS_MAX: usize = 16;
/// Combinations behind one transformer that are solved.
const COMBINATIONS_MAX: usize = 20;
/// Groups that may fall at a vertex which the few named ones do not tell, before every group is solved at all of them at once.
const REFUSED_MAX: usize = 6;

/// Groups that fall at some vertex of the whole box, each with the rail that falls; and how many vertices are looked at.
#[derive(Clone, Debug, Default)]
struct Refused<'a> {
    groups: Vec<(Vec<Order<'a>>, usize)>,
    /// Whether every group is solved at all vertices.
    whole: bool,
}

/// The best found of some rails on one transformer that scores less than `most`.
pub fn group<'a>(inputs: Inputs<'a>, rails: &[usize], most: f64) -> Option<Group<'a>> {
    let shop = &prices(inputs, rails.len());
    let mut searches: Vec<Several<'_, 'a>> =
        plans(inputs, rails).into_par_iter().filter_map(|plan| Several::of(inputs, shop, plan)).collect();
    loop {
        // The best by the named vertices is solved at all of them; where it falls, all is sought again without it.
        let found: Vec<Option<Group<'a>>> = searches.par_iter().map(|several| several.best(most)).collect();
        let (at, best) = found
            .into_iter()
            .enumerate()
            .filter_map(|(at, found)| Some((at, found?)))
            .reduce(|a, b| if b.1.score < a.1.score - SCORE_TIE { b } else { a })?;
        let of = searches.get_mut(at)?;
        if of.refused.whole {
            return Some(best);
        }
        let holds: Vec<bool> = best
            .found
            .par_iter()
            .zip(&of.asked)
            .map(|(found, &asked)| bench(asked, &found.assembly, true).is_some())
            .collect();
        let Some(falls) = holds.iter().position(|holds| !holds) else { return Some(best) };
        let orders = best.found.iter().map(|found| order_of(&found.assembly)).collect();
        of.refused.groups.push((orders, falls));
        of.refused.whole = of.refused.groups.len() >= REFUSED_MAX;
    }
}

/// The searches of all rails in one plan.
struct Several<'s, 'a> {
    inputs: Inputs<'a>,
    shop: &'s Shop<'a>,
    plan: Plan,
    asked: Vec<Asked<'a>>,
    searches: Vec<Search<'s, 'a>>,
    refused: Refused<'a>,
}

impl<'s, 'a> Several<'s, 'a> {
    fn of(inputs: Inputs<'a>, shop: &'s Shop<'a>, plan: Plan) -> Option<Self> {
        let asked: Vec<Asked<'a>> =
            plan.rails.iter().map(|&rail| inputs.asked(rail)).collect::<Option<_>>()?;
        let searches = searches(shop, &asked, &plan.topologies, &vec![0.0; asked.len()]);
        Some(Self { inputs, shop, plan, asked, searches, refused: Refused::default() })
    }

    /// Source by source, the least first, as long as one may score less than the best.
    fn best(&self, most: f64) -> Option<Group<'a>> {
        let mut waiting: Vec<(f64, Key<'a>, Vec<&Fed<'a>>)> = Vec::new();
        for one in self.searches.first().map_or(&[][..], |search| &search.sources) {
            let key = key(one, 0);
            let fed: Option<Vec<&Fed<'a>>> =
                self.searches.iter().enumerate().map(|(place, search)| same(search, place, &key)).collect();
            if let Some(fed) = fed {
                waiting.push((self.least(&fed), key, fed));
            }
        }
        waiting.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        let mut best: Option<Group<'a>> = None;
        for (least, key, fed) in waiting {
            let bound = best.as_ref().map_or(most, |group| group.score);
            if least > bound {
                break;
            }
            if let Some(group) = self.behind(&key, &fed, bound) {
                best = Some(group);
            }
        }
        best
    }

    /// What they have in common and each search counts.
    fn shared(&self, fed: &[&Fed<'a>]) -> f64 {
        let source = fed.first().map_or(0.0, |fed| fed.option.score);
        let mut sides = self.searches.iter().filter(|search| search.topology == Topology::DualComplementary);
        let rectifier = match (sides.next(), sides.next()) {
            (Some(one), Some(other)) => one.least_rectifier.min(other.least_rectifier),
            _ => 0.0,
        };
        source * fed.len().saturating_sub(1) as f64 + rectifier
    }

    /// Least score of each rail by itself behind a source.
    fn leasts(&self, fed: &[&Fed<'a>]) -> Vec<f64> {
        self.searches.iter().zip(fed).map(|(search, fed)| search.least_behind(fed)).collect()
    }

    /// Least score of anything behind a source.
    fn least(&self, fed: &[&Fed<'a>]) -> f64 {
        let fuse = fed.iter().map(|fed| fed.fuse_score).fold(0.0, f64::max);
        self.leasts(fed).iter().sum::<f64>() - self.shared(fed) + fuse
    }

    /// The same once the best train of each is known: it stands beside the least of the others.
    fn least_with(&self, fed: &[&Fed<'a>], alone: &[Found<'a>]) -> f64 {
        let leasts = self.leasts(fed);
        let all: f64 = leasts.iter().sum();
        let with = |(found, least): (&Found<'a>, &f64)| found.score + all - least;
        alone.iter().zip(&leasts).map(with).fold(f64::NEG_INFINITY, f64::max) - self.shared(fed)
    }

    /// The best group behind one source that scores less than `most`.
    fn behind(&self, key: &Key<'a>, fed: &[&Fed<'a>], most: f64) -> Option<Group<'a>> {
        if !self.plan.topologies.contains(&Topology::DualComplementary) {
            return self.together(key, fed, None, most);
        }
        // One rectifier for both sides of the tap: those that are best for either.
        let mut ids: Vec<&'a str> = Vec::new();
        for (search, fed) in self.searches.iter().zip(fed) {
            if search.topology != Topology::DualComplementary {
                continue;
            }
            let found = search.trains_behind(fed, Wish::Best, most, None);
            let id = found.first()?.assembly.rectifier.common().id.0.as_str();
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        let mut best: Option<Group<'a>> = None;
        for id in ids {
            let bound = best.as_ref().map_or(most, |group| group.score);
            if let Some(group) = self.together(key, fed, Some(id), bound) {
                best = Some(group);
            }
        }
        best
    }

    /// The best trains of all rails, then with what those draw for themselves, and others near them until some hold.
    fn together(
        &self,
        key: &Key<'a>,
        fed: &[&Fed<'a>],
        only: Option<&'a str>,
        most: f64,
    ) -> Option<Group<'a>> {
        let alone = self.alone(&self.searches, fed, only, most)?;
        if self.least_with(fed, &alone) > most {
            return None;
        }
        let drawn = |(&asked, found): (&Asked<'a>, &Found<'a>)| {
            Some(numbers(asked, &found.assembly).ok()?.2.total_a())
        };
        let drawn_a: Vec<f64> = self.asked.iter().zip(&alone).map(drawn).collect::<Option<_>>()?;
        let searches = searches(self.shop, &self.asked, &self.plan.topologies, &drawn_a);
        let fed: Vec<&Fed<'a>> =
            searches.iter().enumerate().map(|(place, one)| same(one, place, key)).collect::<Option<_>>()?;
        self.near(&searches, &fed, only, most)
    }

    /// The best train of each rail that leaves room for the others.
    fn alone(
        &self,
        searches: &[Search<'s, 'a>],
        fed: &[&Fed<'a>],
        only: Option<&'a str>,
        most: f64,
    ) -> Option<Vec<Found<'a>>> {
        let trains = trains(searches, fed, only, |at| (Wish::Best, self.room(fed, at, most)));
        trains.into_iter().map(|found| found.into_iter().next()).collect()
    }

    /// What one rail may score beside the least of the others.
    fn room(&self, fed: &[&Fed<'a>], at: usize, most: f64) -> f64 {
        let leasts = self.leasts(fed);
        let others: f64 = leasts.iter().sum::<f64>() - leasts.get(at).copied().unwrap_or(0.0);
        most + self.shared(fed) - others
    }

    /// Trains of all rails combined, the least first, until a combination holds.
    fn near(
        &self,
        searches: &[Search<'s, 'a>],
        fed: &[&Fed<'a>],
        only: Option<&'a str>,
        most: f64,
    ) -> Option<Group<'a>> {
        let alone = self.alone(searches, fed, only, most)?;
        // Trains that fell whatever stood beside them, as far as was tried.
        let mut fallen: Vec<Vec<Order<'a>>> = vec![Vec::new(); alone.len()];
        for wider in WIDER {
            let trains: Vec<Vec<Found<'a>>> = if wider > 1.0 {
                let reach = |at: usize| {
                    let best = alone.get(at).map_or(0.0, |best| best.score * wider);
                    best.min(self.room(fed, at, most))
                };
                trains(searches, fed, only, |at| (Wish::All(TRAINS_MAX), reach(at)))
            } else {
                alone.iter().map(|one| vec![one.clone()]).collect()
            };
            let mut all: Vec<(f64, Vec<&Found<'a>>)> = vec![(0.0, Vec::new())];
            for trains in &trains {
                let mut longer = Vec::new();
                for (score, some) in &all {
                    let with = |one| some.iter().copied().chain([one]).collect();
                    longer.extend(trains.iter().map(|one| (score + one.score, with(one))));
                }
                all = longer;
            }
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut tried = 0;
            for (_, some) in all {
                let orders: Vec<Order<'a>> = some.iter().map(|one| order_of(&one.assembly)).collect();
                let fell = fallen.iter().zip(&orders).any(|(fallen, order)| fallen.contains(order));
                if tried >= COMBINATIONS_MAX || fell {
                    continue;
                }
                tried += 1;
                match self.combined(&some, most) {
                    Ok(group) => return Some(group),
                    Err(Some(rail)) => {
                        if let (Some(fallen), Some(order)) =
                            (fallen.get_mut(rail), orders.into_iter().nth(rail))
                        {
                            fallen.push(order);
                        }
                    }
                    Err(None) => {}
                }
            }
        }
        None
    }

    /// Trains as one group, with the protection and the rectifier's cooling of each in turn. Where none holds at every vertex,
    /// the rail that falls; none where all that hold score too much.
    fn combined(&self, trains: &[&Found<'a>], most: f64) -> Result<Group<'a>, Option<usize>> {
        let with = |of: &Found<'a>| -> Vec<Assembly<'a>> {
            // The sides of a tap stand first and share what cools their rectifier.
            let tap = Some(of).into_iter().chain(trains.iter().copied());
            let cooling = tap
                .map(|one| one.assembly)
                .find(|one| one.topology == Topology::DualComplementary)
                .map(|side| side.rectifier_cooling);
            let core = |own: &&Found<'a>| {
                let own = own.assembly;
                let shared = cooling.filter(|_| own.topology == Topology::DualComplementary);
                Assembly {
                    primary_fuse: of.assembly.primary_fuse,
                    limiter: of.assembly.limiter,
                    cut_out: of.assembly.cut_out,
                    rectifier_cooling: shared.unwrap_or(own.rectifier_cooling),
                    ..own
                }
            };
            trains.iter().map(core).collect()
        };
        let mut known: Vec<Vec<Order<'a>>> = Vec::new();
        let mut best: Result<Group<'a>, Option<usize>> = Err(None);
        for of in trains {
            let way = with(of);
            let orders: Vec<Order<'a>> = way.iter().map(order_of).collect();
            if known.contains(&orders) {
                continue;
            }
            known.push(orders);
            let bound = best.as_ref().map_or(most, |group| group.score);
            match (self.judged(&way, bound), &best) {
                (Ok(group), _) => best = Ok(group),
                (Err(Some(rail)), Err(_)) => best = Err(Some(rail)),
                _ => {}
            }
        }
        best
    }

    /// All assemblies with each other beside them, judged in full; or the rail that falls, none where the price is too high.
    fn judged(&self, own: &[Assembly<'a>], most: f64) -> Result<Group<'a>, Option<usize>> {
        let all: Vec<Assembly<'a>> =
            own.iter().enumerate().map(|(at, one)| self.among(one, at, own)).collect();
        if score(self.inputs.requirement, all.iter().map(|one| (*one, 0.0))) >= most {
            return Err(None);
        }
        let orders: Vec<Order<'a>> = all.iter().map(order_of).collect();
        if let Some((_, falls)) = self.refused.groups.iter().find(|(group, _)| *group == orders) {
            return Err(Some(*falls));
        }
        let of = |at: usize, whole: bool| {
            let (asked, one) = (self.asked.get(at).ok_or(None)?, all.get(at).ok_or(None)?);
            bench(*asked, one, whole).ok_or(Some(at))
        };
        let mut benches = (0..all.len()).map(|at| of(at, false)).collect::<Result<Vec<_>, _>>()?;
        if self.refused.whole {
            let every = (0..all.len()).into_par_iter();
            benches =
                every.map(|at| of(at, true)).collect::<Vec<_>>().into_iter().collect::<Result<_, _>>()?;
        }
        let found = |bench: &Bench<'a>| {
            let nominal = operate_nominal(&bench.supply).ok()?;
            let loss_w = loss::at(bench, &nominal, bench.asked.rail.current_max.0);
            let raw_w = nominal.mean_v * nominal.load_a;
            let alone = score(self.inputs.requirement, [(bench.assembly, loss_w)]);
            Some(Found { assembly: bench.assembly, score: alone, loss_w, raw_w })
        };
        let found: Vec<Found<'a>> = benches.iter().map(found).collect::<Option<_>>().ok_or(None)?;
        let total = score(self.inputs.requirement, found.iter().map(|one| (one.assembly, one.loss_w)));
        if total < most - SCORE_TIE {
            Ok(Group { rails: self.plan.rails.clone(), found, score: total })
        } else {
            Err(None)
        }
    }

    /// One of some assemblies with the others beside it, those in the order of the requirement.
    fn among(&self, one: &Assembly<'a>, at: usize, all: &[Assembly<'a>]) -> Assembly<'a> {
        let mut others: Vec<(usize, Mate<'a>)> = all
            .iter()
            .zip(&self.asked)
            .zip(&self.plan.rails)
            .enumerate()
            .filter(|(place, _)| *place != at)
            .map(|(place, ((other, asked), &rail))| (rail, Mate::known(asked.rail, other, place == 0)))
            .collect();
        others.sort_by_key(|(rail, _)| *rail);
        one.among(others.into_iter().map(|(_, mate)| mate))
    }
}

//! All rails together: the least score over every combination of trains, each kind of part ordered once.
//!
//! A tree over the orders of single parts: in each branch a bound of every rail says which trains could belong to the best
//! combination; once they are few, they become columns of the integer programme. What is shared costs less than what is
//! bought alone, so no train is dropped for its price alone.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::{
    candidate::shop::{Paid, Shop, View},
    catalog::Common,
};

use super::{
    choose::{Inputs, RailOutcome},
    columns::{self, TooMany, Train},
    keep::Wish,
    leaf::{Found, SCORE_TIE, order_of},
    rails::{RailSearch, searches, usage},
    share::{order, pieces, score},
    usage::Usage,
};

/// A combination that verification refused: the part ids of every rail.
pub type Cut = Vec<CutRail>;
/// One rail of it: of each position part id, bits of the value, how many; then primary connection and wiring.
pub type CutRail = (Vec<Option<(String, u64, u32)>>, usize, u8);

/// A rail as a cut names it.
pub fn cut_of(found: &Found<'_>) -> CutRail {
    let (seats, primary, wiring) = order_of(&found.assembly);
    let owned = |(id, value, count): (&str, u64, u32)| (id.to_owned(), value, count);
    (seats.iter().map(|seat| seat.map(owned)).collect(), primary, wiring)
}

/// The best combination.
#[derive(Clone, Debug)]
pub struct Joint<'a> {
    /// Choice of each rail.
    pub rails: Vec<Found<'a>>,
    /// Score of all together.
    pub score: f64,
    /// Score that no combination undercuts.
    pub bound: f64,
    /// Columns of all integer programmes together.
    pub columns: usize,
    /// Branches of the tree.
    pub branches: usize,
    /// Whether nothing scores less.
    pub proven: bool,
}

/// Views of the prices in one branch at most, each with what fewer parts could be shared.
const ROUNDS: u32 = 2;
/// Views in one branch at most, with every correction of a price.
const ROUNDS_MAX: u32 = 12;
/// Branches at most; what is left open then counts with its bound.
const BRANCHES_MAX: usize = 400;
/// Trains of one rail in one topology that become columns, where the tree can still branch, and where it cannot.
const TRAINS_MAX: (usize, usize) = (40, 1000);
/// Completions of all trains that one integer programme is written for while the tree can still branch.
const COLUMNS_MAX: usize = 2000;
/// Margin, relative to the best known, below which trains are collected before anything else is tried.
const NEAR: f64 = 2e-3;
/// How much farther is looked where every combination known was cut.
const WIDEN: [f64; 5] = [1.0, 1.02, 1.1, 1.5, 4.0];

/// A combination as the answer of a tree.
type Known<'a> = Option<(f64, Vec<Found<'a>>)>;

/// The best combination of all rails that is not cut; `None` where some rail has no design, or all are cut.
///
/// The search ends when no combination can score less by more than the share `within` of the best; at 0 it ends with the
/// optimum. One rail has nothing to share with another: what is best alone is best.
pub fn joint<'a>(
    inputs: Inputs<'a>,
    solo: &[RailOutcome<'a>],
    cuts: &[Cut],
    within: f64,
) -> Option<Joint<'a>> {
    let alone: Vec<Found<'a>> = solo.iter().map(|rail| rail.best().cloned()).collect::<Option<_>>()?;
    if let ([only], []) = (alone.as_slice(), cuts) {
        let (score, rails) = (only.score, alone.clone());
        return Some(Joint { rails, score, bound: score, columns: 1, branches: 0, proven: true });
    }
    let together = joint_score(inputs, &alone);
    WIDEN.iter().find_map(|wider| {
        let mut tree = Tree {
            inputs,
            alone: &alone,
            cuts,
            within,
            reach: together * wider,
            best: None,
            open: f64::INFINITY,
            columns: 0,
            branches: 0,
        };
        tree.offer(alone.clone());
        tree.grow();
        let (score, rails) = tree.best?;
        let bound = tree.open.min(score);
        Some(Joint {
            rails,
            score,
            bound,
            columns: tree.columns,
            branches: tree.branches,
            proven: bound >= score - SCORE_TIE,
        })
    })
}

fn joint_score(inputs: Inputs<'_>, rails: &[Found<'_>]) -> f64 {
    score(inputs.requirement, rails.iter().map(|found| (found.assembly, found.loss_w)))
}

/// A branch: what is assumed of the orders of parts.
#[derive(Clone, Debug, Default)]
struct Branch {
    /// Most pieces of each part in one supply.
    most: Usage,
    /// Parts ordered in any case.
    paid: BTreeMap<String, Paid>,
    /// Score that no combination in it undercuts.
    bound: f64,
}

/// The tree while it grows.
struct Tree<'t, 'a> {
    inputs: Inputs<'a>,
    alone: &'t [Found<'a>],
    cuts: &'t [Cut],
    /// Share of the best that need not be proven.
    within: f64,
    /// Nothing that scores more is looked at.
    reach: f64,
    best: Known<'a>,
    /// Least bound of the branches left open.
    open: f64,
    columns: usize,
    branches: usize,
}

/// What one branch comes to under one view of the prices.
struct Floor<'a> {
    /// Best train of each rail in this view.
    trains: Vec<Found<'a>>,
    /// Least score of any combination in this branch.
    bound: f64,
}

impl<'a> Tree<'_, 'a> {
    /// What a combination must not exceed.
    fn known(&self) -> f64 {
        self.best.as_ref().map_or(self.reach, |(score, _)| *score)
    }

    /// Takes a combination where it is better, or as good and earlier by part ids.
    fn offer(&mut self, rails: Vec<Found<'a>>) {
        let ids = |rails: &[Found<'a>]| -> Cut { rails.iter().map(cut_of).collect() };
        let order =
            |rails: &[Found<'a>]| -> Vec<_> { rails.iter().map(|one| order_of(&one.assembly)).collect() };
        let score = joint_score(self.inputs, &rails);
        if !score.is_finite() || self.cuts.contains(&ids(&rails)) {
            return;
        }
        let better = self.best.as_ref().is_none_or(|(known, best)| {
            score < known - SCORE_TIE || (score <= known + SCORE_TIE && order(&rails) < order(best))
        });
        if better {
            self.best = Some((score, rails));
        }
    }

    /// Works off the branches, the one with the least bound first, until what is left proves enough.
    fn grow(&mut self) {
        let mut waiting = vec![self.root()];
        while let Some(place) = (0..waiting.len()).reduce(|a, b| {
            let bound = |place: usize| waiting.get(place).map_or(f64::INFINITY, |one: &Branch| one.bound);
            if bound(b) < bound(a) { b } else { a }
        }) {
            let branch = waiting.swap_remove(place);
            let enough = self
                .best
                .as_ref()
                .is_some_and(|(best, _)| branch.bound >= best * (1.0 - self.within) + SCORE_TIE);
            if enough || self.branches >= BRANCHES_MAX {
                self.open = self.open.min(branch.bound);
                return;
            }
            waiting.extend(self.branch(branch));
        }
    }

    /// Every part at what all rails could use of it at the most.
    fn root(&self) -> Branch {
        let shop = Shop::open(self.inputs.catalog, self.inputs.requirement, View::Alone);
        let most = usage(&searches(self.inputs, self.alone, &shop), self.alone, |_| f64::INFINITY);
        Branch { most, paid: BTreeMap::new(), bound: 0.0 }
    }

    /// Rules a branch out, settles it, or splits it in two.
    fn branch(&mut self, mut branch: Branch) -> Vec<Branch> {
        self.branches += 1;
        for round in 1..ROUNDS_MAX {
            let view = View::Shared { most: &branch.most, paid: &branch.paid };
            let shop = Shop::open(self.inputs.catalog, self.inputs.requirement, view);
            let searches = searches(self.inputs, self.alone, &shop);
            let floor = self.floor(&shop, &searches, &branch);
            branch.bound = branch.bound.max(floor.bound);
            self.offer(floor.trains.clone());
            if branch.bound > self.known() + SCORE_TIE {
                return Vec::new();
            }
            if self.within > 0.0 && branch.bound >= self.known() * (1.0 - self.within) {
                self.open = self.open.min(branch.bound);
                return Vec::new();
            }
            let margin = (self.known() - floor.bound).max(0.0);
            let reach = |rail: usize| floor.trains.get(rail).map_or(0.0, |train| train.score + margin);
            let near = margin <= NEAR * self.known();
            if near && self.settle(&shop, &searches, reach, (TRAINS_MAX.0, COLUMNS_MAX)) {
                return Vec::new();
            }
            let mut narrower = usage(&searches, self.alone, reach);
            for (part, count) in &mut narrower {
                *count = (*count).min(branch.most.get(part).copied().unwrap_or(0));
            }
            if narrower != branch.most && round < ROUNDS {
                branch.most = narrower;
                continue;
            }
            branch.most = narrower;
            let gap = self.gap(&floor, &branch);
            if let Some(gap) = &gap
                && let Some(paid) = branch.paid.get_mut(&gap.part)
                && paid.each < gap.each
            {
                // Taken more often than it was paid for: what more pieces cost tells more than what the first do.
                paid.each = gap.each;
                continue;
            }
            // Where no branch knows more, every completion is written, however many.
            let most = if gap.is_some() { (TRAINS_MAX.0, COLUMNS_MAX) } else { (TRAINS_MAX.1, usize::MAX) };
            let tried = near && gap.is_some();
            if !tried && self.settle(&shop, &searches, reach, most) {
                return Vec::new();
            }
            let Some(gap) = gap else {
                self.open = self.open.min(branch.bound);
                return Vec::new();
            };
            let mut whole = branch.clone();
            branch.most.insert(gap.part.clone(), gap.step - 1);
            whole.paid.insert(gap.part, Paid { least: gap.step, each: 0.0 });
            return vec![branch, whole];
        }
        self.open = self.open.min(branch.bound);
        Vec::new()
    }

    /// Best train of each rail in a view.
    fn floor(&self, shop: &Shop<'a>, searches: &[RailSearch<'_, 'a>], branch: &Branch) -> Floor<'a> {
        // What is best alone is one of the trains, at its price in this view.
        let most: Vec<f64> = self.alone.iter().map(|found| self.in_view(shop, found)).collect();
        let found: Vec<(usize, Option<Found<'a>>)> = searches
            .par_iter()
            .map(|one| {
                let most = most.get(one.index).copied().unwrap_or(f64::INFINITY);
                (
                    one.index,
                    one.search.look_for(Wish::Best, most + SCORE_TIE, one.fusing).found.into_iter().next(),
                )
            })
            .collect();
        let mut trains = Vec::new();
        for (rail, alone) in self.alone.iter().enumerate() {
            let own = found.iter().filter(|(of, _)| *of == rail).filter_map(|(_, found)| found.clone());
            let known = Found { score: self.in_view(shop, alone), ..alone.clone() };
            trains.push(own.fold(known, |best, next| if next.score < best.score { next } else { best }));
        }
        let paid: f64 = branch
            .paid
            .iter()
            .map(|(part, paid)| {
                let whole = |common| order(common, self.inputs.requirement, paid.least);
                shop.common(part).map_or(0.0, whole) - f64::from(paid.least) * paid.each
            })
            .sum();
        let bound = paid + trains.iter().map(|train| train.score).sum::<f64>();
        Floor { trains, bound }
    }

    /// Rails that are best with a second section, as they are alone.
    fn kept(&self, shop: &Shop<'a>) -> impl Iterator<Item = (usize, Found<'a>)> {
        let rails = self.alone.iter().enumerate().filter(|(_, found)| found.assembly.section.is_some());
        rails.map(|(rail, found)| (rail, Found { score: self.in_view(shop, found), ..found.clone() }))
    }

    /// Score of a rail in the view of a shop.
    fn in_view(&self, shop: &Shop<'a>, found: &Found<'a>) -> f64 {
        let lines = found.assembly.lines();
        let parts: f64 = lines.iter().map(|line| shop.score_of(&line.common.id, line.count)).sum();
        parts + self.inputs.requirement.objective.loss * found.loss_w
    }

    /// Offers the best combination of all trains within reach; `false` where they are too many.
    fn settle(
        &mut self,
        shop: &Shop<'a>,
        searches: &[RailSearch<'_, 'a>],
        reach: impl Fn(usize) -> f64 + Sync,
        (trains_max, columns_max): (usize, usize),
    ) -> bool {
        let found: Vec<(usize, Vec<Found<'a>>)> = searches
            .par_iter()
            .map(|one| {
                (one.index, one.search.look_for(Wish::All(trains_max), reach(one.index), one.fusing).found)
            })
            .collect();
        if found.iter().any(|(_, trains)| trains.len() > trains_max) {
            return false;
        }
        let kept = self.kept(shop).filter(|(rail, found)| found.score <= reach(*rail) + SCORE_TIE);
        let trains = found
            .into_iter()
            .flat_map(|(rail, trains)| trains.into_iter().map(move |found| (rail, found)))
            .chain(kept)
            .map(|(rail, found)| Train { rail, room: (reach(rail) - found.score).max(0.0), found })
            .collect();
        // At nothing left to prove every completion counts, however many.
        let columns_max = if self.within > 0.0 { columns_max } else { usize::MAX };
        let chosen = match columns::choose(self.inputs, shop, trains, (self.cuts, columns_max)) {
            Ok(Some(chosen)) => chosen,
            Ok(None) => return true,
            Err(TooMany) => return false,
        };
        self.columns += chosen.columns;
        self.offer(chosen.rails);
        chosen.answer.proven
    }

    /// The part whose order the bound takes for cheaper than it is, by the most.
    fn gap(&self, floor: &Floor<'a>, branch: &Branch) -> Option<Gap> {
        let mut counts: BTreeMap<&str, (u32, &Common)> = BTreeMap::new();
        for ((part, value), (count, common)) in pieces(floor.trains.iter().map(|train| train.assembly)) {
            // Values of a resistor series are ordered apart: a bound on their sum is none on each.
            if value == 0 {
                counts.insert(part, (count, common));
            }
        }
        let mut widest: Option<(f64, Gap)> = None;
        for (part, (count, common)) in counts {
            let most = branch.most.get(part).copied().unwrap_or(0).max(count);
            let cost = |pieces: u32| order(common, self.inputs.requirement, pieces);
            let (taken, step, each) = if let Some(paid) = branch.paid.get(part) {
                let more = |pieces: u32| (cost(pieces) - cost(paid.least)) / f64::from(pieces - paid.least);
                let each = (paid.least + 1..=most).map(more).fold(f64::INFINITY, f64::min);
                let each = if each.is_finite() { each } else { 0.0 };
                let taken = cost(paid.least) + paid.each * (f64::from(count) - f64::from(paid.least));
                (taken, count, each)
            } else {
                let each = |pieces: u32| cost(pieces) / f64::from(pieces);
                let best = (1..=most).reduce(|a, b| if each(b) < each(a) - SCORE_TIE { b } else { a })?;
                (f64::from(count) * each(best), best, 0.0)
            };
            let gap = cost(count) - taken;
            let wider = widest.as_ref().is_none_or(|(known, _)| gap > known + SCORE_TIE);
            if gap > SCORE_TIE && step > 1 && wider {
                widest = Some((gap, Gap { part: part.to_owned(), step, each }));
            }
        }
        widest.map(|(_, gap)| gap)
    }
}

/// Where the bound of a branch is too low.
struct Gap {
    part: String,
    /// Fewer pieces, or at least so many: both branches know more.
    step: u32,
    /// Least that each piece beyond those paid for adds.
    each: f64,
}

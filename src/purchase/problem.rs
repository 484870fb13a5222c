//! The purchase as plain whole numbers: articles with sources, demands with choices, suppliers with charges.
//!
//! Knows no part number and no currency.

use std::collections::BTreeMap;

use super::breaks::{Cover, Part, Source, bit, covers};

/// Parts per million of a whole.
const MILLION: u64 = 1_000_000;

/// Something that can be ordered.
#[derive(Clone, Debug, Default)]
pub struct Article {
    /// Who sells it.
    pub sources: Vec<Source>,
    /// Spare pieces, in parts per million of the need.
    pub spare_ppm: u64,
    /// Pieces needed whatever is chosen.
    pub base: u64,
}

/// Pieces that may be any of several articles.
#[derive(Clone, Debug)]
pub struct Demand {
    /// Pieces.
    pub pieces: u64,
    /// Articles that serve; the first is the one designed in.
    pub choices: Vec<usize>,
}

/// What a supplier charges beside the goods.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Charge {
    /// For every order, in units.
    pub order: i64,
    /// Least value of goods that is billed, in units.
    pub minimum: i64,
    /// Whether an order below that is refused instead of billed at it.
    pub refuses: bool,
}

/// A purchase to be planned.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// What can be ordered.
    pub articles: Vec<Article>,
    /// What leaves a choice.
    pub demands: Vec<Demand>,
    /// Suppliers.
    pub suppliers: Vec<Charge>,
}

/// A plan: an article for each demand, a cover for each article that is needed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Article of each demand.
    pub assigned: Vec<usize>,
    /// Cover of each article; `None` where none is needed.
    pub covers: Vec<Option<Cover>>,
    /// Everything, in units.
    pub total: i64,
}

impl Article {
    /// Pieces to order for `pieces` to be used.
    pub fn with_spares(&self, pieces: u64) -> u64 {
        let spare = u128::from(pieces) * u128::from(self.spare_ppm);
        pieces.saturating_add(u64::try_from(spare.div_ceil(u128::from(MILLION))).unwrap_or(u64::MAX))
    }
    /// Ways to order what `pieces` to be used ask for.
    pub fn covers(&self, pieces: u64) -> Vec<Cover> {
        covers(&self.sources, self.with_spares(pieces))
    }
}

impl Problem {
    /// Pieces of each article under an assignment.
    pub fn loads(&self, assigned: &[usize]) -> Vec<u64> {
        let mut loads: Vec<u64> = self.articles.iter().map(|article| article.base).collect();
        for (demand, at) in self.demands.iter().zip(assigned) {
            if let Some(load) = loads.get_mut(*at) {
                *load = load.saturating_add(demand.pieces);
            }
        }
        loads
    }
    /// Charge of a supplier.
    pub fn charge(&self, supplier: usize) -> Charge {
        self.suppliers.get(supplier).copied().unwrap_or_default()
    }
    /// Suppliers as bits, all of them.
    pub fn everyone(&self) -> u32 {
        (0..self.suppliers.len()).fold(0, |mask, at| mask | bit(at))
    }
    /// Suppliers that charge anything beside the goods.
    pub fn charging(&self) -> Vec<usize> {
        (0..self.suppliers.len()).filter(|at| self.charge(*at) != Charge::default()).collect()
    }
    /// What goods by supplier come to with charges.
    pub fn billed(&self, goods: &[i64]) -> i64 {
        let bill = |(goods, charge): (&i64, &Charge)| {
            if *goods > 0 { charge.order + charge.minimum.max(*goods) } else { 0 }
        };
        goods.iter().zip(&self.suppliers).map(bill).sum()
    }
    /// Goods by supplier of a list of covers.
    pub fn goods<'a>(&self, covers: impl IntoIterator<Item = &'a Cover>) -> Vec<i64> {
        let mut goods = vec![0; self.suppliers.len()];
        for part in covers.into_iter().flat_map(Cover::parts) {
            if let Some(sum) = goods.get_mut(part.supplier) {
                *sum += part.cost;
            }
        }
        goods
    }
}

/// Covers by article and load, reckoned once; goods by supplier may be weighed.
#[derive(Debug)]
pub struct Memo<'p> {
    problem: &'p Problem,
    known: Vec<BTreeMap<u64, Vec<Cover>>>,
    weights: Option<Vec<i64>>,
}

/// The whole of a weight.
pub const WHOLE: i64 = 8;

impl<'p> Memo<'p> {
    /// Nothing reckoned yet.
    pub fn new(problem: &'p Problem) -> Self {
        Self { problem, known: vec![BTreeMap::new(); problem.articles.len()], weights: None }
    }
    /// Ways to cover a load of an article.
    pub fn covers(&mut self, article: usize, load: u64) -> &[Cover] {
        let (Some(known), Some(one)) = (self.known.get_mut(article), self.problem.articles.get(article))
        else {
            return &[];
        };
        known.entry(load).or_insert_with(|| one.covers(load))
    }
    /// Cheapest goods that cover a load with the given suppliers; `None` where they cannot.
    pub fn goods(&mut self, article: usize, load: u64, allowed: u32) -> Option<i64> {
        if load == 0 {
            return Some(0);
        }
        let cover = self.cover(article, load, allowed)?;
        Some(weighed(self.weights.as_deref(), &cover))
    }
    /// Counts goods of each supplier for so many parts of [`WHOLE`], rounded down; in full without weights.
    pub fn weigh(&mut self, weights: Option<Vec<i64>>) {
        self.weights = weights;
    }
    /// The cover behind [`Memo::goods`]; of equal ones the first.
    pub fn cover(&mut self, article: usize, load: u64, allowed: u32) -> Option<Cover> {
        let weights = self.weights.take();
        let own = weights.as_deref();
        let ways = self.covers(article, load).iter().filter(|cover| cover.suppliers() & !allowed == 0);
        let found = ways.min_by_key(|cover| weighed(own, cover)).copied();
        self.weights = weights;
        found
    }
}

/// Cost of a cover by weights of its suppliers.
fn weighed(weights: Option<&[i64]>, cover: &Cover) -> i64 {
    let Some(weights) = weights else { return cover.cost() };
    let part = |part: &Part| {
        let weight = weights.get(part.supplier).copied().unwrap_or(WHOLE);
        // Divided first where the product would not fit.
        part.cost.checked_mul(weight).map_or(part.cost / WHOLE * weight, |product| product / WHOLE)
    };
    cover.parts().map(part).sum()
}

//! What covering a need costs with the offers of one part: price breaks, packs, minimum orders, what is in stock in time.
//!
//! Whole money units only (a fixed decimal fraction of the currency), so every sum is exact. A part comes from one supplier, or
//! from two where the pack of one is a whole multiple of the other's; the split is then the cheapest there is.

use crate::catalog::Offer;

/// Most pieces of one order.
pub const MOST: u64 = 1_000_000_000;

/// A range of quantities at one price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// Least quantity that can be ordered at the price, whole packs.
    pub low: u64,
    /// Greatest.
    pub high: u64,
    /// Price of one piece, in units.
    pub each: i64,
}

/// One supplier's offer as quantities and prices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Index of the supplier.
    pub supplier: usize,
    /// Pieces in a pack.
    pub pack: u64,
    /// Quantities and prices, rising; empty where nothing can be had.
    pub steps: Vec<Step>,
}

/// An order that covers a need from one or two suppliers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cover {
    /// Order with the first supplier.
    pub first: Part,
    /// Order with the second, if it is split.
    pub second: Option<Part>,
}

/// What one supplier delivers of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Index of the supplier.
    pub supplier: usize,
    /// Pieces.
    pub pieces: u64,
    /// Price of one piece, in units.
    pub each: i64,
    /// `pieces · each`.
    pub cost: i64,
    /// Pieces of them that only fill the order up to the supplier's minimum order value.
    pub filling: u64,
}

impl Cover {
    /// Orders of the cover.
    pub fn parts(&self) -> impl Iterator<Item = &Part> {
        std::iter::once(&self.first).chain(self.second.as_ref())
    }
    /// Goods, in units.
    pub fn cost(&self) -> i64 {
        self.parts().map(|part| part.cost).sum()
    }
    /// Suppliers as bits.
    pub fn suppliers(&self) -> u32 {
        self.parts().fold(0, |mask, part| mask | bit(part.supplier))
    }
    /// Pieces in all.
    pub fn pieces(&self) -> u64 {
        self.parts().map(|part| part.pieces).sum()
    }
}

/// The bit of a supplier.
pub fn bit(supplier: usize) -> u32 {
    u32::try_from(supplier).ok().and_then(|at| 1u32.checked_shl(at)).unwrap_or(0)
}

impl Source {
    /// An offer with prices in units by `unit`; at most `limit` pieces can be had, if stated.
    pub fn new(
        offer: &Offer,
        supplier: usize,
        limit: Option<u64>,
        unit: impl Fn(rust_decimal::Decimal) -> Option<i64>,
    ) -> Self {
        let pack = u64::from(offer.pack.max(1));
        let most = limit.unwrap_or(MOST).min(MOST) / pack * pack;
        let mut steps = Vec::new();
        for (at, step) in offer.breaks.iter().enumerate() {
            let low = u64::from(step.from.max(offer.minimum_order)).max(1).div_ceil(pack) * pack;
            let next = offer.breaks.get(at + 1);
            let high =
                next.map_or(most, |next| (u64::from(next.from).saturating_sub(1) / pack * pack).min(most));
            if let Some(each) = unit(step.each)
                && low <= high
            {
                steps.push(Step { low, high, each });
            }
        }
        Self { supplier, pack, steps }
    }

    /// Most pieces that can be had.
    pub fn most(&self) -> u64 {
        self.steps.last().map_or(0, |step| step.high)
    }

    /// The cheapest order of at least `need` pieces.
    pub fn cheapest(&self, need: u64) -> Option<Part> {
        let whole = need.div_ceil(self.pack) * self.pack;
        self.steps
            .iter()
            .filter_map(|step| self.at(step, whole.max(step.low)))
            .min_by_key(|part| (part.cost, part.pieces))
    }

    /// The cheapest order of at least `pieces` that comes to at least `cost`.
    pub fn filled(&self, pieces: u64, cost: i64) -> Option<Part> {
        let order = |step: &Step| {
            // Pieces that reach the cost at this price, whole packs.
            let asked = u64::try_from(cost.max(0)).ok()?.div_ceil(u64::try_from(step.each).ok()?.max(1));
            let most = pieces.max(asked).max(step.low);
            self.at(step, most.div_ceil(self.pack) * self.pack).filter(|part| part.cost >= cost)
        };
        self.steps.iter().filter_map(order).min_by_key(|part| (part.cost, part.pieces))
    }

    fn at(&self, step: &Step, pieces: u64) -> Option<Part> {
        if !(step.low..=step.high).contains(&pieces) {
            return None;
        }
        let cost = step.each.checked_mul(i64::try_from(pieces).ok()?)?;
        Some(Part { supplier: self.supplier, pieces, each: step.each, cost, filling: 0 })
    }
}

/// The cheapest split of a need over two suppliers, both delivering something.
///
/// With both prices fixed, the cost over the quantity `m` of the larger pack is `p₁·m + p₂·max(low₂, need − m)`: convex and
/// piecewise linear, so that its least value stands at an end of the range or beside the kink.
fn split(one: &Source, two: &Source, need: u64) -> Option<Cover> {
    let (large, small) = if one.pack >= two.pack { (one, two) } else { (two, one) };
    if !large.pack.is_multiple_of(small.pack) {
        return None;
    }
    let need = need.div_ceil(small.pack) * small.pack;
    let mut best: Option<(i64, u64, Cover)> = None;
    for first in &large.steps {
        for second in &small.steps {
            let rest = need.saturating_sub(second.high).div_ceil(large.pack) * large.pack;
            let kink = need.saturating_sub(second.low) / large.pack * large.pack;
            let least = rest.max(first.low);
            for pieces in [least, kink, kink + large.pack, first.high] {
                if pieces < least || pieces > first.high {
                    continue;
                }
                let other = need.saturating_sub(pieces).max(second.low);
                let (Some(a), Some(b)) = (large.at(first, pieces), small.at(second, other)) else { continue };
                let Some(cost) = a.cost.checked_add(b.cost) else { continue };
                let (first, second) = if a.supplier < b.supplier { (a, b) } else { (b, a) };
                let cover = Cover { first, second: Some(second) };
                if best.as_ref().is_none_or(|(least, held, _)| (cost, cover.pieces()) < (*least, *held)) {
                    best = Some((cost, cover.pieces(), cover));
                }
            }
        }
    }
    best.map(|(_, _, cover)| cover)
}

/// Every sensible way to cover a need: each supplier alone, each pair of suppliers at its cheapest split.
pub fn covers(sources: &[Source], need: u64) -> Vec<Cover> {
    let mut all = Vec::new();
    if need == 0 || need > MOST {
        return all;
    }
    for (at, one) in sources.iter().enumerate() {
        all.extend(one.cheapest(need).map(|first| Cover { first, second: None }));
        for two in sources.iter().skip(at + 1).filter(|two| two.supplier != one.supplier) {
            all.extend(split(one, two, need));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rust_decimal::Decimal;

    use super::*;
    use crate::catalog::offer::PriceBreak;

    fn offer(breaks: &[(u32, i64)], pack: u32, minimum_order: u32) -> Offer {
        Offer {
            supplier: "Any".to_owned(),
            currency: "EUR".to_owned(),
            breaks: breaks
                .iter()
                .map(|(from, cents)| PriceBreak { from: *from, each: Decimal::new(*cents, 2) })
                .collect(),
            pack,
            minimum_order,
            stock: 0,
            lead_days: 0,
        }
    }

    fn source(offer: &Offer, supplier: usize, limit: Option<u64>) -> Source {
        Source::new(offer, supplier, limit, |each| i64::try_from(each.mantissa()).ok())
    }

    fn any_offer() -> impl Strategy<Value = (Offer, Option<u64>)> {
        let steps = prop::collection::vec((1u32..40, 1i64..90), 0..3);
        (
            1u32..30,
            steps,
            prop::sample::select(vec![1u32, 2, 6, 10, 20]),
            1u32..30,
            prop::option::of(0u64..120),
        )
            .prop_map(|(first, steps, pack, minimum, limit)| {
                let mut from = first;
                let mut cents: i64 = 300 + steps.iter().map(|step| step.1).sum::<i64>();
                let mut breaks = vec![(from, cents)];
                for (more, less) in steps {
                    from += more;
                    cents -= less;
                    breaks.push((from, cents));
                }
                (offer(&breaks, pack, minimum), limit)
            })
    }

    proptest! {
        /// Second method: the catalog's own reckoning for one offer.
        #[test]
        fn one_supplier_costs_what_the_catalog_says((offer, _) in any_offer(), need in 1u32..200) {
            let bought = source(&offer, 0, None).cheapest(u64::from(need)).unwrap();
            let known = offer.cheapest(need).unwrap();
            prop_assert_eq!((bought.pieces, bought.cost), (u64::from(known.ordered), i64::try_from((known.total * Decimal::from(100)).trunc().mantissa()).unwrap()));
        }

        /// Second method: every whole number of packs of both suppliers in turn.
        #[test]
        fn no_split_is_cheaper_than_the_cheapest((a, la) in any_offer(), (b, lb) in any_offer(), need in 1u64..150) {
            let (one, two) = (source(&a, 0, la), source(&b, 1, lb));
            let orders = |source: &Source| -> Vec<Part> {
                (1..=(400 / source.pack)).filter_map(|packs| {
                    let pieces = packs * source.pack;
                    source.steps.iter().find_map(|step| source.at(step, pieces))
                }).collect()
            };
            let mut least = None;
            for x in orders(&one) {
                for y in orders(&two) {
                    if x.pieces + y.pieces >= need {
                        least = Some(least.map_or(x.cost + y.cost, |known: i64| known.min(x.cost + y.cost)));
                    }
                }
            }
            let divides = one.pack.max(two.pack) % one.pack.min(two.pack) == 0;
            let found = split(&one, &two, need).map(|cover| cover.cost());
            prop_assert_eq!(found, if divides { least } else { None });
        }
    }
}

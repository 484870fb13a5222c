//! Who sells a part, at what price and on which conditions.

use rust_decimal::Decimal;

/// Price of one piece from a quantity upward.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PriceBreak {
    /// Least quantity at which the price holds.
    pub from: u32,
    /// Price of one piece.
    pub each: Decimal,
}

/// One supplier's offer for one part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Supplier.
    pub supplier: String,
    /// ISO 4217 code of the currency.
    pub currency: String,
    /// Price breaks, quantity rising, price falling or equal; never empty, the first is where the offer begins.
    pub breaks: Vec<PriceBreak>,
    /// Pieces in a pack; orders are whole packs.
    pub pack: u32,
    /// Least quantity of an order.
    pub minimum_order: u32,
    /// Pieces in stock.
    pub stock: u32,
    /// Days until what is not in stock arrives.
    pub lead_days: u32,
}

/// What covering a need costs with one offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// Pieces ordered: at least the need, at least the minimum order, whole packs.
    pub ordered: u32,
    /// Price of one piece at that quantity.
    pub each: Decimal,
    /// `ordered · each`.
    pub total: Decimal,
}

impl Offer {
    /// The cheapest order that covers `need` pieces: whole packs, at least the minimum order; more is ordered than needed
    /// where a price break makes more cheaper. `None` where the arithmetic would overflow or `need` is zero.
    pub fn cheapest(&self, need: u32) -> Option<Purchase> {
        if need == 0 {
            return None;
        }
        let first = self.breaks.first()?.from.max(self.minimum_order).max(need);
        let candidates = std::iter::once(first)
            .chain(self.breaks.iter().map(|step| step.from.max(first)))
            .filter_map(|least| self.purchase(least));
        candidates.min_by(|a, b| a.total.cmp(&b.total).then(a.ordered.cmp(&b.ordered)))
    }

    /// The order of the least whole number of packs that holds `least` pieces.
    fn purchase(&self, least: u32) -> Option<Purchase> {
        let pack = self.pack.max(1);
        let ordered = least.div_ceil(pack).checked_mul(pack)?;
        let each = self.breaks.iter().rev().find(|step| step.from <= ordered)?.each;
        Some(Purchase { ordered, each, total: each.checked_mul(Decimal::from(ordered))? })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn offer(breaks: &[(u32, i64)], pack: u32, minimum_order: u32) -> Offer {
        let breaks = breaks
            .iter()
            .map(|(from, cents)| PriceBreak { from: *from, each: Decimal::new(*cents, 2) })
            .collect();
        Offer {
            supplier: "Any".to_owned(),
            currency: "EUR".to_owned(),
            breaks,
            pack,
            minimum_order,
            stock: 0,
            lead_days: 0,
        }
    }

    /// Every whole number of packs in turn, far beyond the last break.
    fn by_trial(offer: &Offer, need: u32) -> Option<Purchase> {
        let most = need.max(offer.minimum_order) + offer.breaks.last()?.from + 2 * offer.pack;
        (1..=most / offer.pack + 1)
            .map(|packs| packs * offer.pack)
            .filter(|ordered| *ordered >= need && *ordered >= offer.minimum_order)
            .filter_map(|ordered| {
                let step =
                    offer.breaks.iter().filter(|step| step.from <= ordered).max_by_key(|step| step.from)?;
                Some(Purchase { ordered, each: step.each, total: step.each * Decimal::from(ordered) })
            })
            .min_by(|a, b| a.total.cmp(&b.total).then(a.ordered.cmp(&b.ordered)))
    }

    #[test]
    fn nothing_is_bought_for_no_need_or_from_no_breaks() {
        assert_eq!(offer(&[(1, 100)], 1, 1).cheapest(0), None);
        assert_eq!(offer(&[], 1, 1).cheapest(5), None);
        assert_eq!(offer(&[(1, 100)], u32::MAX, 1).cheapest(1).map(|bought| bought.ordered), Some(u32::MAX));
        assert_eq!(offer(&[(1, 100)], u32::MAX - 1, 1).cheapest(u32::MAX), None);
    }

    #[test]
    fn a_hundred_are_ordered_where_ninety_cost_more() {
        let bought = offer(&[(1, 100), (100, 80)], 1, 1).cheapest(90).unwrap();
        assert_eq!((bought.ordered, bought.total), (100, Decimal::new(8000, 2)));
        let bought = offer(&[(1, 100), (100, 80)], 1, 1).cheapest(79).unwrap();
        assert_eq!((bought.ordered, bought.total), (79, Decimal::new(7900, 2)));
    }

    proptest! {
        #[test]
        fn no_order_is_cheaper_than_the_cheapest(
            steps in prop::collection::vec((1u32..60, 1i64..400), 1..5),
            first in 1u32..20,
            pack in 1u32..25,
            minimum in 1u32..80,
            need in 1u32..300,
        ) {
            // Quantities rise; prices fall or stay, by construction.
            let mut from = first;
            let mut cents: i64 = 400 + steps.iter().map(|step| step.1).sum::<i64>();
            let mut breaks = vec![(from, cents)];
            for (more, less) in steps {
                from += more;
                cents -= less;
                breaks.push((from, cents));
            }
            let offer = offer(&breaks, pack, minimum);
            prop_assert_eq!(offer.cheapest(need), by_trial(&offer, need));
        }
    }
}

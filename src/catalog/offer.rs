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

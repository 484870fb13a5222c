//! The answer: what to order from whom, what it costs, what cannot be had, how good the list is.

use rust_decimal::{Decimal, RoundingStrategy};
use serde::Serialize;

use crate::quantity::Money;

/// Version of the layout of an order as JSON.
pub const SCHEMA_VERSION: u32 = 1;

/// A purchase list for many designs.
#[derive(Clone, Debug, Serialize)]
pub struct Order {
    /// Version of this layout.
    pub schema_version: u32,
    /// Designs and how often each is built.
    pub designs: Vec<Design>,
    /// One list a supplier, by name.
    pub suppliers: Vec<SupplierOrder>,
    /// What cannot be bought, and why.
    pub missing: Vec<Missing>,
    /// What of a record does not make a circuit: its goods are listed all the same.
    pub unresolved: Vec<Unresolved>,
    /// Where something else than the part designed in is bought.
    pub substituted: Vec<Substituted>,
    /// Substitutes that were left out because a review of the whole design found something with them.
    pub refused: Vec<Refused>,
    /// Everything, charges included.
    pub total: Money,
    /// No list for the same needs costs less.
    pub bound: Money,
    /// `(total − bound) / total` in percent, rounded up to hundredths.
    pub gap_percent: String,
    /// Whether total and bound meet.
    pub proven_cheapest: bool,
    /// What the designs cost bought one at a time, each by the best list found; `None` for a single design.
    pub bought_alone: Option<Money>,
    /// `bought_alone − total`.
    pub saved: Option<Money>,
    /// Most that may be spent.
    pub budget: Option<Money>,
    /// How the total stands to the budget.
    pub within_budget: Option<Budget>,
    /// Days within which everything must arrive.
    pub deadline_days: Option<u32>,
    /// Things to know.
    pub notes: Vec<String>,
}

/// How the total stands to the budget.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Budget {
    /// Within it.
    Kept,
    /// Above it; a list within it was not found, nor ruled out.
    NotFound,
    /// Above it, and so is every other list.
    Impossible,
}

/// A design to be built.
#[derive(Clone, Debug, Serialize)]
pub struct Design {
    /// Name of the supply.
    pub supply: String,
    /// Supplies to build.
    pub quantity: u32,
}

/// What one supplier delivers.
#[derive(Clone, Debug, Serialize)]
pub struct SupplierOrder {
    /// Supplier.
    pub supplier: String,
    /// Lines, by part.
    pub lines: Vec<OrderLine>,
    /// Sum of the lines.
    pub goods: Money,
    /// What the supplier charges for an order.
    pub order_charge: Money,
    /// What is missing to the supplier's minimum order value, and billed all the same.
    pub below_minimum: Money,
    /// What is billed.
    pub total: Money,
    /// Days until the last line is there.
    pub lead_days: u32,
}

/// One line of an order.
#[derive(Clone, Debug, Serialize)]
pub struct OrderLine {
    /// Part number.
    pub part: String,
    /// Value, of a resistor.
    pub value: Option<String>,
    /// Maker.
    pub maker: String,
    /// Family.
    pub family: &'static str,
    /// Pieces the designs need, of this part in all.
    pub needed: u64,
    /// Spare pieces asked for, of this part in all.
    pub spares: u64,
    /// Pieces ordered on this line.
    pub ordered: u64,
    /// Pieces of them that only fill the order up to the supplier's minimum order value.
    pub filling: u64,
    /// Price of one piece.
    pub each: Money,
    /// Price of the line.
    pub price: Money,
    /// Pieces in stock at the supplier.
    pub stock: u32,
    /// Days until it is there; 0 where all of it is in stock.
    pub lead_days: u32,
    /// Designs it goes into.
    pub designs: Vec<String>,
}

/// Something that cannot be bought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// Design.
    pub supply: String,
    /// Rail.
    pub rail: String,
    /// Position.
    pub position: String,
    /// Part number.
    pub part: String,
    /// Value, of a resistor.
    pub value: Option<String>,
    /// Pieces.
    pub pieces: u64,
    /// Why.
    pub why: String,
}

/// A record, or a rail of it, that does not make a circuit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unresolved {
    /// Design.
    pub supply: String,
    /// Rail; empty where it concerns the whole record.
    pub rail: String,
    /// Why.
    pub why: String,
}

/// A substitute that was left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// Design.
    pub supply: String,
    /// Rail.
    pub rail: String,
    /// Position.
    pub position: String,
    /// Part that was to be bought.
    pub part: String,
    /// What a review found with it.
    pub why: String,
}

/// A substitute that is bought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Substituted {
    /// Index of the design.
    pub design: usize,
    /// Design.
    pub supply: String,
    /// Rail.
    pub rail: String,
    /// Position.
    pub position: String,
    /// Part designed in.
    pub designed: String,
    /// Part bought.
    pub bought: String,
    /// Pieces.
    pub pieces: u64,
}

impl Order {
    /// Takes a lower bound that was proven, and says what follows of it. One that passes the total cannot be.
    pub fn bounded_by(&mut self, bound: Money) {
        self.bound.amount = bound.amount.min(self.total.amount);
        let over = self.total.amount - self.bound.amount;
        self.gap_percent = percent(over, self.total.amount);
        self.proven_cheapest = over.is_zero();
        if let Some(budget) = self.budget
            && self.within_budget != Some(Budget::Kept)
        {
            let impossible = self.bound.amount > budget.amount;
            self.within_budget = Some(if impossible { Budget::Impossible } else { Budget::NotFound });
        }
    }

    /// Whether everything is bought within the budget, for records that make circuits.
    pub fn complete(&self) -> bool {
        let whole = self.missing.is_empty() && self.unresolved.is_empty();
        whole && self.within_budget.is_none_or(|budget| budget == Budget::Kept)
    }
}

/// `part / whole` in percent with two decimals, rounded up.
fn percent(part: Decimal, whole: Decimal) -> String {
    let ratio = part.checked_mul(Decimal::ONE_HUNDRED).and_then(|part| part.checked_div(whole));
    // Nothing of nothing is no gap.
    let ratio = ratio.unwrap_or_default();
    let mut rounded = ratio.round_dp_with_strategy(2, RoundingStrategy::AwayFromZero);
    rounded.rescale(2);
    rounded.to_string()
}

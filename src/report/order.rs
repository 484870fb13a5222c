//! An order as a page, as one list a supplier, as JSON.
//!
//! No arithmetic.

use super::{
    csv,
    figures::{Figures, Picture},
    json::{self, JsonError},
    page::{Block, Cell, Kind, Page, Place, Table, clean, of_rail},
    plot::bars::{self, Bar, Scale},
};
use crate::{
    purchase::order::{Budget, Order, SupplierOrder},
    quantity::Money,
};

/// Renders an order as JSON.
pub fn json(order: &Order) -> Result<String, JsonError> {
    json::text(order)
}

/// One list for all suppliers as comma-separated values.
pub fn csv(order: &Order) -> String {
    let mut table = Table::new(
        "order",
        "Order",
        &[
            ("Supplier", Kind::Text, Place::Key),
            ("Part", Kind::Code, Place::Key),
            ("Value", Kind::Text, Place::First),
            ("Maker", Kind::Text, Place::First),
            ("Pieces", Kind::Text, Place::First),
            ("Each", Kind::Money, Place::First),
            ("Price", Kind::Money, Place::First),
            ("Lead days", Kind::Count, Place::Second),
            ("For", Kind::Text, Place::Second),
        ],
    );
    for supplier in &order.suppliers {
        for line in &supplier.lines {
            table.push(vec![
                Cell::text(&supplier.supplier),
                Cell::text(&line.part),
                Cell::text(line.value.as_deref().unwrap_or_default()),
                Cell::text(&line.maker),
                Cell::text(&line.ordered.to_string()),
                Cell::money(Some(line.each)),
                Cell::money(Some(line.price)),
                Cell::count(line.lead_days),
                Cell::text(&line.designs.join(" / ")),
            ]);
        }
    }
    csv::table_text(&table)
}

/// What the comma-separated list has no place for, in lines: why it is not all that was asked for.
pub fn remarks(order: &Order) -> Vec<String> {
    let whole =
        order.unresolved.iter().map(|one| format!("{}: {}", of_rail(&one.supply, &one.rail), one.why));
    let missing = order
        .missing
        .iter()
        .map(|one| format!("{} × {} cannot be bought: {}", one.pieces, one.part, one.why));
    let dear = match (order.within_budget, order.budget) {
        (Some(Budget::Kept) | None, _) | (_, None) => None,
        (Some(_), Some(budget)) => Some(format!("{} is above the budget of {budget}", order.total)),
    };
    whole.chain(missing).chain(dear).map(|line| clean(&line)).collect()
}

impl Page {
    /// An order to read.
    pub fn of_order(order: &Order) -> Self {
        let mut page = Self::new("Order").as_kind("Parts for linear mains supplies");
        page.blocks.push(Block::Conclusion { good: order.complete(), text: conclusion(order) });
        page.blocks.push(Block::Pairs(pairs(order)));
        let designs: Vec<String> =
            order.designs.iter().map(|one| format!("{} × {}", one.quantity, one.supply)).collect();
        page.list(&designs);
        if !order.missing.is_empty() {
            page.heading("missing", "What cannot be bought");
            page.table(missing(order));
        }
        if !order.unresolved.is_empty() {
            page.heading("unresolved", "Records that make no circuit");
            page.paragraph("Their goods stand in the lists all the same: mend the records before you order.");
            page.table(unresolved(order));
        }
        for supplier in &order.suppliers {
            page.heading("supplier", &supplier.supplier);
            page.blocks.push(Block::Pairs(terms(supplier)));
            page.table(list(supplier));
        }
        if !order.substituted.is_empty() {
            page.heading("substituted", "Bought instead of what was designed in");
            page.table(substituted(order));
        }
        if !order.refused.is_empty() {
            page.heading("refused", "Substitutes left out");
            page.table(refused(order));
        }
        if !order.notes.is_empty() {
            page.heading("notes", "Notes");
            page.list(&order.notes);
        }
        page
    }
}

/// What is billed, supplier by supplier, as a figure.
pub fn figures(order: &Order) -> Figures {
    let bars: Vec<Bar> = order
        .suppliers
        .iter()
        .map(|one| Bar {
            name: one.supplier.clone(),
            value: one.total.amount.to_string().parse().unwrap_or(0.0),
            text: one.total.to_string(),
            bad: false,
        })
        .collect();
    if bars.is_empty() {
        return Figures::default();
    }
    let name = format!("billed, {}", order.total.currency.code());
    let scale = Scale { name, times: 1.0, most: f64::MAX, limit: None };
    let picture = Picture {
        name: String::from("billed"),
        section: "",
        title: String::from("What each supplier bills"),
        text: String::from(
            "Goods, charges for the order and what is missing to its least value. The numbers stand with each supplier.",
        ),
        drawing: bars::draw(&bars, &scale),
        table: None,
    };
    Figures { pictures: vec![picture] }
}

fn conclusion(order: &Order) -> String {
    let total = order.total;
    let mut text = if order.proven_cheapest {
        format!(
            "{total}; no other list that serves the same needs costs less, each part from one supplier or two"
        )
    } else {
        format!(
            "{total}; the best list found, not proven the cheapest: at most {} % too dear",
            order.gap_percent
        )
    };
    match (order.within_budget, order.budget) {
        (Some(Budget::Impossible), Some(budget)) => {
            text = format!("above the budget of {budget}, as every other list is: {text}");
        }
        (Some(Budget::NotFound), Some(budget)) => {
            text = format!(
                "above the budget of {budget}; a list within it was neither found nor ruled out: {text}"
            );
        }
        _ => {}
    }
    match order.missing.len() {
        0 => {}
        1 => text = format!("one line cannot be bought. The rest: {text}"),
        some => text = format!("{some} lines cannot be bought. The rest: {text}"),
    }
    if !order.unresolved.is_empty() {
        text = format!("not every record makes a circuit: do not order before that is mended. {text}");
    }
    text
}

fn pairs(order: &Order) -> Vec<(String, String)> {
    let mut pairs = vec![
        ("Total".to_owned(), order.total.to_string()),
        ("Proven lower bound".to_owned(), order.bound.to_string()),
        ("Gap".to_owned(), format!("{} %", order.gap_percent)),
    ];
    if let (Some(alone), Some(saved)) = (order.bought_alone, order.saved) {
        pairs.push(("Each design bought alone".to_owned(), alone.to_string()));
        let saved = if saved.amount.is_sign_negative() && !saved.amount.is_zero() {
            let more = Money { amount: saved.amount.abs(), ..saved };
            format!("nothing, {more} more: together a part still comes from two suppliers at most")
        } else {
            saved.to_string()
        };
        pairs.push(("Saved by buying together".to_owned(), saved));
    }
    if let Some(budget) = order.budget {
        pairs.push(("Budget".to_owned(), budget.to_string()));
    }
    if let Some(days) = order.deadline_days {
        pairs.push(("Everything within".to_owned(), format!("{days} days")));
    }
    pairs.push((
        "A part comes from".to_owned(),
        "one supplier, or two with matching packs at the cheapest split".to_owned(),
    ));
    pairs
}

fn terms(supplier: &SupplierOrder) -> Vec<(String, String)> {
    let mut pairs = vec![("Goods".to_owned(), supplier.goods.to_string())];
    if !supplier.order_charge.amount.is_zero() {
        pairs.push(("Charge for the order".to_owned(), supplier.order_charge.to_string()));
    }
    if !supplier.below_minimum.amount.is_zero() {
        pairs.push((
            "Missing to the minimum order value, billed".to_owned(),
            supplier.below_minimum.to_string(),
        ));
    }
    let filling: Vec<String> = supplier
        .lines
        .iter()
        .filter(|line| line.filling > 0)
        .map(|line| format!("{} × {}", line.filling, line.part))
        .collect();
    if !filling.is_empty() {
        let what = "Only to reach the minimum order value".to_owned();
        pairs.push((what, format!("{}; any other goods of that value do", filling.join(", "))));
    }
    pairs.push(("Billed".to_owned(), supplier.total.to_string()));
    let days = match supplier.lead_days {
        0 => "from stock".to_owned(),
        days => format!("{days} days"),
    };
    pairs.push(("Complete".to_owned(), days));
    pairs
}

fn list(supplier: &SupplierOrder) -> Table {
    let mut table = Table::new(
        "order",
        "",
        &[
            ("Part", Kind::Code, Place::Key),
            ("Value", Kind::Whole, Place::Key),
            ("Maker", Kind::Text, Place::First),
            ("Needed", Kind::Count, Place::First),
            ("Spare", Kind::Count, Place::First),
            ("Ordered", Kind::Count, Place::First),
            ("Each", Kind::Money, Place::First),
            ("Price", Kind::Money, Place::First),
            ("Days", Kind::Count, Place::First),
        ],
    );
    for line in &supplier.lines {
        table.push(vec![
            Cell::text(&line.part),
            Cell::text(line.value.as_deref().unwrap_or_default()),
            Cell::text(&line.maker),
            Cell::text(&line.needed.to_string()),
            Cell::text(&line.spares.to_string()),
            Cell::text(&line.ordered.to_string()),
            // A price of one piece is shown with all its decimals.
            Cell { text: whole(line.each), ..Cell::money(Some(line.each)) },
            Cell::money(Some(line.price)),
            Cell::count(line.lead_days),
        ]);
    }
    table.retain_columns(|head, cells| {
        !matches!(head, "Value" | "Spare") || cells.iter().any(|cell| !matches!(cell.text.as_str(), "" | "0"))
    });
    table
}

/// All decimals of an amount, two at least.
fn whole(money: Money) -> String {
    let mut amount = money.amount;
    if amount.scale() < 2 {
        amount.rescale(2);
    }
    amount.to_string()
}

fn missing(order: &Order) -> Table {
    let mut table = Table::new(
        "missing",
        "",
        &[
            ("Supply", Kind::Text, Place::Key),
            ("Position", Kind::Whole, Place::Key),
            ("Part", Kind::Code, Place::First),
            ("Pieces", Kind::Count, Place::First),
            ("Why", Kind::Text, Place::First),
        ],
    );
    for one in &order.missing {
        table.push(vec![
            Cell::text(&one.supply),
            Cell::text(&one.position),
            Cell::text(&one.part),
            Cell::text(&one.pieces.to_string()),
            Cell::text(&one.why),
        ]);
    }
    table
}

fn unresolved(order: &Order) -> Table {
    let columns = [
        ("Supply", Kind::Text, Place::Key),
        ("Rail", Kind::Code, Place::Key),
        ("Why", Kind::Text, Place::First),
    ];
    let mut table = Table::new("unresolved", "", &columns);
    for one in &order.unresolved {
        table.push(vec![Cell::text(&one.supply), Cell::text(&one.rail), Cell::text(&one.why)]);
    }
    table
}

fn substituted(order: &Order) -> Table {
    let mut table = Table::new(
        "substituted",
        "",
        &[
            ("Supply", Kind::Text, Place::Key),
            ("Position", Kind::Whole, Place::Key),
            ("Designed", Kind::Code, Place::First),
            ("Bought", Kind::Code, Place::First),
            ("Pieces", Kind::Count, Place::First),
        ],
    );
    for one in &order.substituted {
        table.push(vec![
            Cell::text(&one.supply),
            Cell::text(&one.position),
            Cell::text(&one.designed),
            Cell::text(&one.bought),
            Cell::text(&one.pieces.to_string()),
        ]);
    }
    table
}

fn refused(order: &Order) -> Table {
    let mut table = Table::new(
        "refused",
        "The design was reviewed with all its substitutes; with these something is found",
        &[
            ("Supply", Kind::Text, Place::Key),
            ("Position", Kind::Whole, Place::Key),
            ("Part", Kind::Code, Place::First),
            ("Why", Kind::Text, Place::First),
        ],
    );
    for one in &order.refused {
        table.push(vec![
            Cell::text(&one.supply),
            Cell::text(&one.position),
            Cell::text(&one.part),
            Cell::text(&one.why),
        ]);
    }
    table
}

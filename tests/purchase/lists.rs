//! The demo catalog and a record in, a list out: figures, files, exit codes.

use std::collections::BTreeMap;

use assert_cmd::Command;
use railwright::{
    document::{self, Source},
    purchase::{self, Order, Wanted, Wishes, terms},
    quantity::{Currency, Money},
    record::Record,
    report,
};
use rust_decimal::Decimal;

use crate::support::world;

const RECORD: &str = "tests/fixtures/review/record.yaml";
const TERMS: &str = "currency: EUR\nsuppliers:\n  Corvane: {order_charge: 9.50, minimum_order_value: 25}\n  Nordhal: {order_charge: 18.05}\n";

fn record() -> Record {
    let text = include_str!("../fixtures/review/record.yaml");
    document::from_yaml(&Source::new("record.yaml", text)).expect("a sound record")
}

fn wishes() -> Wishes {
    Wishes {
        currency: Currency::new("EUR").expect("three letters"),
        deadline_days: None,
        budget: None,
        spares: BTreeMap::new(),
    }
}

fn order(wanted: &[Wanted<'_>], wishes: &Wishes, terms: &str) -> Order {
    let terms = terms::terms(&Source::new("terms.yaml", terms)).expect("sound terms");
    purchase::order(wanted, &world::demo(), wishes, &terms, purchase::Freedom::default()).expect("an answer")
}

#[test]
fn lines_charges_and_total_add_up_to_the_last_decimal() {
    let record = record();
    let order = order(&[Wanted { record: &record, quantity: 37 }], &wishes(), TERMS);
    let mut total = Decimal::ZERO;
    for supplier in &order.suppliers {
        let goods: Decimal = supplier.lines.iter().map(|line| line.price.amount).sum();
        for line in &supplier.lines {
            assert_eq!(line.price.amount, line.each.amount * Decimal::from(line.ordered));
        }
        assert_eq!(goods, supplier.goods.amount);
        assert_eq!(
            goods + supplier.order_charge.amount + supplier.below_minimum.amount,
            supplier.total.amount
        );
        total += supplier.total.amount;
    }
    assert_eq!(total, order.total.amount);
    assert!(order.proven_cheapest && order.bound == order.total, "{order:?}");
}

/// Second method: each part by the catalog's own reckoning, one supplier each; the order may only be cheaper.
#[test]
fn without_charges_an_order_is_no_dearer_than_the_cheapest_offer_of_each_part() {
    let (record, catalog) = (record(), world::demo());
    let shelf = purchase::lines::shelf(&catalog);
    let order =
        order(&[Wanted { record: &record, quantity: 100 }], &wishes(), "currency: EUR\nsuppliers: {}\n");
    let by_offer: Decimal = record.rails[0]
        .parts
        .iter()
        .map(|part| {
            let common = shelf[&railwright::catalog::PartId(part.part.clone())].1;
            common
                .offers
                .iter()
                .filter_map(|offer| offer.cheapest(100 * part.count))
                .map(|one| one.total)
                .min()
                .expect("sold")
        })
        .sum();
    assert!(order.total.amount <= by_offer && order.total.amount > by_offer * Decimal::new(9, 1));
}

#[test]
fn two_builds_of_one_design_are_one_line_a_part_and_cost_no_more_together() {
    let record = record();
    let wanted = [Wanted { record: &record, quantity: 60 }, Wanted { record: &record, quantity: 45 }];
    let order = order(&wanted, &wishes(), TERMS);
    let transformer: Vec<_> =
        order.suppliers.iter().flat_map(|one| &one.lines).filter(|line| line.part == "PB50-15").collect();
    assert!(transformer.iter().all(|line| line.needed == 105));
    assert!(order.saved.is_some_and(|saved| saved.amount >= Decimal::ZERO));
}

#[test]
fn spares_are_rounded_up_once_a_part() {
    let record = record();
    let spares = BTreeMap::from([("fuse".to_owned(), 100_000), ("all".to_owned(), 0)]);
    let wanted = [Wanted { record: &record, quantity: 11 }, Wanted { record: &record, quantity: 12 }];
    let order = order(&wanted, &Wishes { spares, ..wishes() }, TERMS);
    let fuse =
        order.suppliers.iter().flat_map(|one| &one.lines).find(|line| line.family == "fuse").expect("bought");
    assert_eq!((fuse.needed, fuse.spares), (23, 3));
}

/// Law: a supplier that refuses small orders gets none below its minimum, and filling one up costs no less than being billed.
#[test]
fn no_order_goes_out_below_a_minimum_that_is_refused() {
    let record = record();
    let wanted = [Wanted { record: &record, quantity: 20 }];
    let least = Decimal::from(300);
    let terms = |below: &str| {
        let one = |name: &str| format!("  {name}: {{minimum_order_value: 300, below_minimum: {below}}}\n");
        let all: Vec<String> = ["Brackmill", "Corvane", "Nordhal", "Ostvale"].into_iter().map(one).collect();
        format!("currency: EUR\nsuppliers:\n{}", all.concat())
    };
    let refused = order(&wanted, &wishes(), &terms("refused"));
    for supplier in &refused.suppliers {
        assert!(supplier.goods.amount >= least && supplier.below_minimum.amount.is_zero(), "{supplier:?}");
        for line in &supplier.lines {
            assert!(
                line.filling < line.ordered && line.ordered >= line.needed.min(line.ordered - line.filling)
            );
        }
    }
    assert!(refused.missing.is_empty() && refused.bound.amount <= refused.total.amount);
    let billed = order(&wanted, &wishes(), &terms("billed"));
    assert!(billed.total.amount <= refused.total.amount);
}

#[test]
fn a_budget_below_the_bound_is_called_impossible() {
    let record = record();
    let wanted = [Wanted { record: &record, quantity: 10 }];
    let tight = Wishes { budget: Some(Decimal::ONE), ..wishes() };
    let answer = order(&wanted, &tight, TERMS);
    assert_eq!(answer.within_budget, Some(purchase::order::Budget::Impossible));
    assert!(!answer.complete());
    let wide = Wishes { budget: Some(answer.total.amount), ..wishes() };
    assert!(order(&wanted, &wide, TERMS).complete());
}

#[test]
fn what_no_supplier_has_in_time_is_named_with_the_reason() {
    let record = record();
    let wanted = [Wanted { record: &record, quantity: 900_000 }];
    let order = order(&wanted, &Wishes { deadline_days: Some(1), ..wishes() }, TERMS);
    assert!(!order.missing.is_empty() && !order.complete());
    assert!(order.missing.iter().all(|one| one.why.contains("later than 1 days")), "{:?}", order.missing);
}

#[test]
fn a_part_that_the_catalog_does_not_hold_is_named_and_the_rest_is_ordered() {
    let mut record = record();
    record.rails[0].parts[1].part = "NOT-THERE".to_owned();
    let order = order(&[Wanted { record: &record, quantity: 10 }], &wishes(), TERMS);
    assert_eq!(order.missing.len(), 1);
    assert_eq!(order.missing[0].why, "not in the catalog");
    assert!(order.total.amount > Decimal::ZERO);
}

#[test]
fn no_cell_of_a_list_is_a_formula() {
    let mut record = record();
    for name in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1"] {
        record.supply = name.to_owned();
        let order = order(&[Wanted { record: &record, quantity: 10 }], &wishes(), TERMS);
        for line in report::order::csv(&order).lines() {
            for cell in line.split(',') {
                let cell = cell.trim_start_matches('"');
                assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{line}");
            }
        }
    }
}

#[test]
fn the_total_in_json_is_exact_decimal_text() {
    let record = record();
    let order = order(&[Wanted { record: &record, quantity: 37 }], &wishes(), TERMS);
    let json: serde_json::Value =
        serde_json::from_str(&report::order::json(&order).expect("finite")).expect("JSON");
    let read: Money = serde_json::from_value(json["total"].clone()).expect("money");
    assert_eq!(read, order.total);
}

/// A day is as many days away as the calendar says: the same list either way.
#[test]
fn a_delivery_day_is_a_number_of_days_from_the_day_of_the_order() {
    let run = |more: &[&str]| {
        let mut command = Command::cargo_bin("railwright").expect("built");
        let output = command.args(["order", &format!("{RECORD}:25")]).args(more).output().expect("run");
        (output.status.code(), String::from_utf8(output.stdout).expect("UTF-8"))
    };
    let by_day = run(&["--by", "2028-03-05", "--on", "2028-02-24"]);
    assert_eq!(by_day, run(&["--deadline", "10"]));
    assert!(by_day.1.contains("10 days"), "{}", by_day.1);
}

#[test]
fn the_command_answers_with_an_exit_code() {
    let run = |more: &[&str]| {
        let mut command = Command::cargo_bin("railwright").expect("built");
        command.args(["order", &format!("{RECORD}:25"), "--width", "80"]).args(more).output().expect("run")
    };
    let clean = run(&[]);
    assert_eq!(clean.status.code(), Some(0));
    let text = String::from_utf8(clean.stdout).expect("UTF-8");
    assert!(text.contains("Proven lower bound"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert_eq!(run(&["--budget", "1"]).status.code(), Some(1));
    assert_eq!(run(&["--currency", "euro"]).status.code(), Some(2));
    assert_eq!(run(&["--spare", "fuses=10"]).status.code(), Some(2));
    let mut command = Command::cargo_bin("railwright").expect("built");
    let zero = command.args(["order", &format!("{RECORD}:0")]).output().expect("run");
    assert_eq!(zero.status.code(), Some(2));
}

//! Substitutes in an order: what is bought in place of a part holds with everything else that is bought.

use std::fs;

use assert_cmd::Command;
use railwright::{
    catalog::Catalog,
    flow::{Bought, buy},
    purchase::{
        Order, Wanted, Wishes,
        terms::{Substitute, Terms},
    },
    quantity::Currency,
    review::substitute::{Place, every, family, substitute, together},
};

use crate::review::bench::{Bench, designed, sound};

fn wishes() -> Wishes {
    Wishes {
        currency: Currency::new("EUR").expect("three letters"),
        deadline_days: None,
        budget: None,
        spares: std::collections::BTreeMap::new(),
    }
}

fn bought(bench: &Bench, catalog: &Catalog, substitutes: &[Substitute]) -> Order {
    let wanted = Wanted { record: &bench.record, quantity: 25 };
    let design = Bought { wanted, review: Some(bench.inputs()), waivers: &[] };
    buy(&[design], catalog, &wishes(), &Terms::default(), substitutes).expect("an answer")
}

/// What fits alone, in every position; of a large family one part in so many is tried.
fn allowed(bench: &Bench, one_in: usize) -> Vec<(Place, Substitute)> {
    every(&bench.record)
        .into_iter()
        .map(|place| {
            let parts = family(&bench.catalog, &bench.record, &place);
            let step = if parts.len() > 100 { one_in } else { 1 };
            let parts: Vec<String> = parts.into_iter().step_by(step).collect();
            let found = substitute(bench.inputs(), &[], &place, &parts);
            let position = place.names(&bench.record).expect("there").1.to_owned();
            let rule = Substitute {
                supply: None,
                rail: Some(found.rail.clone()),
                position: Some(position),
                part: found.recorded.clone(),
                allowed: found.allowed(),
            };
            (place, rule)
        })
        .collect()
}

fn holds(bench: &Bench, order: &Order) -> bool {
    let swaps: Vec<(Place, String)> = order
        .substituted
        .iter()
        .map(|one| (Place::of(&bench.record, &one.rail, &one.position).expect("there"), one.bought.clone()))
        .collect();
    together(bench.inputs(), &[], &swaps).is_empty()
}

/// Free parts make every substitute worth buying: the hardest case for what must hold together.
fn make_cheap(catalog: &mut Catalog, part: &str) {
    macro_rules! cheapen {
        ($($list:ident),*) => {$(
            for one in catalog.$list.iter_mut().filter(|one| one.common.id.0 == part) {
                for step in one.common.offers.iter_mut().flat_map(|offer| &mut offer.breaks) {
                    step.each = rust_decimal::Decimal::new(1, 4);
                }
            }
        )*};
    }
    cheapen!(
        transformers,
        diodes,
        bridges,
        electrolytics,
        small_capacitors,
        regulators,
        sinks,
        fuses,
        resistors
    );
}

#[test]
fn a_substitute_that_does_not_hold_is_left_out_and_named() {
    let mut bench = sound();
    let mut catalog = bench.catalog.clone();
    make_cheap(&mut catalog, "TS50-2200");
    bench.catalog = catalog.clone();
    let rule = Substitute {
        supply: None,
        rail: None,
        position: Some("reservoir".to_owned()),
        part: "QS63-3300".to_owned(),
        allowed: vec!["TS50-2200".to_owned()],
    };
    let order = bought(&bench, &catalog, &[rule]);
    assert!(order.substituted.is_empty());
    assert_eq!(order.refused.len(), 1, "{:?}", order.refused);
    assert!(order.refused[0].part == "TS50-2200" && order.refused[0].why.contains("reservoir"));
    assert!(
        order.bound.amount < order.total.amount && !order.proven_cheapest,
        "the bound is that of the freer choice"
    );
}

/// Law: whatever is bought in place of what was designed in, the design with all of it passes its review.
#[test]
fn everything_bought_instead_holds_together() {
    for bench in [sound(), designed("workshop-12v"), designed("tea-kettle-clock")] {
        let rules: Vec<Substitute> = allowed(&bench, 3).into_iter().map(|one| one.1).collect();
        assert!(rules.iter().map(|rule| rule.allowed.len()).sum::<usize>() > 10);
        let order = bought(&bench, &bench.catalog, &rules);
        assert!(holds(&bench, &order), "{:?}", order.substituted);
        let plain = bought(&bench, &bench.catalog, &[]);
        assert!(order.total.amount <= plain.total.amount);
    }
}

/// Two parts that fit one by one and not together: each alone is bought, never both.
#[test]
fn parts_that_fit_alone_and_not_together_are_not_bought_together() {
    let mut bench = designed("workshop-12v");
    let alone = allowed(&bench, 1);
    let pair = alone.iter().enumerate().find_map(|(at, (one, first))| {
        alone[at + 1..].iter().find_map(|(other, second)| {
            first.allowed.iter().find_map(|a| {
                let clash = |b: &&String| {
                    let swaps = [(one.clone(), a.clone()), (other.clone(), (*b).clone())];
                    !together(bench.inputs(), &[], &swaps).is_empty()
                };
                second
                    .allowed
                    .iter()
                    .find(clash)
                    .map(|b| (first.clone(), a.clone(), second.clone(), b.clone()))
            })
        })
    });
    let (first, a, second, b) = pair.expect("tight designs have such pairs");
    for part in [&a, &b] {
        let mut catalog = bench.catalog.clone();
        make_cheap(&mut catalog, part);
        bench.catalog = catalog;
    }
    let only = |rule: &Substitute, part: &String| Substitute { allowed: vec![part.clone()], ..rule.clone() };
    let rules = [only(&first, &a), only(&second, &b)];
    let order = bought(&bench, &bench.catalog, &rules);
    assert_eq!((order.substituted.len(), order.refused.len()), (1, 1), "{a} and {b}");
    assert!(order.refused[0].why.contains("with the other substitutes"), "{:?}", order.refused);
    assert!(holds(&bench, &order));
}

#[test]
fn without_requirements_beside_the_record_nothing_is_bought_instead() {
    let bench = sound();
    let rules: Vec<Substitute> = allowed(&bench, 3).into_iter().map(|one| one.1).collect();
    let design =
        Bought { wanted: Wanted { record: &bench.record, quantity: 25 }, review: None, waivers: &[] };
    let order = buy(&[design], &bench.catalog, &wishes(), &Terms::default(), &rules).expect("an answer");
    assert!(order.substituted.is_empty());
    assert!(order.refused.iter().all(|one| one.why.contains("no requirements file")));
}

#[test]
fn what_substitute_writes_order_reads() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("substitutes.yaml").display().to_string();
    let run = |arguments: &[&str]| {
        let mut command = Command::cargo_bin("railwright").expect("built");
        command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(["--width", "80"]);
        let output = command.args(arguments).output().expect("run");
        let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
        (output.status.code(), text(output.stdout), text(output.stderr))
    };
    let record = "designs/tea-kettle-clock/record.yaml";
    let (code, out, err) = run(&["substitute", record, "--allowed", &file]);
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("Fit") && out.lines().all(|line| line.chars().count() <= 80), "{out}");
    assert!(fs::read_to_string(&file).expect("written").contains("position: reservoir"));
    let (code, plain, _) = run(&["order", record, "--format", "json"]);
    assert_eq!(code, Some(0));
    let (code, freer, err) = run(&["order", record, "--substitutes", &file, "--format", "json"]);
    assert_eq!(code, Some(0), "{err}");
    let total = |text: &str| -> rust_decimal::Decimal {
        let json: serde_json::Value = serde_json::from_str(text).expect("JSON");
        let total: railwright::quantity::Money =
            serde_json::from_value(json["total"].clone()).expect("money");
        total.amount
    };
    assert!(total(&freer) <= total(&plain));
    assert_eq!(run(&["substitute", record]).0, Some(2), "a position or a file is needed");
    fs::write(&file, "substitutes:\n  - {part: 7, allowed: QS}\n").expect("written");
    let (code, _, err) = run(&["order", record, "--substitutes", &file]);
    assert!(code == Some(2) && err.contains("allowed"), "{err}");
}

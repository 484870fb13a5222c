//! The published schema of the JSON report: every demo report keeps to it, and what does not keep to it is told.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{fs, path::Path};

use assert_cmd::Command;
use jsonschema::Validator;
use railwright::{analysis::FigureName, report::json, review::dossier::SCHEMA_VERSION};
use serde_json::Value;

use crate::review::everywhere::all;
use crate::support::dossier::{dossier, infeasible};

/// A schema, read by a general library for JSON Schema (draft 2020-12).
fn of(schema: &str) -> Validator {
    jsonschema::validator_for(&serde_json::from_str(schema).unwrap()).unwrap()
}

/// The schema of reports.
fn validator() -> Validator {
    of(json::SCHEMA)
}

fn faults(validator: &Validator, report: &Value) -> Vec<String> {
    validator.iter_errors(report).map(|fault| format!("{}: {fault}", fault.instance_path())).take(3).collect()
}

fn said(arguments: &[&str]) -> Value {
    let output = Command::cargo_bin("railwright")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .unwrap();
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn every_demo_report_keeps_to_the_published_schema() {
    let validator = validator();
    let mut seen = 0;
    for one in all() {
        // Rails on one core are solved together by the general engine: their edges take a minute of processor time and
        // more. Both reports were held to the schema by hand.
        let report = if one.is_shared() {
            said(&["audit", &format!("designs/{}/record.yaml", one.name), "--reliability"])
        } else {
            serde_json::from_str(&json::render(one.whole()).unwrap()).unwrap()
        };
        assert_eq!(faults(&validator, &report), Vec::<String>::new(), "{}", one.name);
        seen += 1;
    }
    // The reports above were rendered without the command; this is what the command makes of the same record.
    let said_of = said(&["audit", "designs/workshop-12v/record.yaml", "--sensitivity", "--reliability"]);
    assert_eq!(faults(&validator, &said_of), Vec::<String>::new());
    let whole = all().iter().find(|one| one.name == "workshop-12v").unwrap().whole();
    let rendered: Value = serde_json::from_str(&json::render(whole).unwrap()).unwrap();
    let keys = |report: &Value| report.as_object().unwrap().keys().cloned().collect::<Vec<_>>();
    assert_eq!(keys(&said_of), keys(&rendered));
    assert_eq!(said_of["margins"], rendered["margins"]);
    assert_eq!(said_of["reliability"], rendered["reliability"]);
    assert!(seen >= 6, "{seen} records");
    for design in ["beehive-scale", "orchard-radio"] {
        let report = said(&["design", &format!("designs/{design}/requirements.yaml")]);
        assert_eq!(faults(&validator, &report), Vec::<String>::new(), "{design}");
    }
}

#[test]
fn reports_made_by_hand_keep_to_it_and_so_does_the_version() {
    let validator = validator();
    let whole: Value = serde_json::from_str(&json::render(&dossier("plain")).unwrap()).unwrap();
    let none: Value = serde_json::from_str(&json::render_infeasible(&infeasible("plain")).unwrap()).unwrap();
    for report in [&whole, &none] {
        assert_eq!(faults(&validator, report), Vec::<String>::new());
        assert_eq!(report["schema_version"], SCHEMA_VERSION);
    }
}

#[test]
fn a_report_that_does_not_keep_to_it_is_told() {
    let validator = validator();
    let whole: Value = serde_json::from_str(&json::render(&dossier("plain")).unwrap()).unwrap();
    let spoilt: [&dyn Fn(&mut Value); 5] = [
        &|report| report["schema_version"] = Value::from(2),
        &|report| report["stresses"][0]["limit"]["value"] = Value::Null,
        &|report| report["parts"][0]["unit_cost"] = Value::from(1.5),
        &|report| {
            report.as_object_mut().unwrap().remove("deferral");
        },
        &|report| report["unheard_of"] = Value::Null,
    ];
    for spoil in spoilt {
        let mut report = whole.clone();
        spoil(&mut report);
        assert!(!validator.is_valid(&report));
    }
}

/// Splits a command at its spaces and keeps what it writes to a schema.
fn keeps(validator: &Validator, command: &str) -> Value {
    let report = said(&command.split(' ').collect::<Vec<_>>());
    assert_eq!(faults(validator, &report), Vec::<String>::new(), "{command}");
    report
}

#[test]
fn every_demo_analysis_keeps_to_the_published_schema() {
    let validator = of(json::ANALYSIS_SCHEMA);
    let mut seen = 0;
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("designs/circuits")).unwrap() {
        let path = entry.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        // The others are tolerances for another file.
        if text.lines().any(|line| line.starts_with("circuit:")) {
            keeps(&validator, &format!("analyse {}", path.display()));
            seen += 1;
        }
    }
    assert!(seen >= 5, "{seen} circuits");
    let bench = "analyse designs/circuits/bench-supply.yaml";
    let whole = keeps(&validator, &format!("{bench} --switch-on --samples 50 --seed 3"));
    keeps(&validator, &format!("{bench} --tolerance designs/circuits/bench-supply-corners.yaml"));
    keeps(&validator, &format!("{bench} --sweep filter.c1=1000uF..4700uF/3 --sweep load.current=1A..2A/2"));
    keeps(&validator, "analyse --record designs/workshop-12v/record.yaml --rail main --corner headroom-cold");
    // No load voltage is left at such a load: a point says why it has no figures.
    let none =
        keeps(&validator, "analyse designs/circuits/bench-supply.yaml --sweep load.current=1A..500A/2");
    assert!(none["points"][1]["unsolved"].is_string(), "{none}");
    let spoilt: [&dyn Fn(&mut Value); 5] = [
        &|report| report["load_mean_v"] = Value::from("12 V"),
        &|report| report["circuit"]["filter.c1_uf"] = Value::from(4700),
        &|report| {
            report["vertices"]["figures"]["load_men_v"] =
                report["vertices"]["figures"]["load_mean_v"].clone();
        },
        &|report| {
            report.as_object_mut().unwrap().remove("class_a");
        },
        &|report| report["unheard_of"] = Value::Null,
    ];
    for spoil in spoilt {
        let mut report = whole.clone();
        spoil(&mut report);
        assert!(!validator.is_valid(&report));
    }
}

/// Law: the schema names every figure there is, and no other.
#[test]
fn the_schema_of_analyses_names_the_figures_that_there_are() {
    let schema: Value = serde_json::from_str(json::ANALYSIS_SCHEMA).unwrap();
    let keys = schema["$defs"]["Analysis"]["properties"].as_object().unwrap();
    let mut known: Vec<String> = FigureName::all(true).iter().map(FigureName::key).collect();
    for key in &known {
        assert!(keys.contains_key(key), "`{key}` is not in the schema");
    }
    known.extend(
        "schema_version circuit closed_form primary_harmonics_rms_a primary_harmonics_odd_rms_a c1_harmonics_rms_a c1_ripple \
         c2_ripple class_a energy textbook limits switch_on vertices samples"
            .split_whitespace()
            .map(str::to_owned),
    );
    for key in keys.keys() {
        assert!(known.contains(key), "`{key}` is no figure");
    }
}

#[test]
fn every_demo_order_keeps_to_the_published_schema() {
    let validator = of(json::ORDER_SCHEMA);
    let (clock, kiln) =
        ("designs/tea-kettle-clock/record.yaml:250", "designs/kiln-controller/record.yaml:100");
    let plain = keeps(&validator, &format!("order {clock}"));
    assert_eq!(plain["schema_version"], railwright::purchase::order::SCHEMA_VERSION);
    assert!(plain["bought_alone"].is_null());
    let free = "--substitutes designs/tea-kettle-clock/substitutes.yaml --spare all=2";
    let whole = keeps(&validator, &format!("order {clock} {kiln} {free} --budget 100"));
    assert_eq!(whole["within_budget"], "impossible");
    assert!(!whole["substituted"].as_array().unwrap().is_empty());
    let late = keeps(&validator, &format!("order {clock} --deadline 0"));
    assert!(!late["missing"].as_array().unwrap().is_empty());
    let spoilt: [&dyn Fn(&mut Value); 4] = [
        &|order| order["total"] = Value::from(12.5),
        &|order| order["within_budget"] = Value::from("perhaps"),
        &|order| order["suppliers"][0]["lines"][0]["ordered"] = Value::from(-1),
        &|order| {
            order.as_object_mut().unwrap().remove("bound");
        },
    ];
    for spoil in spoilt {
        let mut order = whole.clone();
        spoil(&mut order);
        assert!(!validator.is_valid(&order));
    }
}

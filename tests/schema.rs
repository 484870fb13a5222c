//! The published schema of the JSON report: every demo report keeps to it, and what does not keep to it is told.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{fs, path::Path};

use assert_cmd::Command;
use jsonschema::Validator;
use railwright::{report::json, review::dossier::SCHEMA_VERSION};
use serde_json::Value;

use crate::support::dossier::{dossier, infeasible};

/// The schema, read by a general library for JSON Schema (draft 2020-12).
fn validator() -> Validator {
    jsonschema::validator_for(&serde_json::from_str(json::SCHEMA).unwrap()).unwrap()
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
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("designs")).unwrap() {
        let record = entry.unwrap().path().join("record.yaml");
        if record.exists() {
            let report = said(&["audit", record.to_str().unwrap(), "--sensitivity", "--reliability"]);
            assert_eq!(faults(&validator, &report), Vec::<String>::new(), "{}", record.display());
            seen += 1;
        }
    }
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

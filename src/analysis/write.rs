//! A circuit as a circuit file that reads back as the same circuit.
//!
//! Knows no file on disk.

use std::fmt::Write as _;

use super::{file::TOPOLOGIES, input};
use crate::{
    circuit::spec::{Branch, Filter, Load, Spec},
    document::neutralise,
    quantity::{Quantity as _, Volts},
};

/// Text of a circuit file.
pub fn circuit_text(name: &str, spec: &Spec, knee: Option<Volts>) -> String {
    let mut out = String::from("circuit: 1\n");
    // A quoted JSON string is a YAML string.
    let quoted = serde_json::Value::from(neutralise(name).into_owned()).to_string();
    put(&mut out, 0, "name", &quoted);
    let word =
        TOPOLOGIES.iter().find(|(_, topology)| *topology == spec.topology).map_or("", |(word, _)| word);
    put(&mut out, 0, "topology", word);
    out.push_str("winding:\n");
    for one in [input::EMF_PEAK, input::FREQUENCY, input::RESISTANCE, input::COMMON, input::LEAKAGE] {
        line(&mut out, 1, one, spec);
    }
    out.push_str("diode:\n");
    for one in [input::THRESHOLD, input::SLOPE] {
        line(&mut out, 1, one, spec);
    }
    branch(&mut out, 0, &spec.output, spec, "", knee);
    if let Some(negative) = &spec.negative {
        out.push_str("negative:\n");
        branch(&mut out, 1, negative, spec, "negative.", knee);
    }
    out
}

fn branch(out: &mut String, depth: usize, branch: &Branch, spec: &Spec, prefix: &str, knee: Option<Volts>) {
    let kind = match branch.filter {
        Filter::None => "none",
        Filter::Reservoir(_) => "reservoir",
        Filter::Crc(..) => "crc",
        Filter::Clc(..) => "clc",
        Filter::Lc(..) => "lc",
        Filter::Rc(..) => "rc",
    };
    put(out, depth, "filter", "");
    put(out, depth + 1, "kind", kind);
    for section in ["filter.", "load."] {
        if section == "load." {
            put(out, depth, "load", "");
        }
        let start = format!("{prefix}{section}");
        for one in input::ALL.into_iter().filter(|one| one.path.starts_with(&start)) {
            line(out, depth + 1, one, spec);
        }
    }
    if let (Some(knee), Load::Current(_) | Load::Power(_)) = (knee, branch.load) {
        put(out, depth + 1, "knee", &knee.to_exact_text());
    }
}

fn line(out: &mut String, depth: usize, one: input::Input, spec: &Spec) {
    if let Some(value) = one.of(spec) {
        put(out, depth, one.path.rsplit('.').next().unwrap_or(""), &one.measure.exact(value));
    }
}

fn put(out: &mut String, depth: usize, key: &str, value: &str) {
    let gap = if value.is_empty() { "" } else { " " };
    // Writing to a string does not fail.
    let _ = writeln!(out, "{:width$}{key}:{gap}{value}", "", width = 2 * depth);
}

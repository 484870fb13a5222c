//! A circuit file as text that reads back as the same circuit, with all that stands beside it.
//!
//! Knows no file on disk.

use std::fmt::Write as _;

use super::{
    core_file::{AnyFile, CoreFile},
    file::{CircuitFile, TOPOLOGIES},
    input::{self, Input},
    limits::Limit,
    ripple::{self, RippleRating},
    tolerance::{DISTRIBUTIONS, Tolerance},
};
use crate::{
    circuit::spec::{Branch, Filter, Load, Spec},
    document::neutralise,
    quantity::{Ohms, Quantity as _, Volts},
};

/// Text of a circuit file of either kind.
pub fn text(file: &AnyFile) -> String {
    match file {
        AnyFile::One(one) => circuit_text(one),
        AnyFile::Core(core) => core_text(core),
    }
}

/// Text of the circuit file of one winding.
pub fn circuit_text(file: &CircuitFile) -> String {
    let mut out = begun(&file.name);
    let switching = &file.switching;
    let one = Rail {
        spec: &file.spec,
        knees: [switching.knee, switching.negative_knee],
        shared: Some(Shared { mains_rms: file.mains_rms }),
    };
    rail(&mut out, 0, &one);
    limiter(&mut out, 0, switching.limiter);
    residual(&mut out, 0, switching.residual);
    ripple_ratings(&mut out, 0, &file.ripple_ratings);
    let tolerances = file.tolerances.iter().map(|one| (one.input.path, one));
    bounds(&mut out, tolerances, file.limits.iter().map(|one| (one.figure.key(), one)));
    out
}

/// Text of the circuit file of several rails on one core.
pub fn core_text(file: &CoreFile) -> String {
    let mut out = begun(&file.name);
    out.push_str("core:\n");
    put(&mut out, 1, "primary_resistance", &file.primary_resistance.to_exact_text());
    mains(&mut out, 1, file.mains_rms);
    limiter(&mut out, 1, file.limiter);
    out.push_str("rails:\n");
    for one in &file.rails {
        let _ = writeln!(out, "  - name: {}", quoted(&one.name));
        rail(&mut out, 2, &Rail { spec: &one.spec, knees: one.knees, shared: None });
        residual(&mut out, 2, one.residual);
        ripple_ratings(&mut out, 2, &one.ripple_ratings);
    }
    let tolerances = file.bounds.tolerances.iter().map(|(input, one)| (input.path.as_str(), one));
    bounds(&mut out, tolerances, file.bounds.limits.iter().map(|(figure, one)| (figure.key.clone(), one)));
    out
}

/// One rectifier circuit.
struct Rail<'a> {
    spec: &'a Spec,
    knees: [Option<Volts>; 2],
    /// What stands with the winding where it is alone on its core.
    shared: Option<Shared>,
}

struct Shared {
    mains_rms: Option<Volts>,
}

fn begun(name: &str) -> String {
    let mut out = String::from("circuit: 1\n");
    put(&mut out, 0, "name", &quoted(name));
    out
}

/// A quoted JSON string is a YAML string.
fn quoted(text: &str) -> String {
    serde_json::Value::from(neutralise(text).into_owned()).to_string()
}

fn rail(out: &mut String, depth: usize, one: &Rail<'_>) {
    let spec = one.spec;
    let word =
        TOPOLOGIES.iter().find(|(_, topology)| *topology == spec.topology).map_or("", |(word, _)| word);
    put(out, depth, "topology", word);
    put(out, depth, "winding", "");
    for element in [input::EMF_PEAK, input::FREQUENCY, input::RESISTANCE, input::LEAKAGE] {
        line(out, depth + 1, element, spec);
    }
    if let Some(shared) = &one.shared {
        line(out, depth + 1, input::COMMON, spec);
        mains(out, depth + 1, shared.mains_rms);
    }
    put(out, depth, "diode", "");
    for element in [input::THRESHOLD, input::SLOPE] {
        line(out, depth + 1, element, spec);
    }
    branch(out, depth, (&spec.output, one.knees[0]), spec, "");
    if let Some(negative) = &spec.negative {
        put(out, depth, "negative", "");
        branch(out, depth + 1, (negative, one.knees[1]), spec, "negative.");
    }
}

fn branch(
    out: &mut String,
    depth: usize,
    (branch, knee): (&Branch, Option<Volts>),
    spec: &Spec,
    prefix: &str,
) {
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

fn mains(out: &mut String, depth: usize, mains: Option<Volts>) {
    if let Some(volts) = mains {
        put(out, depth, "mains_rms", &volts.to_exact_text());
    }
}

fn limiter(out: &mut String, depth: usize, limiter: Option<(Ohms, Ohms)>) {
    if let Some((cold, hot)) = limiter {
        put(out, depth, "limiter", "");
        put(out, depth + 1, "cold", &cold.to_exact_text());
        put(out, depth + 1, "hot", &hot.to_exact_text());
    }
}

fn residual(out: &mut String, depth: usize, volts: Volts) {
    if volts.0 > 0.0 {
        put(out, depth, "residual", &volts.to_exact_text());
    }
}

fn ripple_ratings(out: &mut String, depth: usize, ratings: &[Option<RippleRating>; 2]) {
    for (key, rating) in [ripple::FIRST, ripple::SECOND].into_iter().zip(ratings) {
        ripple_rating(out, depth, key, rating.as_ref());
    }
}

fn ripple_rating(out: &mut String, depth: usize, key: &str, rating: Option<&RippleRating>) {
    let Some(rating) = rating else { return };
    put(out, depth, key, "");
    put(out, depth + 1, "rated", &rating.rated.to_exact_text());
    let points: Vec<String> = rating
        .multipliers
        .points()
        .iter()
        .map(|(frequency, multiplier)| format!("[{}, {}]", frequency.to_exact_text(), multiplier.0))
        .collect();
    put(out, depth + 1, "multipliers", &format!("[{}]", points.join(", ")));
}

fn bounds<'a>(
    out: &mut String,
    tolerances: impl Iterator<Item = (&'a str, &'a Tolerance)>,
    limits: impl Iterator<Item = (String, &'a Limit)>,
) {
    for (nth, (path, one)) in tolerances.enumerate() {
        if nth == 0 {
            put(out, 0, "tolerance", "");
        }
        put(out, 1, &quoted(path), "");
        put(out, 2, "from", &one.input.measure.exact(one.low));
        put(out, 2, "to", &one.input.measure.exact(one.high));
        let word = DISTRIBUTIONS.iter().find(|(_, kind)| *kind == one.distribution);
        put(out, 2, "distribution", word.map_or("", |(word, _)| word));
    }
    for (nth, (key, one)) in limits.enumerate() {
        if nth == 0 {
            put(out, 0, "limits", "");
        }
        put(out, 1, &quoted(&key), "");
        for (end, value) in [("min", one.min), ("max", one.max)] {
            if let Some(value) = value {
                put(out, 2, end, &value.to_string());
            }
        }
    }
}

fn line(out: &mut String, depth: usize, one: Input, spec: &Spec) {
    if let Some(value) = one.of(spec) {
        put(out, depth, one.path.rsplit('.').next().unwrap_or(""), &one.measure.exact(value));
    }
}

fn put(out: &mut String, depth: usize, key: &str, value: &str) {
    let gap = if value.is_empty() { "" } else { " " };
    // Writing to a string does not fail.
    let _ = writeln!(out, "{:width$}{key}:{gap}{value}", "", width = 2 * depth);
}

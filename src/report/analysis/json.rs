//! An analysis as JSON: one key a figure, the key's end its SI unit; what does not apply is null.
//!
//! Keys of single figures stand at the outermost level, so that results can be compared by machine.

use super::{json_value::Json, page};
use crate::{
    analysis::{
        Analysed, CircuitFile, FigureName,
        analyse::Switched,
        file::TOPOLOGIES,
        grid::GridLimits,
        input,
        limits::Limit,
        monte_carlo::{Outcome, PERCENTILES},
        name::{Known, Unit},
        ripple::{RippleUse, Weighted},
        textbook::Rule,
        vertices::{self, Box as VertexBox},
    },
    circuit::{general::switch_on::SwitchOn, reservoir::Harmonic, spec::Spec},
    physics::grid::HARMONIC_MAX,
    report::json::JsonError,
};

/// Version of the layout.
pub(super) const SCHEMA_VERSION: u64 = 1;

/// Renders an analysis.
pub fn render(file: &CircuitFile, found: &Analysed) -> Result<String, JsonError> {
    let mut pairs = vec![
        ("schema_version".to_owned(), Json::Count(SCHEMA_VERSION)),
        ("circuit".to_owned(), circuit(file)),
        ("closed_form".to_owned(), Json::Yes(found.closed_form)),
    ];
    let known = found.study.known();
    pairs.extend(FigureName::all(true).iter().map(|figure| (figure.key(), single(figure, figure.of(known)))));
    let mut push = |key: &str, value: Json| pairs.push((key.to_owned(), value));
    let harmonics = found.study.grid.as_ref().map(|grid| grid.harmonics.as_slice()).unwrap_or_default();
    push("primary_harmonics_rms_a", rms(harmonics.iter()));
    push("primary_harmonics_odd_rms_a", rms(harmonics.iter().filter(|one| one.order % 2 == 1)));
    push("c1_harmonics_rms_a", found.c1_harmonics.as_ref().map_or(Json::Null, |all| rms(all.iter())));
    for key in ["c1", "c2"] {
        let found = found.ripple_uses.iter().flatten().find(|one| one.capacitor == key);
        push(&format!("{key}_ripple"), found.map_or(Json::Null, ripple));
    }
    push("class_a", class_a(&found.grid_limits));
    let shares = found.shares.iter().map(|share| (share.key.to_owned(), Json::Number(share.power_w)));
    push("energy", Json::Map(shares.collect()));
    push("textbook", textbook(&found.rules));
    let allowed = page::limits(file);
    push("limits", limits(allowed.iter().map(|(key, limit)| (key.as_str(), *limit, limit.figure.of(known)))));
    push("switch_on", found.switched.as_ref().map_or(Json::Null, |one| switch_on(one, |_| true)));
    push("vertices", found.vertices.as_ref().map_or(Json::Null, |list| extents(&page::paths(file), list)));
    push("samples", found.samples.as_ref().map_or(Json::Null, |outcome| samples(&allowed, outcome)));
    text(&Json::Map(pairs))
}

/// One figure: yes or no, a whole number, or a number.
pub(super) fn single(figure: &FigureName, value: Option<f64>) -> Json {
    match value {
        Some(value) if figure.key().ends_with("choke_continuous") => Json::Yes(value > 0.5),
        Some(value) if figure.unit() == Unit::Count => Json::whole(value),
        _ => Json::number(value),
    }
}

pub(super) fn ripple(found: &RippleUse) -> Json {
    let harmonic = |one: &Weighted| {
        Json::map([
            ("order", Json::Count(u64::from(one.order))),
            ("rms_a", Json::Number(one.rms_a)),
            ("multiplier", Json::Number(one.multiplier)),
            ("weighted_a", Json::Number(one.weighted_a)),
        ])
    };
    Json::map([
        ("equivalent_a", Json::Number(found.equivalent_a)),
        ("rated_a", Json::Number(found.rated_a)),
        ("use", Json::Number(found.equivalent_a / found.rated_a)),
        ("harmonics", Json::List(found.harmonics.iter().map(harmonic).collect())),
    ])
}

/// The text of a value.
pub(super) fn text(value: &Json) -> Result<String, JsonError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|error| JsonError::of(&error))?;
    text.push('\n');
    Ok(text)
}

/// Name, topology and every input.
pub(super) fn circuit(file: &CircuitFile) -> Json {
    Json::Map(inputs(&file.name, &file.spec))
}

/// The same of any circuit.
pub(super) fn inputs(name: &str, spec: &Spec) -> Vec<(String, Json)> {
    let word = TOPOLOGIES.iter().find(|(_, topology)| *topology == spec.topology);
    let mut pairs = vec![
        ("name".to_owned(), Json::text(name)),
        ("topology".to_owned(), Json::text(word.map_or("", |(word, _)| word))),
    ];
    for one in input::ALL {
        if let Some(value) = one.of(spec) {
            pairs.push((format!("{}_{}", one.path, one.measure.key()), Json::Number(value)));
        }
    }
    pairs
}

pub(super) fn rms<'a>(harmonics: impl Iterator<Item = &'a Harmonic>) -> Json {
    Json::List(harmonics.map(|one| Json::Number(one.rms_a())).collect())
}

pub(super) fn class_a(limits: &GridLimits) -> Json {
    match limits {
        GridLimits::NoMains => Json::Null,
        GridLimits::BelowFloor | GridLimits::LowMains(_) | GridLimits::LargeCurrent(_) => {
            let why = page::why_unlimited(limits).unwrap_or_default();
            Json::map([("applies", Json::Yes(false)), ("why", Json::text(why))])
        }
        GridLimits::Compared(list) => Json::map([
            ("applies", Json::Yes(true)),
            (
                "harmonics",
                Json::List(
                    list.iter()
                        .map(|one| {
                            Json::map([
                                ("order", Json::Count(u64::from(one.order.min(HARMONIC_MAX)))),
                                ("found_rms_a", Json::Number(one.found_a)),
                                ("limit_rms_a", Json::Number(one.limit_a)),
                            ])
                        })
                        .collect(),
                ),
            ),
        ]),
    }
}

/// Limits that the file states, each with the value of its figure at nominal.
pub(super) fn limits<'l>(all: impl Iterator<Item = (&'l str, &'l Limit, Option<f64>)>) -> Json {
    let one = |(key, limit, value): (&str, &Limit, Option<f64>)| {
        Json::map([
            ("figure", Json::text(key)),
            ("min", Json::number(limit.min)),
            ("max", Json::number(limit.max)),
            ("value", Json::number(value)),
            ("holds", Json::Yes(value.is_some_and(|value| limit.allows(value)))),
        ])
    };
    Json::List(all.map(one).collect())
}

pub(super) fn textbook(rules: &[Rule]) -> Json {
    let rule = |rule: &Rule| {
        Json::map([
            ("figure", Json::text(rule.figure)),
            ("formula", Json::text(rule.formula)),
            ("textbook", Json::Number(rule.textbook)),
            ("exact", Json::Number(rule.exact)),
            ("ratio", Json::Number(rule.ratio())),
        ])
    };
    Json::List(rules.iter().map(rule).collect())
}

/// Figures of a switch-on that pass `kept`, without and with the limiter.
pub(super) fn switch_on(switched: &Switched, kept: impl Fn(&FigureName) -> bool) -> Json {
    let names: Vec<FigureName> =
        FigureName::all(false).into_iter().filter(|name| name.needs_switch_on() && kept(name)).collect();
    let of = |one: &SwitchOn| {
        let known = Known { switch_on: Some(one), ..Known::default() };
        Json::Map(names.iter().map(|name| (name.key(), single(name, name.of(known)))).collect())
    };
    let limited = |which: Option<SwitchOn>| which.map_or(Json::Null, |one| of(&one));
    Json::map([
        ("without_limiter", of(&switched.bare)),
        ("limiter_cold", limited(switched.limited.map(|(cold, _)| cold))),
        ("limiter_hot", limited(switched.limited.map(|(_, hot)| hot))),
    ])
}

pub(super) fn extents(paths: &[&str], list: &VertexBox) -> Json {
    let at = |vertex| Json::text(vertices::words(paths, vertex));
    let figures = list
        .extents
        .iter()
        .map(|one| {
            let (low, high) = (one.ends.map(|(low, _)| low), one.ends.map(|(_, high)| high));
            let value = Json::map([
                ("nominal", Json::number(one.nominal)),
                ("min", Json::number(low.map(|end| end.value))),
                ("min_at", low.map_or(Json::Null, |end| at(end.vertex))),
                ("max", Json::number(high.map(|end| end.value))),
                ("max_at", high.map_or(Json::Null, |end| at(end.vertex))),
            ]);
            (one.key.clone(), value)
        })
        .collect();
    Json::map([
        ("count", Json::Count(u64::from(list.count))),
        ("unsolved", Json::Count(list.unsolved.map_or(0, |(many, ..)| u64::from(many)))),
        ("figures", Json::Map(figures)),
    ])
}

pub(super) fn samples(limits: &[(String, &Limit)], outcome: &Outcome) -> Json {
    let figures = outcome
        .spreads
        .iter()
        .map(|one| {
            let mut pairs = vec![
                ("count".to_owned(), Json::Count(u64::from(one.count))),
                ("mean".to_owned(), Json::Number(one.mean)),
                ("deviation".to_owned(), Json::Number(one.deviation)),
                ("min".to_owned(), Json::Number(one.min)),
            ];
            for (percent, value) in PERCENTILES.iter().zip(&one.percentiles) {
                pairs.push((format!("p{percent}"), Json::Number(*value)));
            }
            pairs.push(("max".to_owned(), Json::Number(one.max)));
            (one.key.clone(), Json::Map(pairs))
        })
        .collect();
    let kept = limits
        .iter()
        .zip(&outcome.kept)
        .map(|((key, _), kept)| (key.clone(), Json::Count(u64::from(*kept))))
        .collect();
    Json::map([
        ("samples", Json::Count(u64::from(outcome.plan.samples))),
        ("seed", Json::Count(outcome.plan.seed)),
        ("unsolved", Json::Count(u64::from(outcome.unsolved))),
        ("figures", Json::Map(figures)),
        ("kept", Json::Map(kept)),
        ("kept_all", Json::Count(u64::from(outcome.kept_all))),
    ])
}

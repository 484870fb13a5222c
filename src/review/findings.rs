//! What is wrong with a record, or worth knowing: failing verdicts, stale digests, parts that are going away.
//!
//! Judges no stress itself. Codes are stable; those of stresses are the codes of their rules.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    dossier::{Finding, Weight},
    figure::Figure,
    recompute::{Inputs, RailReview},
    words,
};
use crate::{
    catalog::part::Lifecycle,
    policy::Known,
    record::write::row_digest,
    stress::{
        assembly::Line,
        verdict::{Origin, Stress, Verdict},
    },
};

/// Codes of findings that are no stress.
pub mod code {
    /// A rail of the requirement is not in the record.
    pub const RAIL_MISSING: &str = "record-rail-missing";
    /// A rail of the record is not in the requirement.
    pub const RAIL_UNKNOWN: &str = "record-rail-unknown";
    /// A part or word of the record means nothing here.
    pub const UNRESOLVED: &str = "record-unresolved";
    /// The rail has no steady state, or its parts do not fit each other.
    pub const UNSOLVED: &str = "record-unsolved";
    /// A recorded part has no place in the circuit.
    pub const UNUSED: &str = "record-part-unused";
    /// The record counts pieces otherwise than the circuit.
    pub const COUNT: &str = "record-count";
    /// The record is for another number of supplies than the requirement.
    pub const QUANTITY: &str = "record-quantity";
    /// The record names another maker than the catalog.
    pub const MAKER: &str = "record-maker";
    /// The requirements file is not the one the record was made from.
    pub const REQUIREMENTS: &str = "digest-requirements";
    /// The policy file is not the one the record was made from.
    pub const POLICY: &str = "digest-policy";
    /// A catalog file is not the one the record was made from.
    pub const CATALOG: &str = "digest-catalog";
    /// The catalog row of a recorded part has changed.
    pub const ROW: &str = "digest-row";
    /// A part is no longer made.
    pub const WITHDRAWN: &str = "part-withdrawn";
    /// A part can be ordered until a date only.
    pub const LAST_ORDER: &str = "part-last-order";
    /// A part is not recommended for new designs.
    pub const NOT_FOR_NEW: &str = "part-not-for-new-designs";
    /// Nobody offers a part in the currency.
    pub const NO_OFFER: &str = "part-no-offer";
    /// One supplier alone offers a part.
    pub const SINGLE_SOURCE: &str = "part-single-source";
    /// A limit is known from memory only.
    pub const MEMORY: &str = "limit-from-memory";
    /// A waiver has run out, or no day of review is given.
    pub const WAIVER_EXPIRED: &str = "waiver-expired";
    /// A waiver matches no stress of the record.
    pub const WAIVER_UNMATCHED: &str = "waiver-unmatched";
    /// A stress goes beyond what its waiver grants.
    pub const WAIVER_EXCEEDED: &str = "waiver-exceeded";
    /// A waiver grants what the policy allows anyway.
    pub const WAIVER_IDLE: &str = "waiver-not-needed";
    /// A waiver grants more than the part's own rating.
    pub const WAIVER_BEYOND_RATING: &str = "waiver-beyond-rating";
    /// All rails together go beyond class A.
    pub const GRID: &str = "grid-harmonic-supply";
    /// A stress has a number that is not finite.
    pub const NO_NUMBER: &str = "stress-without-number";
}

/// All findings of the solved rails and of the record's digests.
pub(super) fn all(inputs: Inputs<'_>, rails: &[RailReview<'_>]) -> Vec<Finding> {
    let mut found = Vec::new();
    for rail in rails {
        found.extend(rail.verdicts.iter().filter_map(|verdict| failing(rail, verdict)));
        found.extend(recorded(inputs, rail));
    }
    found.extend(digests(inputs));
    found.extend(lifecycle(inputs, rails));
    found.extend(from_memory(rails));
    found
}

/// A finding.
pub(super) fn finding(weight: Weight, code: &str, rail: &str, position: &str, text: String) -> Finding {
    Finding { weight, code: code.to_owned(), rail: rail.to_owned(), position: position.to_owned(), text }
}

/// What a failing verdict says.
fn failing(rail: &RailReview<'_>, verdict: &Verdict) -> Option<Finding> {
    if verdict.holds() {
        return None;
    }
    let (mut code, text) = match verdict {
        Verdict::Stress(stress) => match stress_text(stress) {
            Some(text) => (stress.code, text),
            None => (code::NO_NUMBER, format!("`{}` has no finite number: {}", stress.code, stress.note)),
        },
        Verdict::MissingRating { code, rating, .. } => {
            (*code, format!("the part states no {rating}, which `{code}` needs"))
        }
        Verdict::Fact { code, text, .. } => (*code, text.clone()),
        Verdict::NotApplicable { .. } => return None,
    };
    if code.is_empty() {
        code = code::UNSOLVED;
    }
    Some(finding(Weight::Finding, code, &rail.record.rail, verdict.position().key(), text))
}

/// A stress in one line; `None` where a number is not finite.
fn stress_text(stress: &Stress) -> Option<String> {
    let unit = stress.unit.into();
    let applied = Figure::new(stress.applied, unit)?.text();
    let limit = Figure::new(stress.limit, unit)?.text();
    let used = Figure::new(stress.utilisation(), super::Unit::Percent)
        .map_or_else(|| String::from("beyond any ratio"), |used| format!("{} used", used.text()));
    let vertex = stress.vertex.map_or_else(String::new, |vertex| format!(", {}", words::vertex(&vertex)));
    let note = if stress.note.is_empty() { String::new() } else { format!("; {}", stress.note) };
    Some(format!("applied {applied}, limit {limit}: {used}{vertex}{note}"))
}

/// What the record says of its parts against what stands in the circuit and the catalog.
fn recorded(inputs: Inputs<'_>, rail: &RailReview<'_>) -> Vec<Finding> {
    let lines = rail.bench.assembly.lines();
    let mut found = Vec::new();
    for part in &rail.record.parts {
        let mut tell = |code: &str, text: String| {
            found.push(finding(Weight::Finding, code, &rail.record.rail, &part.position, text));
        };
        let Some(line) = lines.iter().find(|line| line.position.key() == part.position) else {
            tell(code::UNUSED, format!("`{}` has no place in this circuit", part.part));
            continue;
        };
        if part.count != line.count {
            tell(code::COUNT, format!("{} recorded, the circuit takes {}", part.count, line.count));
        }
        if part.maker != line.common.maker {
            tell(
                code::MAKER,
                format!("recorded maker `{}`, the catalog says `{}`", part.maker, line.common.maker),
            );
        }
        if part.row != row_digest(inputs.catalog, line.position, &line.common.id.0) {
            tell(
                code::ROW,
                format!("the catalog row of `{}` has changed since the record was made", part.part),
            );
        }
    }
    found
}

fn made_under(recorded: &crate::record::Inputs, now: &str) -> String {
    let made = recorded.policy.keys().cloned().collect::<Vec<_>>().join(", ");
    format!("the record was made under `{made}`, this review is under `{now}`")
}

/// Digests of the record against those of the files read now.
fn digests(inputs: Inputs<'_>) -> Vec<Finding> {
    let recorded = &inputs.record.inputs;
    let mut found = Vec::new();
    // A policy that the requirement does not name was asked for: that it is not the record's is no fault of the record.
    let other = inputs.requirement.policy != inputs.policy.id;
    if other && !recorded.policy.contains_key(&inputs.policy.id) {
        found.push(finding(Weight::Note, code::POLICY, "", "", made_under(recorded, &inputs.policy.id)));
    }
    let mut tell = |code: &str, text: String| found.push(finding(Weight::Finding, code, "", "", text));
    let (built, asked) = (inputs.record.build_quantity, inputs.requirement.build_quantity);
    if built != asked {
        tell(
            code::QUANTITY,
            format!("the record is for {built} supplies at a time, the requirement for {asked}"),
        );
    }
    if recorded.requirements != inputs.requirement_digest {
        tell(
            code::REQUIREMENTS,
            String::from("the requirements file is not the one the record was made from"),
        );
    }
    match recorded.policy.get(&inputs.policy.id) {
        None if other => {}
        None => tell(code::POLICY, made_under(recorded, &inputs.policy.id)),
        Some(digest) if *digest != inputs.policy.digest => {
            tell(
                code::POLICY,
                format!("policy `{}` has changed since the record was made", inputs.policy.id),
            );
        }
        Some(_) => {}
    }
    let names: BTreeSet<&String> = recorded.catalog.keys().chain(inputs.catalog.digests.keys()).collect();
    for name in names {
        match (recorded.catalog.get(name), inputs.catalog.digests.get(name)) {
            (Some(then), Some(now)) if then == now => {}
            (Some(_), Some(_)) => {
                tell(code::CATALOG, format!("catalog file `{name}` has changed since the record was made"));
            }
            (Some(_), None) => tell(code::CATALOG, format!("catalog file `{name}` is gone")),
            (None, Some(_)) => {
                tell(code::CATALOG, format!("catalog file `{name}` is new since the record was made"));
            }
            (None, None) => {}
        }
    }
    found
}

/// Parts that are going away, or that one supplier alone or nobody offers; each part once.
fn lifecycle(inputs: Inputs<'_>, rails: &[RailReview<'_>]) -> Vec<Finding> {
    let mut parts: BTreeMap<&str, (&str, Line<'_>)> = BTreeMap::new();
    for rail in rails {
        for line in rail.bench.assembly.lines() {
            parts.entry(&line.common.id.0).or_insert((&rail.record.rail, line));
        }
    }
    let mut found = Vec::new();
    for (id, (rail, line)) in parts {
        let position = line.position.key();
        let mut tell =
            |weight, code: &str, text: String| found.push(finding(weight, code, rail, position, text));
        match &line.common.lifecycle {
            Lifecycle::Active => {}
            Lifecycle::NotForNewDesigns => {
                let weight = if inputs.requirement.preferences.allow_not_for_new_designs {
                    Weight::Note
                } else {
                    Weight::Finding
                };
                tell(weight, code::NOT_FOR_NEW, format!("`{id}` is not recommended for new designs"));
            }
            Lifecycle::LastOrder(date) => match inputs.today {
                Some(today) if today <= date.as_str() => {
                    tell(Weight::Note, code::LAST_ORDER, format!("`{id}` can be ordered until {date} only"));
                }
                Some(_) => {
                    tell(Weight::Finding, code::LAST_ORDER, format!("`{id}` could be ordered until {date}"));
                }
                None => tell(
                    Weight::Finding,
                    code::LAST_ORDER,
                    format!("`{id}` can be ordered until {date} only, and no day of review is given"),
                ),
            },
            Lifecycle::Withdrawn => {
                tell(Weight::Finding, code::WITHDRAWN, format!("`{id}` is no longer made"));
            }
        }
        let currency = &inputs.requirement.currency;
        let sellers: BTreeSet<&str> = line
            .common
            .offers
            .iter()
            .filter(|offer| offer.currency == *currency)
            .map(|offer| offer.supplier.as_str())
            .collect();
        match sellers.len() {
            0 => tell(Weight::Note, code::NO_OFFER, format!("nobody offers `{id}` in {currency}")),
            1 => {
                let seller = sellers.first().copied().unwrap_or_default();
                tell(Weight::Note, code::SINGLE_SOURCE, format!("`{seller}` alone offers `{id}`"));
            }
            _ => {}
        }
    }
    found
}

/// Limits that are known from memory only; each rule once.
fn from_memory(rails: &[RailReview<'_>]) -> Vec<Finding> {
    let mut limits: BTreeMap<&'static str, &str> = BTreeMap::new();
    for verdict in rails.iter().flat_map(|rail| &rail.verdicts) {
        if let Verdict::Stress(Stress {
            code, origin: Origin::Policy { clause, known: Known::Memory }, ..
        }) = verdict
        {
            limits.entry(*code).or_insert(clause);
        }
    }
    limits
        .into_iter()
        .map(|(rule, clause)| {
            let text =
                format!("the limit of `{rule}` ({clause}) was recalled, not read: check it in the source");
            finding(Weight::Note, code::MEMORY, "", "", text)
        })
        .collect()
}

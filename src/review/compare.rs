//! Two records side by side: what stands elsewhere, what it costs, which stresses moved, what was found anew or no more.
//!
//! Compares what the reviews of both found; recomputes nothing.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::{
    dossier::{Dossier, Finding, SCHEMA_VERSION, StressRow, Weight},
    figure::{Figure, Unit},
    findings::code,
};
use crate::{
    numeric::tie::coarse,
    quantity::Money,
    record::{RailRecord, Record, RecordedPart},
    stress::position::Position,
};

/// Change of a utilisation that counts as a move: half of the last digit that reports print at 100 %.
const MOVED: f64 = 5e-4;

/// One record of the two.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Side {
    /// Name, such as its file's.
    pub name: String,
    /// Name of the supply.
    pub supply: String,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// Cost of one supply.
    pub unit_cost: Option<Money>,
    /// Cost of the build.
    pub batch_cost: Option<Money>,
    /// Loss at nominal mains, full load.
    pub loss: Option<Figure>,
    /// Volume of the parts.
    pub volume: Option<Figure>,
    /// Mass of the parts that state one.
    pub mass: Option<Figure>,
    /// Findings, notes not counted.
    pub findings: u32,
}

/// Something that stands in one record otherwise than in the other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Change {
    /// Rail.
    pub rail: String,
    /// Position in words, or which wiring.
    pub what: String,
    /// In the first record; absent where it has none.
    pub before: Option<String>,
    /// In the second.
    pub after: Option<String>,
}

/// A stress whose utilisation moved, or that one of the two does not have.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// Rail.
    pub rail: String,
    /// Position, as records write it.
    pub position: String,
    /// Code of the rule.
    pub stress: String,
    /// Applied in the first record.
    pub applied_before: Option<Figure>,
    /// Applied in the second.
    pub applied_after: Option<Figure>,
    /// Limit in the second, or in the first where the second has none.
    pub limit: Option<Figure>,
    /// Utilisation in the first record; absent where none can be stated.
    pub used_before: Option<Figure>,
    /// Utilisation in the second.
    pub used_after: Option<Figure>,
    /// Whether it holds in the second record; absent where that has no such stress.
    pub holds_after: Option<bool>,
}

/// Two rails of different names that are held against each other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Pair {
    /// Name in the first record, and in this comparison.
    pub before: String,
    /// Name in the second record.
    pub after: String,
}

/// What differs between two records.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// Version of the layout of the JSON report.
    pub schema_version: u32,
    /// The first record.
    pub before: Side,
    /// The second.
    pub after: Side,
    /// The one rail of each that has no namesake in the other; rails with a namesake are compared with it.
    pub paired: Option<Pair>,
    /// Parts that differ.
    pub parts: Vec<Change>,
    /// Topology, wiring and primary connection that differ.
    pub wiring: Vec<Change>,
    /// Stresses that moved, the farthest first.
    pub stresses: Vec<Moved>,
    /// What is found of the second alone.
    pub gained: Vec<Finding>,
    /// What is found of the first alone.
    pub lost: Vec<Finding>,
}

/// Compares two records by their reviews; a name, the record and its dossier each.
///
/// Rails are matched by name. Where one rail of each is left over, those two are compared under the name of the first.
pub fn compare(before: (&str, &Record, &Dossier), after: (&str, &Record, &Dossier)) -> Comparison {
    let paired = paired(before.1, after.1);
    let (mut record, mut stresses, mut findings) =
        (after.1.clone(), after.2.stresses.clone(), after.2.findings.clone());
    if let Some(pair) = &paired {
        let rename = |rail: &mut String| {
            if *rail == pair.after {
                rail.clone_from(&pair.before);
            }
        };
        let rails = record.rails.iter_mut().map(|one| &mut one.rail);
        let stresses = stresses.iter_mut().map(|one| &mut one.rail);
        for rail in rails.chain(stresses).chain(findings.iter_mut().map(|one| &mut one.rail)) {
            rename(rail);
        }
    }
    Comparison {
        schema_version: SCHEMA_VERSION,
        before: side(before.0, before.2),
        after: side(after.0, after.2),
        paired,
        parts: changes(before.1, &record, parts_of),
        wiring: changes(before.1, &record, wiring_of),
        stresses: moved(&before.2.stresses, &stresses),
        gained: only_in(&findings, &before.2.findings),
        lost: only_in(&before.2.findings, &findings),
    }
}

/// The rail of each record that has no namesake in the other, where each has just one such.
fn paired(before: &Record, after: &Record) -> Option<Pair> {
    let alone = |these: &Record, those: &Record| -> Option<String> {
        let mut left =
            these.rails.iter().filter(|one| !those.rails.iter().any(|other| other.rail == one.rail));
        let only = left.next()?;
        left.next().is_none().then(|| only.rail.clone())
    };
    Some(Pair { before: alone(before, after)?, after: alone(after, before)? })
}

fn side(name: &str, dossier: &Dossier) -> Side {
    let totals = &dossier.totals;
    let findings = dossier.findings.iter().filter(|one| one.weight == Weight::Finding).count();
    Side {
        name: name.to_owned(),
        supply: dossier.supply.clone(),
        build_quantity: dossier.summary.build_quantity,
        unit_cost: totals.unit_cost,
        batch_cost: totals.batch_cost,
        loss: totals.loss,
        volume: totals.volume,
        mass: totals.mass,
        findings: u32::try_from(findings).unwrap_or(u32::MAX),
    }
}

/// What a rail says, item by item, in order.
type Items = Vec<(String, String)>;

fn changes(before: &Record, after: &Record, items: fn(&RailRecord) -> Items) -> Vec<Change> {
    let mut rails: Vec<&str> = Vec::new();
    for rail in before.rails.iter().chain(&after.rails) {
        if !rails.contains(&rail.rail.as_str()) {
            rails.push(&rail.rail);
        }
    }
    let mut all = Vec::new();
    for rail in rails {
        let of = |record: &Record| -> Items {
            record.rails.iter().find(|one| one.rail == rail).map(items).unwrap_or_default()
        };
        let (first, second) = (of(before), of(after));
        let mut names: Vec<&String> = Vec::new();
        for (name, _) in first.iter().chain(&second) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        for name in names {
            let text = |items: &Items| -> Option<String> {
                let found: Vec<&str> =
                    items.iter().filter(|(one, _)| one == name).map(|(_, text)| text.as_str()).collect();
                (!found.is_empty()).then(|| found.join(", "))
            };
            let (one, other) = (text(&first), text(&second));
            if one != other {
                all.push(Change { rail: rail.to_owned(), what: name.clone(), before: one, after: other });
            }
        }
    }
    all
}

fn parts_of(rail: &RailRecord) -> Items {
    rail.parts.iter().map(|part| (position_words(&part.position), part_text(part))).collect()
}

/// A position in words, as it is written where it is none.
fn position_words(key: &str) -> String {
    let known = Position::ALL.iter().find(|position| position.key() == key);
    known.map_or_else(|| key.to_owned(), |position| position.words().to_owned())
}

fn part_text(part: &RecordedPart) -> String {
    let mut text =
        if part.count == 1 { part.part.clone() } else { format!("{} × {}", part.count, part.part) };
    if let Some(value) = &part.value {
        text.push_str(", ");
        text.push_str(value);
    }
    text
}

fn wiring_of(rail: &RailRecord) -> Items {
    vec![
        (String::from("topology"), rail.topology.clone()),
        (String::from("secondaries"), rail.wiring.clone()),
        (String::from("primary"), rail.primary.clone()),
    ]
}

/// Rail, position, code, and which of several alike.
type Key<'d> = (&'d str, &'d str, &'d str, usize);

fn keyed(rows: &[StressRow]) -> Vec<(Key<'_>, &StressRow)> {
    let mut seen: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
    rows.iter()
        .map(|row| {
            let nth = seen.entry((&row.rail, &row.position, &row.stress)).or_insert(0);
            let key = (row.rail.as_str(), row.position.as_str(), row.stress.as_str(), *nth);
            *nth += 1;
            (key, row)
        })
        .collect()
}

fn moved(before: &[StressRow], after: &[StressRow]) -> Vec<Moved> {
    let (first, second) = (keyed(before), keyed(after));
    let mut keys: Vec<Key<'_>> = first.iter().chain(&second).map(|(key, _)| *key).collect();
    let mut seen = BTreeSet::new();
    keys.retain(|key| seen.insert(*key));
    let find = |rows: &[(Key<'_>, &StressRow)], key: Key<'_>| -> Option<StressRow> {
        rows.iter().find(|(one, _)| *one == key).map(|(_, row)| (*row).clone())
    };
    let mut all: Vec<(f64, Moved)> = Vec::new();
    for key in keys {
        let (one, other) = (find(&first, key), find(&second, key));
        let used = |row: &Option<StressRow>| row.as_ref().and_then(|row| row.utilisation);
        let distance = match (&one, &other, used(&one), used(&other)) {
            (Some(_), Some(_), Some(a), Some(b)) => (b.value() - a.value()).abs(),
            (Some(_), Some(_), None, None) => 0.0,
            _ => f64::INFINITY,
        };
        if distance > MOVED {
            all.push((
                distance,
                Moved {
                    rail: key.0.to_owned(),
                    position: key.1.to_owned(),
                    stress: key.2.to_owned(),
                    applied_before: one.as_ref().map(|row| row.applied),
                    applied_after: other.as_ref().map(|row| row.applied),
                    limit: other.as_ref().or(one.as_ref()).map(|row| row.limit),
                    used_before: used(&one),
                    used_after: used(&other),
                    holds_after: other.as_ref().map(|row| row.holds),
                },
            ));
        }
    }
    // A stable sort: of moves that tie the order of the rules stays.
    all.sort_by(|a, b| coarse(b.0).total_cmp(&coarse(a.0)));
    all.into_iter().map(|(_, moved)| moved).collect()
}

/// Stresses of the second list that fail and go farther beyond their limit than they do in the first.
pub(super) fn worse<'d>(before: &[StressRow], after: &'d [StressRow]) -> Vec<&'d StressRow> {
    let first = keyed(before);
    let was = |key: Key<'_>| first.iter().find(|(one, _)| *one == key).map(|(_, row)| *row);
    let goes_farther = |old: &StressRow, new: &StressRow| match (old.utilisation, new.utilisation) {
        (Some(old), Some(new)) => new.value() - old.value() > MOVED,
        (Some(_), None) => true,
        (None, Some(_)) => false,
        // Where no ratio is left to state the figures themselves are.
        (None, None) if new.at_least => new.applied.value() < old.applied.value(),
        (None, None) => new.applied.value() > old.applied.value(),
    };
    let failing = keyed(after).into_iter().filter(|(_, row)| !row.holds && row.waived.is_none());
    failing
        .filter(|(key, new)| was(*key).is_some_and(|old| goes_farther(old, new)))
        .map(|(_, row)| row)
        .collect()
}

/// Findings whose code, rail and position the other list does not have; what keeps a rail from being solved must be the same
/// word for word.
fn only_in(these: &[Finding], those: &[Finding]) -> Vec<Finding> {
    let rail = |one: &Finding| [code::UNSOLVED, code::UNRESOLVED].contains(&one.code.as_str());
    let same = |a: &Finding, b: &Finding| {
        (a.weight, &a.code, &a.rail, &a.position) == (b.weight, &b.code, &b.rail, &b.position)
            && (!rail(a) || a.text == b.text)
    };
    these.iter().filter(|one| !those.iter().any(|other| same(one, other))).cloned().collect()
}

/// Change of a utilisation, in points of per cent; `None` where either cannot be stated.
pub fn points_moved(moved: &Moved) -> Option<Figure> {
    let (before, after) = moved.used_before.zip(moved.used_after)?;
    Figure::new(after.value() - before.value(), Unit::Percent)
}

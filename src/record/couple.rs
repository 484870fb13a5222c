//! Every rail of a record as parts, those on one transformer with each other beside them.
//!
//! Knows how a rail names the one that lists what both share; what a part is, `assemble` knows.

use crate::{
    catalog::Catalog,
    requirement::Requirement,
    stress::{
        assembly::{Assembly, Mate, Wiring},
        position::Position,
    },
};

use super::{
    assemble::{Unresolved, assemble},
    model::{RailRecord, Record},
    write::{topology_key, wiring_key},
};

/// What rails on one transformer share, whichever way they are rectified.
const CORE: [Position; 4] =
    [Position::PrimaryFuse, Position::InrushLimiter, Position::Transformer, Position::CutOut];
/// What the two sides of a tapped winding share besides.
const OF_TAP: [Position; 3] = [Position::Rectifier, Position::RectifierSink, Position::RectifierPad];

/// Whether the list of a rail's parts holds a position, or that of the rail whose transformer it is on.
pub fn stands_elsewhere(rail: &RailRecord, position: Position) -> bool {
    let tap = rail.topology == topology_key(crate::circuit::spec::Topology::DualComplementary);
    rail.transformer_of.is_some() && (CORE.contains(&position) || tap && OF_TAP.contains(&position))
}

/// The rail of a record on whose transformer another hangs.
pub fn host<'r>(record: &'r Record, rail: &RailRecord) -> Option<&'r RailRecord> {
    let name = rail.transformer_of.as_ref()?;
    record.rails.iter().find(|one| one.rail == *name)
}

/// Parts of every rail by itself, in the order of the record: no rail knows of the one beside it.
pub fn each<'a>(record: &Record, catalog: &'a Catalog) -> Vec<Result<Assembly<'a>, Vec<Unresolved>>> {
    let of_rail = |(place, rail): (usize, &RailRecord)| match &rail.transformer_of {
        None => assemble(rail, catalog),
        Some(name) => assemble(&whole(record, place, rail, name)?, catalog),
    };
    record.rails.iter().enumerate().map(of_rail).collect()
}

/// Parts of every rail, in the order of the record.
pub fn assemble_all<'a>(
    record: &Record,
    requirement: &'a Requirement,
    catalog: &'a Catalog,
) -> Vec<Result<Assembly<'a>, Vec<Unresolved>>> {
    let mut all = each(record, catalog);
    let asked = |name: &str| requirement.rails.iter().find(|rail| rail.name == name);
    for (place, rail) in record.rails.iter().enumerate() {
        let Some(name) = &rail.transformer_of else { continue };
        let Some(first) = record.rails.iter().position(|one| one.rail == *name) else { continue };
        let both = (all.get(first).cloned(), all.get(place).cloned());
        let (Some(Ok(one)), Some(Ok(other))) = both else { continue };
        let Some((first_rail, second_rail)) = asked(name).zip(asked(&rail.rail)) else { continue };
        let mate = |rail, lists_core, of: &Assembly<'a>| {
            Some(Mate { rail, lists_core, parts: Some(of.as_mate()), assumed_a: 0.0 })
        };
        if let Some(slot) = all.get_mut(first) {
            *slot = Ok(Assembly { mate: mate(second_rail, false, &other), ..one });
        }
        if let Some(slot) = all.get_mut(place) {
            *slot = Ok(Assembly { mate: mate(first_rail, true, &one), ..other });
        }
    }
    all
}

/// A rail with what stands in the list of the rail whose transformer it is on.
fn whole(
    record: &Record,
    place: usize,
    rail: &RailRecord,
    name: &str,
) -> Result<RailRecord, Vec<Unresolved>> {
    let free = |one: &&RailRecord| one.transformer_of.is_none() && one.rail != rail.rail;
    let known = || {
        let names = record.rails.iter().filter(free).map(|one| one.rail.clone());
        names.collect::<Vec<_>>().join(", ")
    };
    let refuse = |what, found: &str, known: String| {
        Err(vec![Unresolved::Word { rail: rail.rail.clone(), what, found: found.to_owned(), known }])
    };
    let Some(host) = record.rails.iter().filter(free).find(|one| one.rail == name) else {
        return refuse("rail with a transformer of its own", name, known());
    };
    let earlier = record.rails.iter().take(place);
    if earlier.into_iter().any(|one| one.transformer_of.as_deref() == Some(name)) {
        return refuse("rail whose transformer has a secondary left", name, "at most two on one".to_owned());
    }
    let unlike = [Wiring::First, Wiring::Second].map(wiring_key);
    let beside = match unlike.iter().position(|key| host.wiring == *key) {
        Some(0) => unlike[1].to_owned(),
        Some(_) => unlike[0].to_owned(),
        None => host.wiring.clone(),
    };
    for (what, own, of) in [
        ("topology of the rail it shares a transformer with", &rail.topology, &host.topology),
        ("wiring beside the rail it shares a transformer with", &rail.wiring, &beside),
        ("primary connection of the rail it shares a transformer with", &rail.primary, &host.primary),
    ] {
        if own != of {
            return refuse(what, own, of.clone());
        }
    }
    let shared = host.parts.iter().filter(|part| {
        CORE.iter().chain(&OF_TAP).any(|&at| at.key() == part.position && stands_elsewhere(rail, at))
    });
    let parts = shared.chain(&rail.parts).cloned().collect();
    Ok(RailRecord { parts, ..rail.clone() })
}

//! Every rail of a record as parts, those on one transformer with each other beside them.
//!
//! Knows how a rail names the one that lists what both share; what a part is, `assemble` knows.

use crate::{
    catalog::Catalog,
    circuit::spec::Topology,
    numeric::few::MOST,
    requirement::Requirement,
    stress::{
        assembly::{Assembly, Mate, Wiring},
        position::Position,
        seat::SEATINGS,
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

/// Most rails on one transformer.
const RAILS_MAX: usize = MOST + 1;

/// Whether the list of a rail's parts holds a position, or that of the rail whose transformer it is on.
pub fn stands_elsewhere(rail: &RailRecord, position: Position) -> bool {
    let tap = rail.topology == topology_key(Topology::DualComplementary);
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
    let alone = each(record, catalog);
    let asked = |name: &str| requirement.rails.iter().find(|rail| rail.name == name);
    let mut all = alone.clone();
    for (rail, slot) in record.rails.iter().zip(&mut all) {
        let core = rail.transformer_of.as_ref().unwrap_or(&rail.rail);
        let others = record.rails.iter().zip(&alone).filter(|(one, _)| {
            one.rail != rail.rail && (one.rail == *core || one.transformer_of.as_ref() == Some(core))
        });
        let mates: Option<Vec<Mate<'a>>> = others
            .map(|(one, parts)| {
                let parts = parts.as_ref().ok()?;
                Some(Mate::known(asked(&one.rail)?, parts, one.rail == *core))
            })
            .collect();
        // Beside one that is not known none can be solved as it is.
        if let (Ok(own), Some(mates)) = (&slot, mates) {
            *slot = Ok(own.among(mates));
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
    if earlier.filter(|one| one.transformer_of.as_deref() == Some(name)).count() + 1 >= RAILS_MAX {
        let most = format!("at most {RAILS_MAX} on one");
        return refuse("rail whose transformer has a secondary left", name, most);
    }
    // What feeds which rail must fit together; whether the part has such windings is told where it is known.
    let all =
        record.rails.iter().filter(|one| one.rail == name || one.transformer_of.as_deref() == Some(name));
    let mut wirings: Vec<&str> = all.map(|one| one.wiring.as_str()).collect();
    wirings.sort_unstable();
    let keyed = |set: &[Wiring]| {
        let mut keys: Vec<&str> = set.iter().map(|&wiring| wiring_key(wiring)).collect();
        keys.sort_unstable();
        keys
    };
    let sets: Vec<Vec<&str>> = SEATINGS.iter().map(|set| keyed(set)).collect();
    if !sets.contains(&wirings) {
        let of_count = sets.iter().filter(|set| set.len() == wirings.len()).map(|set| set.join(" + "));
        let known = of_count.collect::<Vec<_>>().join("; ");
        return refuse("wiring beside the rails it shares a transformer with", &wirings.join(" + "), known);
    }
    let tapped = |one: &RailRecord| one.topology == topology_key(Topology::DualComplementary);
    let (bridge, tap) = (topology_key(Topology::Bridge), topology_key(Topology::DualComplementary));
    let expected = if rail.wiring == wiring_key(Wiring::Complementary) { tap } else { bridge };
    if rail.topology != expected {
        let what = "topology of a rail that shares a transformer so wired";
        return refuse(what, &rail.topology, expected.to_owned());
    }
    // What both sides of a tap share stands in the list of one of them, and so does what all share.
    if tapped(rail) && !tapped(host) {
        let what = "rail that lists what the sides of a tap share";
        let sides = record.rails.iter().filter(|one| tapped(one)).map(|one| one.rail.clone());
        return refuse(what, name, sides.collect::<Vec<_>>().join(", "));
    }
    if rail.primary != host.primary {
        let what = "primary connection of the rail it shares a transformer with";
        return refuse(what, &rail.primary, host.primary.clone());
    }
    let shared = host.parts.iter().filter(|part| {
        CORE.iter().chain(&OF_TAP).any(|&at| at.key() == part.position && stands_elsewhere(rail, at))
    });
    let parts = shared.chain(&rail.parts).cloned().collect();
    Ok(RailRecord { parts, ..rail.clone() })
}

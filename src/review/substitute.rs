//! Another part in one position of a record: the whole circuit recomputed exactly with it, every stress old against new.
//!
//! Nothing else is changed: what fails elsewhere with the part is what must change with it. Chooses nothing.

use rayon::prelude::*;
use serde::Serialize;

pub use super::place::{NoPlace, Place, every, family, place};
use super::{
    audit::audit,
    compare::{Moved, compare},
    dossier::{Dossier, Finding, SCHEMA_VERSION, Weight},
    findings::code,
    place::commons,
    recompute::Inputs,
};
use crate::{
    candidate::price,
    catalog::Common,
    quantity::Money,
    record::{Record, assemble_all, write::row_digest},
};

/// One part tried.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trial {
    /// Part.
    pub part: String,
    /// Maker.
    pub maker: String,
    /// Pieces in one supply.
    pub count: u32,
    /// Whether nothing is found with it that is not found without.
    pub fits: bool,
    /// Why the requirement's wishes exclude it; empty if they do not.
    pub excluded: String,
    /// Cost of one supply with it, at the build quantity.
    pub unit_cost: Option<Money>,
    /// Cost of one supply with it less that of the record.
    pub dearer_by: Option<Money>,
    /// What is found with it at this position.
    pub fails_here: Vec<Finding>,
    /// What is found with it elsewhere: what else must change.
    pub fails_elsewhere: Vec<Finding>,
    /// What was found of the record and is no more.
    pub cured: Vec<Finding>,
    /// Stresses old against new, the farthest move first.
    pub moved: Vec<Moved>,
}

impl Substitution {
    /// Parts that may be bought instead of the recorded one, piece for piece.
    pub fn allowed(&self) -> Vec<String> {
        let same = |trial: &&Trial| trial.fits && trial.count == self.count;
        self.trials.iter().filter(same).map(|trial| trial.part.clone()).collect()
    }
}

impl Trial {
    /// Whether the circuit could be solved with the part.
    pub fn solved(&self) -> bool {
        !self.fails_here.iter().any(|one| [code::UNSOLVED, code::UNRESOLVED].contains(&one.code.as_str()))
    }
}

/// Parts tried in one position, the ranking first to last.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Substitution {
    /// Version of the layout of the JSON report.
    pub schema_version: u32,
    /// Name of the supply.
    pub supply: String,
    /// Rail.
    pub rail: String,
    /// Designators.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Part of the record.
    pub recorded: String,
    /// Pieces of it in one supply.
    pub count: u32,
    /// Cost of one supply as recorded.
    pub unit_cost: Option<Money>,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// Parts tried: those that fit by cost, then the others by how much is found with them.
    pub trials: Vec<Trial>,
}

/// Tries parts in a place and ranks them.
pub fn substitute(inputs: Inputs<'_>, place: &Place, parts: &[String]) -> Substitution {
    let before = audit(inputs, None);
    let mut trials: Vec<Trial> = parts.par_iter().map(|part| trial(inputs, place, part, &before)).collect();
    trials.sort_by(|a, b| {
        let cost = |trial: &Trial| trial.unit_cost.map(|money| money.amount);
        // What cannot even be solved is farther off than any number of stresses.
        let found = |trial: &Trial| (!trial.solved(), trial.fails_here.len() + trial.fails_elsewhere.len());
        b.fits
            .cmp(&a.fits)
            .then_with(|| if a.fits { std::cmp::Ordering::Equal } else { found(a).cmp(&found(b)) })
            .then_with(|| cost(a).is_none().cmp(&cost(b).is_none()))
            .then_with(|| cost(a).cmp(&cost(b)))
            .then_with(|| a.part.cmp(&b.part))
    });
    let rail = inputs.record.rails.get(place.rail);
    let own = rail.and_then(|rail| rail.parts.get(place.part));
    Substitution {
        schema_version: SCHEMA_VERSION,
        supply: inputs.requirement.name.clone(),
        rail: rail.map(|rail| rail.rail.clone()).unwrap_or_default(),
        designators: own.map(|own| own.designators.clone()).unwrap_or_default(),
        position: place.position.words().to_owned(),
        recorded: own.map(|own| own.part.clone()).unwrap_or_default(),
        count: own.map_or(0, |own| own.count),
        unit_cost: before.totals.unit_cost,
        build_quantity: inputs.requirement.build_quantity,
        trials,
    }
}

fn trial(inputs: Inputs<'_>, place: &Place, part: &str, before: &Dossier) -> Trial {
    let common = commons(inputs.catalog, place.position).into_iter().find(|common| common.id.0 == part);
    let record = replaced(inputs, inputs.record, place, part, common);
    let after = audit(Inputs { record: &record, ..inputs }, None);
    let found = compare(("", inputs.record, before), ("", &record, &after));
    let rail = record.rails.get(place.rail).map(|rail| rail.rail.clone()).unwrap_or_default();
    let grave = |all: Vec<Finding>| all.into_iter().filter(|one| one.weight == Weight::Finding);
    // What keeps a rail from being solved concerns the part that was put in.
    let here =
        |one: &Finding| one.rail == rail && (one.position == place.position.key() || one.position.is_empty());
    let (fails_here, fails_elsewhere): (Vec<Finding>, Vec<Finding>) = grave(found.gained).partition(here);
    let excluded = match common {
        None => String::from("the catalog has no such part in this family"),
        Some(common) if !price::admissible(common, inputs.requirement) => {
            String::from("the requirement's wishes exclude it")
        }
        Some(_) => String::new(),
    };
    let count = record.rails.get(place.rail).and_then(|rail| rail.parts.get(place.part));
    let unit_cost = after.totals.unpriced.is_empty().then_some(after.totals.unit_cost).flatten();
    Trial {
        part: part.to_owned(),
        maker: common.map(|common| common.maker.clone()).unwrap_or_default(),
        count: count.map_or(0, |own| own.count),
        fits: fails_here.is_empty() && fails_elsewhere.is_empty() && excluded.is_empty(),
        excluded,
        unit_cost,
        dearer_by: unit_cost.zip(before.totals.unit_cost).and_then(|(new, old)| {
            (new.currency == old.currency)
                .then(|| new.amount.checked_sub(old.amount).map(|amount| Money { amount, ..new }))
                .flatten()
        }),
        fails_here,
        fails_elsewhere,
        cured: grave(found.lost).collect(),
        // Without a solution there is nothing to hold against the old stresses.
        moved: if after.stresses.iter().any(|row| row.rail == rail) { found.stresses } else { Vec::new() },
    }
}

/// What is found of a record with other parts in several places at once, and not of the record as it stands.
///
/// Parts that fit one by one need not fit together: each takes up what the others leave.
pub fn together(inputs: Inputs<'_>, swaps: &[(Place, String)]) -> Vec<Finding> {
    let before = audit(inputs, None);
    let record = swaps.iter().fold(inputs.record.clone(), |record, (place, part)| {
        let common = commons(inputs.catalog, place.position).into_iter().find(|one| one.id.0 == *part);
        replaced(inputs, &record, place, part, common)
    });
    let after = audit(Inputs { record: &record, ..inputs }, None);
    let gained = compare(("", inputs.record, &before), ("", &record, &after)).gained;
    gained.into_iter().filter(|one| one.weight == Weight::Finding).collect()
}

/// A record with another part in a place: its maker, its row and as many pieces as the circuit takes.
fn replaced(
    inputs: Inputs<'_>,
    record: &Record,
    place: &Place,
    part: &str,
    common: Option<&Common>,
) -> Record {
    let mut record = record.clone();
    if let Some(own) = record.rails.get_mut(place.rail).and_then(|rail| rail.parts.get_mut(place.part)) {
        part.clone_into(&mut own.part);
        own.maker = common.map(|common| common.maker.clone()).unwrap_or_default();
        own.row = row_digest(inputs.catalog, place.position, part);
    }
    let count = Some(()).and_then(|()| {
        let all = assemble_all(&record, inputs.requirement, inputs.catalog);
        let assembly = all.into_iter().nth(place.rail)?.ok()?;
        assembly.lines().iter().find(|line| line.position == place.position).map(|line| line.count)
    });
    if let Some(own) = record.rails.get_mut(place.rail).and_then(|rail| rail.parts.get_mut(place.part))
        && let Some(count) = count
    {
        own.count = count;
    }
    record
}

//! Another part in one position of a record: the whole circuit recomputed exactly with it, every stress old against new.
//!
//! Nothing else is changed: what fails elsewhere with the part is what must change with it. Chooses nothing.

use rayon::prelude::*;
use serde::Serialize;

pub use super::place::{NoPlace, Place, every, family, place};
use super::{
    audit::audit,
    compare::{Moved, compare, worse},
    dossier::{Dossier, Finding, SCHEMA_VERSION, Weight},
    findings::code,
    place::commons,
    recompute::Inputs,
    waive::waive,
};
use crate::{
    candidate::price,
    catalog::Common,
    policy::Waiver,
    quantity::Money,
    record::{Record, assemble_all, stands_elsewhere, write::row_digest},
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
    /// Whether the record with it can be solved, nothing is found at this position, and elsewhere nothing that is not found
    /// without it, nor more of what is.
    pub fits: bool,
    /// Why the requirement's wishes exclude it; empty if they do not.
    pub excluded: String,
    /// Cost of one supply with it, at the build quantity.
    pub unit_cost: Option<Money>,
    /// Cost of one supply with it less that of the record.
    pub dearer_by: Option<Money>,
    /// What is found with it at this position.
    pub fails_here: Vec<Finding>,
    /// What is found with it elsewhere and not without it, or goes farther with it: what else must change.
    pub fails_elsewhere: Vec<Finding>,
    /// What is found elsewhere with it as without it.
    pub remains: Vec<Finding>,
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
    /// Whether every rail could be solved with the part.
    pub fn solved(&self) -> bool {
        !self.fails_here.iter().chain(&self.fails_elsewhere).any(unsolved)
    }
}

/// Whether a finding says that a rail could not be judged at all.
fn unsolved(finding: &Finding) -> bool {
    [code::UNSOLVED, code::UNRESOLVED, code::RAIL_MISSING, code::RAIL_UNKNOWN]
        .contains(&finding.code.as_str())
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
    /// What is found of the record as it stands, notes left out.
    pub found_without: Vec<Finding>,
    /// Parts tried: those that fit by cost, then the others by how much is found with them.
    pub trials: Vec<Trial>,
}

/// Tries parts in a place and ranks them; waivers count as they do in an audit.
pub fn substitute(inputs: Inputs<'_>, waivers: &[Waiver], place: &Place, parts: &[String]) -> Substitution {
    let before = audited(inputs, waivers);
    let mut trials: Vec<Trial> =
        parts.par_iter().map(|part| trial(inputs, waivers, place, part, &before)).collect();
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
        found_without: grave(before.findings),
        trials,
    }
}

fn audited(inputs: Inputs<'_>, waivers: &[Waiver]) -> Dossier {
    let mut dossier = audit(inputs, None);
    waive(&mut dossier, waivers, inputs.today);
    dossier
}

fn grave(all: Vec<Finding>) -> Vec<Finding> {
    all.into_iter().filter(|one| one.weight == Weight::Finding).collect()
}

fn trial(inputs: Inputs<'_>, waivers: &[Waiver], place: &Place, part: &str, before: &Dossier) -> Trial {
    let common = commons(inputs.catalog, place.position).into_iter().find(|common| common.id.0 == part);
    let record = replaced(inputs, inputs.record, place, part, common);
    let after = audited(Inputs { record: &record, ..inputs }, waivers);
    let found = compare(("", inputs.record, before), ("", &record, &after));
    let rail = record.rails.get(place.rail).map(|rail| rail.rail.clone()).unwrap_or_default();
    let (counting, remains) = counting(&record, std::slice::from_ref(place), before, &after);
    // What keeps a rail from being solved concerns the part that was put in.
    let here = |one: &Finding| stands_at(&record, place, one) || one.rail == rail && one.position.is_empty();
    let (fails_here, fails_elsewhere): (Vec<Finding>, Vec<Finding>) = counting.into_iter().partition(here);
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
        remains,
        cured: grave(found.lost),
        // Without a solution there is nothing to hold against the old stresses.
        moved: if after.stresses.iter().any(|row| row.rail == rail) { found.stresses } else { Vec::new() },
    }
}

/// What of a review with other parts speaks against them, and what is found as it was without them.
///
/// Everything at their own places counts whether or not the recorded part was at fault too, and so does every rail that cannot
/// be solved: nothing was judged there. Elsewhere counts what is new, and what fails farther than it did.
fn counting(
    record: &Record,
    places: &[Place],
    before: &Dossier,
    after: &Dossier,
) -> (Vec<Finding>, Vec<Finding>) {
    let known = |one: &Finding| {
        let same = |other: &Finding| {
            (&one.code, &one.rail, &one.position) == (&other.code, &other.rail, &other.position)
        };
        before.findings.iter().any(|other| other.weight == Weight::Finding && same(other))
    };
    let farther = worse(&before.stresses, &after.stresses);
    let goes_farther = |one: &Finding| {
        farther
            .iter()
            .any(|row| row.rail == one.rail && row.position == one.position && row.stress == one.code)
    };
    grave(after.findings.clone()).into_iter().partition(|one| {
        // A waiver that was at fault before is a matter of paper, not of the part.
        let own =
            places.iter().any(|place| stands_at(record, place, one)) && !one.code.starts_with("waiver-");
        !known(one) || own || unsolved(one) || goes_farther(one)
    })
}

/// Whether a finding is of a place: of its rail, or of the rail that shares what stands there.
fn stands_at(record: &Record, place: &Place, finding: &Finding) -> bool {
    let Some(own) = record.rails.get(place.rail) else { return false };
    let shares = |name: &str| {
        record.rails.iter().any(|rail| {
            rail.rail == name
                && rail.transformer_of.as_ref() == Some(&own.rail)
                && stands_elsewhere(rail, place.position)
        })
    };
    finding.position == place.position.key() && (finding.rail == own.rail || shares(&finding.rail))
}

/// What speaks against other parts in several places at once.
///
/// Parts that fit one by one need not fit together: each takes up what the others leave.
pub fn together(inputs: Inputs<'_>, waivers: &[Waiver], swaps: &[(Place, String)]) -> Vec<Finding> {
    let before = audited(inputs, waivers);
    let record = swaps.iter().fold(inputs.record.clone(), |record, (place, part)| {
        let common = commons(inputs.catalog, place.position).into_iter().find(|one| one.id.0 == *part);
        replaced(inputs, &record, place, part, common)
    });
    let after = audited(Inputs { record: &record, ..inputs }, waivers);
    let places: Vec<Place> = swaps.iter().map(|(place, _)| place.clone()).collect();
    counting(&record, &places, &before, &after).0
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

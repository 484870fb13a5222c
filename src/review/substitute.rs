//! Another part in one position of a record: the whole circuit recomputed exactly with it, every stress old against new.
//!
//! Nothing else is changed: what fails elsewhere with the part is what must change with it. Chooses nothing.

use serde::Serialize;

use super::{
    audit::audit,
    compare::{Moved, compare},
    dossier::{Dossier, Finding, SCHEMA_VERSION, Weight},
    recompute::Inputs,
};
use crate::{
    candidate::price,
    catalog::{Catalog, Common},
    quantity::Money,
    record::{Record, assemble, write::row_digest},
    stress::position::Position,
};

/// A position of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Index of the rail in the record.
    rail: usize,
    /// Index of the part in the rail.
    part: usize,
    /// Position.
    position: Position,
}

/// Why no position is meant.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoPlace {
    /// Nothing of the record is called so.
    #[error("the record has no `{name}`; it has {known}")]
    Unknown {
        /// Name given.
        name: String,
        /// What there is.
        known: String,
    },
    /// Several rails have it.
    #[error("`{name}` stands in several rails: write one of {known}")]
    Several {
        /// Name given.
        name: String,
        /// Names that are clear.
        known: String,
    },
}

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
    /// Cost of one supply as recorded.
    pub unit_cost: Option<Money>,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// Parts tried: those that fit by cost, then the others by how much is found with them.
    pub trials: Vec<Trial>,
}

/// The position that a designator (`C1`) or a position (`reservoir`, `reservoir:main`) names.
pub fn place(record: &Record, name: &str) -> Result<Place, NoPlace> {
    let (wanted, rail) = name.split_once(':').map_or((name, None), |(one, rail)| (one, Some(rail)));
    let mut places = Vec::new();
    let mut known = Vec::new();
    for (at, one) in record.rails.iter().enumerate() {
        for (index, part) in one.parts.iter().enumerate() {
            known.push(format!("{} ({})", part.position, part.designators.join(" ")));
            let called = part.position == wanted || part.designators.iter().any(|own| own == wanted);
            let position = Position::ALL.into_iter().find(|position| position.key() == part.position);
            if let Some(position) = position
                && called
                && rail.is_none_or(|rail| rail == one.rail)
            {
                places.push((Place { rail: at, part: index, position }, &one.rail));
            }
        }
    }
    match places.as_slice() {
        [(one, _)] => Ok(one.clone()),
        [] => Err(NoPlace::Unknown { name: name.to_owned(), known: known.join(", ") }),
        several => {
            let known: Vec<String> = several.iter().map(|(_, rail)| format!("`{wanted}:{rail}`")).collect();
            Err(NoPlace::Several { name: name.to_owned(), known: known.join(", ") })
        }
    }
}

/// Every part of the catalog that belongs to the family of a place, but the recorded one.
pub fn family(catalog: &Catalog, record: &Record, place: &Place) -> Vec<String> {
    let own = record.rails.get(place.rail).and_then(|rail| rail.parts.get(place.part));
    commons(catalog, place.position)
        .into_iter()
        .map(|common| common.id.0.clone())
        .filter(|id| own.is_none_or(|own| own.part != *id))
        .collect()
}

/// Every part of the family of a position.
fn commons(catalog: &Catalog, position: Position) -> Vec<&Common> {
    macro_rules! all {
        ($($list:expr),+) => { { let mut all = Vec::new(); $(all.extend($list.iter().map(|part| &part.common));)+ all } };
    }
    match position {
        Position::PrimaryFuse | Position::SecondaryFuse => all!(catalog.fuses),
        Position::InrushLimiter => all!(catalog.limiters),
        Position::Transformer => all!(catalog.transformers),
        Position::CutOut => all!(catalog.cut_outs),
        Position::Rectifier => all!(catalog.bridges, catalog.diodes),
        Position::RectifierSink | Position::RegulatorSink => all!(catalog.sinks),
        Position::RectifierPad | Position::RegulatorPad => all!(catalog.pads),
        Position::Reservoir => all!(catalog.electrolytics),
        Position::Bleeder | Position::SetUpper | Position::SetLower | Position::MinimumLoad => {
            all!(catalog.resistors)
        }
        Position::Regulator => all!(catalog.regulators),
        Position::InputCapacitor | Position::OutputCapacitor => all!(catalog.small_capacitors),
        Position::ReverseDiode => all!(catalog.diodes),
    }
}

/// Tries parts in a place and ranks them.
pub fn substitute(inputs: Inputs<'_>, place: &Place, parts: &[String]) -> Substitution {
    let before = audit(inputs, None);
    let mut trials: Vec<Trial> = parts.iter().map(|part| trial(inputs, place, part, &before)).collect();
    trials.sort_by(|a, b| {
        let cost = |trial: &Trial| trial.unit_cost.map(|money| money.amount);
        let found = |trial: &Trial| trial.fails_here.len() + trial.fails_elsewhere.len();
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
        unit_cost: before.totals.unit_cost,
        build_quantity: inputs.requirement.build_quantity,
        trials,
    }
}

fn trial(inputs: Inputs<'_>, place: &Place, part: &str, before: &Dossier) -> Trial {
    let common = commons(inputs.catalog, place.position).into_iter().find(|common| common.id.0 == part);
    let record = replaced(inputs, place, part, common);
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

/// The record with another part in a place: its maker, its row and as many pieces as the circuit takes.
fn replaced(inputs: Inputs<'_>, place: &Place, part: &str, common: Option<&Common>) -> Record {
    let mut record = inputs.record.clone();
    if let Some(own) = record.rails.get_mut(place.rail).and_then(|rail| rail.parts.get_mut(place.part)) {
        part.clone_into(&mut own.part);
        own.maker = common.map(|common| common.maker.clone()).unwrap_or_default();
        own.row = row_digest(inputs.catalog, place.position, part);
    }
    let count = record.rails.get(place.rail).and_then(|rail| {
        let assembly = assemble(rail, inputs.catalog).ok()?;
        assembly.lines().iter().find(|line| line.position == place.position).map(|line| line.count)
    });
    if let Some(own) = record.rails.get_mut(place.rail).and_then(|rail| rail.parts.get_mut(place.part))
        && let Some(count) = count
    {
        own.count = count;
    }
    record
}

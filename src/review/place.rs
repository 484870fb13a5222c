//! Positions of a record by name, and the parts of the catalog that could stand there by their family.
//!
//! Judges nothing.

use crate::{
    catalog::{Catalog, Common},
    record::{RailRecord, Record, RecordedPart},
    stress::position::Position,
};

/// A position of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Index of the rail in the record.
    pub(super) rail: usize,
    /// Index of the part in the rail.
    pub(super) part: usize,
    /// Position.
    pub(super) position: Position,
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

impl Place {
    /// Where a position of a rail stands in a record.
    pub fn of(record: &Record, rail: &str, position: &str) -> Option<Self> {
        every(record).into_iter().find(|place| place.names(record) == Some((rail, position)))
    }

    /// Rail and position by the names they have in a record.
    pub fn names<'r>(&self, record: &'r Record) -> Option<(&'r str, &'r str)> {
        let rail = record.rails.get(self.rail)?;
        Some((&rail.rail, &rail.parts.get(self.part)?.position))
    }
}

/// Every position of a record.
pub fn every(record: &Record) -> Vec<Place> {
    let of_rail = |(rail, one): (usize, &RailRecord)| {
        let place = move |(part, own): (usize, &RecordedPart)| {
            let position = Position::ALL.into_iter().find(|position| position.key() == own.position)?;
            Some(Place { rail, part, position })
        };
        one.parts.iter().enumerate().filter_map(place).collect::<Vec<_>>()
    };
    record.rails.iter().enumerate().flat_map(of_rail).collect()
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
pub(super) fn commons(catalog: &Catalog, position: Position) -> Vec<&Common> {
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
        Position::SectionChoke => all!(catalog.chokes),
        Position::Reservoir | Position::SectionCapacitor => all!(catalog.electrolytics),
        Position::SectionResistor
        | Position::Ballast
        | Position::Drive
        | Position::Bleeder
        | Position::SetUpper
        | Position::SetLower
        | Position::MinimumLoad => {
            all!(catalog.resistors)
        }
        Position::Regulator => all!(catalog.regulators),
        Position::PassTransistor | Position::LimitTransistor => all!(catalog.transistors),
        Position::InputCapacitor | Position::OutputCapacitor => all!(catalog.small_capacitors),
        Position::ReverseDiode | Position::ClampDiode => all!(catalog.diodes),
    }
}

//! From a record back to parts: everything is looked up anew, nothing the record says of a part is believed.

use crate::{
    catalog::{Catalog, Choke, Electrolytic, PartId},
    circuit::spec::Topology,
    numeric::few::Few,
    quantity::{Ohms, Quantity as _, text},
    stress::{
        assembly::{
            Assembly, Cooling, Pass, RectifierPart, Regulation, Reservoir, ResistorChoice, Section, Wiring,
            banks_of,
        },
        position::Position,
    },
};

use super::{
    model::{RailRecord, RecordedPart},
    write::{VALUE_DIGITS, topology_key, wiring_key},
};

/// Why a rail's record does not become parts.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Unresolved {
    /// A part that no catalog has.
    #[error("the catalog has no `{part}` for the {}", position.words())]
    NoSuchPart {
        /// Rail.
        rail: String,
        /// Position.
        position: Position,
        /// Part.
        part: String,
    },
    /// A position that must be filled is empty, or a position is filled twice.
    #[error("the record gives {count} entries for the {}, {needed}", position.words())]
    Count {
        /// Rail.
        rail: String,
        /// Position.
        position: Position,
        /// Entries found.
        count: usize,
        /// What is needed.
        needed: &'static str,
    },
    /// A word the record uses that means nothing here.
    #[error("`{found}` is no {what}; known: {known}")]
    Word {
        /// Rail.
        rail: String,
        /// What it should name.
        what: &'static str,
        /// Word found.
        found: String,
        /// Words known.
        known: String,
    },
}

/// Parts of one rail.
pub fn assemble<'a>(rail: &RailRecord, catalog: &'a Catalog) -> Result<Assembly<'a>, Vec<Unresolved>> {
    let mut reader = Reader { rail, unresolved: Vec::new() };
    let topology = reader.word(
        "topology",
        &rail.topology,
        &[
            Topology::HalfWave,
            Topology::CentreTap,
            Topology::Bridge,
            Topology::FullWaveDoubler,
            Topology::HalfWaveDoubler,
            Topology::DualComplementary,
        ],
        topology_key,
    );
    let wiring = reader.word(
        "wiring",
        &rail.wiring,
        &[
            Wiring::Single,
            Wiring::Series,
            Wiring::Parallel,
            Wiring::CentreTap,
            Wiring::Complementary,
            Wiring::First,
            Wiring::Second,
            Wiring::Third,
        ],
        wiring_key,
    );
    let transformer =
        reader.required(Position::Transformer, |id| find(&catalog.transformers, id, |p| &p.common.id));
    let primary = transformer.and_then(|part| {
        let found = part.primaries.iter().position(|one| one.rated.to_text(VALUE_DIGITS) == rail.primary);
        if found.is_none() {
            reader.unresolved.push(Unresolved::Word {
                rail: rail.rail.clone(),
                what: "primary connection of the transformer",
                found: rail.primary.clone(),
                known: String::from("those of the catalog row"),
            });
        }
        found
    });
    let rectifier = reader.required(Position::Rectifier, |id| {
        find(&catalog.bridges, id, |p| &p.common.id)
            .map(RectifierPart::Bridge)
            .or_else(|| find(&catalog.diodes, id, |p| &p.common.id).map(RectifierPart::Diodes))
    });
    let choke = reader.optional(Position::SectionChoke, |id| find(&catalog.chokes, id, |p| &p.common.id));
    let resistor = reader.resistor(catalog, Position::SectionResistor);
    let second =
        reader.optional(Position::SectionCapacitor, |id| find(&catalog.electrolytics, id, |p| &p.common.id));
    let section = reader.section(choke, resistor, second);
    let reservoir =
        reader.required(Position::Reservoir, |id| find(&catalog.electrolytics, id, |p| &p.common.id));
    let all_capacitors = reader.entries(Position::Reservoir).first().map_or(1, |part| part.count);
    let reservoir_count = all_capacitors / topology.map_or(1, banks_of);
    let rectifier_cooling = reader.cooling(catalog, Position::RectifierSink, Position::RectifierPad);
    let regulator_cooling = reader.cooling(catalog, Position::RegulatorSink, Position::RegulatorPad);
    let bleeder = reader.resistor(catalog, Position::Bleeder);
    let upper = reader.resistor(catalog, Position::SetUpper);
    let lower = reader.resistor(catalog, Position::SetLower);
    let minimum_load = reader.resistor(catalog, Position::MinimumLoad);
    let small = |id: &str| find(&catalog.small_capacitors, id, |p| &p.common.id);
    let input = reader.optional(Position::InputCapacitor, small);
    let output = reader.optional(Position::OutputCapacitor, small);
    let diode = |id: &str| find(&catalog.diodes, id, |p| &p.common.id);
    let reverse_diode = reader.optional(Position::ReverseDiode, diode);
    let clamp_diode = reader.optional(Position::ClampDiode, diode);
    let regulator =
        reader.optional(Position::Regulator, |id| find(&catalog.regulators, id, |p| &p.common.id));
    let pass = reader.pass(catalog);
    let fuse = |id: &str| find(&catalog.fuses, id, |p| &p.common.id);
    let primary_fuse = reader.optional(Position::PrimaryFuse, fuse);
    let secondary_fuse = reader.optional(Position::SecondaryFuse, fuse);
    let limiter =
        reader.optional(Position::InrushLimiter, |id| find(&catalog.limiters, id, |p| &p.common.id));
    let cut_out = reader.optional(Position::CutOut, |id| find(&catalog.cut_outs, id, |p| &p.common.id));
    match (topology, wiring, transformer, primary, rectifier, reservoir) {
        (Some(topology), Some(wiring), Some(transformer), Some(primary), Some(rectifier), Some(part))
            if reader.unresolved.is_empty() =>
        {
            Ok(Assembly {
                transformer,
                primary,
                wiring,
                topology,
                rectifier,
                rectifier_cooling,
                reservoir: Reservoir { part, count: reservoir_count.max(1) },
                section,
                bleeder,
                regulation: regulator.map(|part| Regulation {
                    part,
                    cooling: regulator_cooling,
                    set: upper.zip(lower),
                    minimum_load,
                    input,
                    output,
                    reverse_diode,
                    clamp_diode,
                    pass,
                }),
                primary_fuse,
                limiter,
                secondary_fuse,
                cut_out,
                mates: Few::NONE,
            })
        }
        _ => Err(reader.unresolved),
    }
}

/// The part with an id.
fn find<'a, T>(list: &'a [T], id: &str, id_of: fn(&T) -> &PartId) -> Option<&'a T> {
    list.iter().find(|part| id_of(part).0 == id)
}

struct Reader<'r> {
    rail: &'r RailRecord,
    unresolved: Vec<Unresolved>,
}

impl<'r> Reader<'r> {
    fn entries(&self, position: Position) -> Vec<&'r RecordedPart> {
        self.rail.parts.iter().filter(|part| part.position == position.key()).collect()
    }

    fn word<T: Copy>(
        &mut self,
        what: &'static str,
        found: &str,
        known: &[T],
        key: fn(T) -> &'static str,
    ) -> Option<T> {
        let hit = known.iter().copied().find(|&one| key(one) == found);
        if hit.is_none() {
            self.unresolved.push(Unresolved::Word {
                rail: self.rail.rail.clone(),
                what,
                found: found.to_owned(),
                known: known.iter().map(|&one| key(one)).collect::<Vec<_>>().join(", "),
            });
        }
        hit
    }

    fn optional<T>(&mut self, position: Position, find: impl Fn(&str) -> Option<T>) -> Option<T> {
        let entries = self.entries(position);
        if entries.len() > 1 {
            self.unresolved.push(Unresolved::Count {
                rail: self.rail.rail.clone(),
                position,
                count: entries.len(),
                needed: "at most one",
            });
        }
        let entry = entries.first()?;
        let hit = find(&entry.part);
        if hit.is_none() {
            self.unresolved.push(Unresolved::NoSuchPart {
                rail: self.rail.rail.clone(),
                position,
                part: entry.part.clone(),
            });
        }
        hit
    }

    fn required<T>(&mut self, position: Position, find: impl Fn(&str) -> Option<T>) -> Option<T> {
        if self.entries(position).is_empty() {
            self.unresolved.push(Unresolved::Count {
                rail: self.rail.rail.clone(),
                position,
                count: 0,
                needed: "one is needed",
            });
        }
        self.optional(position, find)
    }

    fn cooling<'a>(&mut self, catalog: &'a Catalog, sink: Position, pad: Position) -> Option<Cooling<'a>> {
        let found_sink = self.optional(sink, |id| find(&catalog.sinks, id, |p| &p.common.id));
        let found_pad = self.optional(pad, |id| find(&catalog.pads, id, |p| &p.common.id));
        if found_sink.is_some() != found_pad.is_some() && self.unresolved.is_empty() {
            self.unresolved.push(Unresolved::Count {
                rail: self.rail.rail.clone(),
                position: if found_sink.is_some() { pad } else { sink },
                count: 0,
                needed: "sink and pad go together",
            });
        }
        Some(Cooling { sink: found_sink?, pad: found_pad? })
    }

    /// What stands between rectifier and output beside the reservoir; what is recorded of it in part only is told.
    fn section<'a>(
        &mut self,
        choke: Option<&'a Choke>,
        resistor: Option<ResistorChoice<'a>>,
        second: Option<&'a Electrolytic>,
    ) -> Option<Section<'a>> {
        let count = self.entries(Position::SectionCapacitor).first().map_or(1, |part| part.count.max(1));
        let second = second.map(|part| Reservoir { part, count });
        match (choke, resistor, second) {
            (Some(choke), None, None) => Some(Section::ChokeInput(choke)),
            (None, Some(resistor), Some(second)) => Some(Section::Crc(resistor, second)),
            (Some(choke), None, Some(second)) => Some(Section::Clc(choke, second)),
            (None, None, None) => None,
            _ => {
                if self.unresolved.is_empty() {
                    self.unresolved.push(Unresolved::Count {
                        rail: self.rail.rail.clone(),
                        position: Position::SectionCapacitor,
                        count: usize::from(second.is_some()),
                        needed: "a second capacitor goes with either a section resistor or a choke",
                    });
                }
                None
            }
        }
    }

    /// Pass transistors with all that belongs to them; where only some of it is recorded, that is told.
    fn pass<'a>(&mut self, catalog: &'a Catalog) -> Option<Pass<'a>> {
        let of = |id: &str| find(&catalog.transistors, id, |p| &p.common.id);
        let part = self.optional(Position::PassTransistor, of);
        let limiter = self.optional(Position::LimitTransistor, of);
        let ballast = self.resistor(catalog, Position::Ballast);
        let drive = self.resistor(catalog, Position::Drive);
        let count = self.entries(Position::PassTransistor).first().map_or(1, |part| part.count.max(1));
        let all = [part.is_some(), limiter.is_some(), ballast.is_some(), drive.is_some()];
        if all.contains(&true) && all.contains(&false) && self.unresolved.is_empty() {
            self.unresolved.push(Unresolved::Count {
                rail: self.rail.rail.clone(),
                position: Position::PassTransistor,
                count: usize::from(part.is_some()),
                needed: "pass and limit transistors, ballast and drive resistors go together",
            });
        }
        Some(Pass { part: part?, count, ballast: ballast?, drive: drive?, limiter: limiter? })
    }

    fn resistor<'a>(&mut self, catalog: &'a Catalog, position: Position) -> Option<ResistorChoice<'a>> {
        let series = self.optional(position, |id| find(&catalog.resistors, id, |p| &p.common.id))?;
        let written =
            self.entries(position).first().and_then(|entry| entry.value.clone()).unwrap_or_default();
        if let Ok(value) = text::read::<Ohms>(&written) {
            return Some(ResistorChoice { series, value });
        }
        self.unresolved.push(Unresolved::Word {
            rail: self.rail.rail.clone(),
            what: "resistance",
            found: written,
            known: String::from("a value such as `4.70 kΩ`"),
        });
        None
    }
}

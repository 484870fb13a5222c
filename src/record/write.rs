//! From chosen assemblies to the record: designators, values, digests.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use crate::{
    catalog::Catalog,
    circuit::spec::Topology,
    policy::Policy,
    quantity::{Ohms, Quantity},
    requirement::Requirement,
    stress::{
        assembly::{Assembly, Line, Wiring},
        position::Position,
    },
};

use super::model::{Inputs, RECORD_VERSION, RailRecord, Record, RecordedPart};

/// Digits of a resistor value: preferred values have three.
pub(super) const VALUE_DIGITS: usize = 3;
/// Hexadecimal digits kept of a row's digest.
const ROW_DIGITS: usize = 16;

/// The parts chosen for one rail.
#[derive(Clone, Copy, Debug)]
pub struct RailChoice<'a> {
    /// Name of the rail.
    pub rail: &'a str,
    /// Parts.
    pub assembly: Assembly<'a>,
}

/// Name of a topology as files write it.
pub fn topology_key(topology: Topology) -> &'static str {
    match topology {
        Topology::HalfWave => "half-wave",
        Topology::CentreTap => "centre-tap",
        Topology::Bridge => "bridge",
        Topology::FullWaveDoubler => "full-wave-doubler",
        Topology::HalfWaveDoubler => "half-wave-doubler",
        Topology::DualComplementary => "dual-complementary",
    }
}

/// Name of a wiring as files write it.
pub fn wiring_key(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::Single => "single",
        Wiring::Series => "series",
        Wiring::Parallel => "parallel",
        Wiring::CentreTap => "centre-tap",
        Wiring::Complementary => "complementary",
        Wiring::First => "first-winding",
        Wiring::Second => "second-winding",
        Wiring::Third => "third-winding",
    }
}

/// A resistor's value as files write it.
pub fn value_text(value: Ohms) -> String {
    value.to_text(VALUE_DIGITS)
}

/// SHA-256 in lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// The record of a design.
pub fn record(
    requirement: &Requirement,
    requirement_digest: &str,
    policy: &Policy,
    catalog: &Catalog,
    choices: &[RailChoice<'_>],
) -> Record {
    let mut counters: BTreeMap<&'static str, u32> = BTreeMap::new();
    Record {
        record: RECORD_VERSION,
        tool: format!("railwright {}", env!("CARGO_PKG_VERSION")),
        supply: requirement.name.clone(),
        build_quantity: requirement.build_quantity,
        inputs: Inputs {
            requirements: requirement_digest.to_owned(),
            policy: BTreeMap::from([(policy.id.clone(), policy.digest.clone())]),
            catalog: catalog.digests.clone(),
        },
        rails: choices.iter().map(|choice| rail(choice, catalog, &mut counters)).collect(),
    }
}

fn rail(
    choice: &RailChoice<'_>,
    catalog: &Catalog,
    counters: &mut BTreeMap<&'static str, u32>,
) -> RailRecord {
    let assembly = &choice.assembly;
    RailRecord {
        rail: choice.rail.to_owned(),
        topology: topology_key(assembly.topology).to_owned(),
        wiring: wiring_key(assembly.wiring).to_owned(),
        primary: assembly
            .transformer
            .primaries
            .get(assembly.primary)
            .map_or_else(String::new, |primary| primary.rated.to_text(VALUE_DIGITS)),
        transformer_of: assembly.host().map(|rail| rail.name.clone()),
        parts: assembly.lines().iter().map(|line| part(line, catalog, counters)).collect(),
    }
}

fn part(line: &Line<'_>, catalog: &Catalog, counters: &mut BTreeMap<&'static str, u32>) -> RecordedPart {
    let letters = line.position.letters();
    let counter = counters.entry(letters).or_insert(0);
    let designators = (0..line.count)
        .map(|_| {
            *counter += 1;
            format!("{letters}{counter}")
        })
        .collect();
    RecordedPart {
        position: line.position.key().to_owned(),
        designators,
        part: line.common.id.0.clone(),
        value: line.value.map(value_text),
        maker: line.common.maker.clone(),
        count: line.count,
        row: row_digest(catalog, line.position, &line.common.id.0),
    }
}

/// Digest of what the catalog says of a part in the family of a position; empty where the part is not in the catalog.
///
/// It is taken over the typed row, so that comments and layout of the file do not enter.
pub fn row_digest(catalog: &Catalog, position: Position, id: &str) -> String {
    let row = row_text(catalog, position, id);
    let digest = sha256(row.as_bytes());
    if row.is_empty() { String::new() } else { digest.chars().take(ROW_DIGITS).collect() }
}

/// What the catalog says of a part, in one line of text.
pub fn row_text(catalog: &Catalog, position: Position, id: &str) -> String {
    macro_rules! text {
        ($list:expr) => {
            $list.iter().find(|part| part.common.id.0 == id).map(|part| format!("{part:?}"))
        };
    }
    match position {
        Position::PrimaryFuse | Position::SecondaryFuse => text!(catalog.fuses),
        Position::InrushLimiter => text!(catalog.limiters),
        Position::Transformer => text!(catalog.transformers),
        Position::CutOut => text!(catalog.cut_outs),
        Position::Rectifier => text!(catalog.bridges).or_else(|| text!(catalog.diodes)),
        Position::RectifierSink | Position::RegulatorSink => text!(catalog.sinks),
        Position::RectifierPad | Position::RegulatorPad => text!(catalog.pads),
        Position::SectionChoke => text!(catalog.chokes),
        Position::Reservoir | Position::SectionCapacitor => text!(catalog.electrolytics),
        Position::SectionResistor
        | Position::Ballast
        | Position::Drive
        | Position::Bleeder
        | Position::SetUpper
        | Position::SetLower
        | Position::MinimumLoad => {
            text!(catalog.resistors)
        }
        Position::Regulator => text!(catalog.regulators),
        Position::PassTransistor | Position::LimitTransistor => text!(catalog.transistors),
        Position::InputCapacitor | Position::OutputCapacitor => text!(catalog.small_capacitors),
        Position::ReverseDiode | Position::ClampDiode => text!(catalog.diodes),
    }
    .unwrap_or_default()
}

//! What can be bought: parts with their ratings and offers.
//!
//! Knows nothing of requirements or circuits. A rating that a maker does not state is `None`: never zero, never infinite.

pub mod check;
pub mod consistency;
pub mod family;
pub mod filter;
pub mod import;
pub mod lookup;
mod mapping;
pub mod offer;
pub mod part;
pub mod sheet;

use std::collections::BTreeMap;

pub use check::read;
pub use consistency::{Finding, consistency};
pub use family::{
    capacitor::{Electrolytic, SmallCapacitor},
    choke::Choke,
    heat::{HeatSink, InterfacePad},
    protection::{CutOut, Fuse, InrushLimiter},
    rectifier::{BridgePart, DiodePart},
    regulator::Regulator,
    resistor::ResistorSeries,
    transformer::Transformer,
    transistor::Transistor,
};
pub use offer::Offer;
pub use part::{Common, PartId};

/// Everything that can be bought, one list a family, each sorted by part id.
#[derive(Clone, Debug, Default)]
pub struct Catalog {
    /// Mains transformers.
    pub transformers: Vec<Transformer>,
    /// Single rectifier diodes.
    pub diodes: Vec<DiodePart>,
    /// Rectifier bridges.
    pub bridges: Vec<BridgePart>,
    /// Aluminium electrolytic capacitors.
    pub electrolytics: Vec<Electrolytic>,
    /// Small capacitors for regulator input and output.
    pub small_capacitors: Vec<SmallCapacitor>,
    /// Linear regulators.
    pub regulators: Vec<Regulator>,
    /// Pass transistors.
    pub transistors: Vec<Transistor>,
    /// Filter chokes.
    pub chokes: Vec<Choke>,
    /// Heat sinks.
    pub sinks: Vec<HeatSink>,
    /// Thermal interface pads.
    pub pads: Vec<InterfacePad>,
    /// Fuses.
    pub fuses: Vec<Fuse>,
    /// Thermal cut-outs fitted to windings.
    pub cut_outs: Vec<CutOut>,
    /// Inrush-limiting thermistors.
    pub limiters: Vec<InrushLimiter>,
    /// Resistor series; a part is a series and a preferred value.
    pub resistors: Vec<ResistorSeries>,
    /// SHA-256 of each file read, by file name.
    pub digests: BTreeMap<String, String>,
}

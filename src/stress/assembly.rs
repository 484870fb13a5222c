//! The parts of one rail, by position: what selection proposes and review takes from a record.

use crate::{
    catalog::{
        BridgePart, Choke, Common, CutOut, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter,
        InterfacePad, Regulator, ResistorSeries, SmallCapacitor, Transformer, Transistor,
        family::transformer::Secondary,
    },
    circuit::{operate::diodes, spec::Topology, supply::multiple},
    numeric::few::Few,
    quantity::Ohms,
};

use super::position::Position;

pub use super::{
    mate::{Mate, MateParts},
    section::Section,
};

pub use crate::physics::transformer::wiring::Wiring;

/// Rectifier: one bridge, or single diodes all alike.
#[derive(Clone, Copy, Debug)]
pub enum RectifierPart<'a> {
    /// One bridge.
    Bridge(&'a BridgePart),
    /// As many single diodes as the topology has.
    Diodes(&'a DiodePart),
}

/// A heat sink, and what lies between it and the part.
#[derive(Clone, Copy, Debug)]
pub struct Cooling<'a> {
    /// Heat sink.
    pub sink: &'a HeatSink,
    /// Interface.
    pub pad: &'a InterfacePad,
}

/// One resistor: a series and a preferred value.
#[derive(Clone, Copy, Debug)]
pub struct ResistorChoice<'a> {
    /// Series.
    pub series: &'a ResistorSeries,
    /// Value.
    pub value: Ohms,
}

/// Capacitors alike in parallel.
#[derive(Clone, Copy, Debug)]
pub struct Reservoir<'a> {
    /// Part.
    pub part: &'a Electrolytic,
    /// How many.
    pub count: u32,
}

/// Pass transistors beside a regulator, on its sink.
///
/// Emitters through ballast resistors to the reservoir, collectors to the output, bases to the regulator's input, which the
/// drive resistor feeds from the reservoir: the regulator's own current drives them. A limit transistor across one ballast
/// resistor, in the air inside, takes the drive away. Mirrored for a negative rail.
#[derive(Clone, Copy, Debug)]
pub struct Pass<'a> {
    /// Transistor.
    pub part: &'a Transistor,
    /// How many.
    pub count: u32,
    /// Ballast resistor of each.
    pub ballast: ResistorChoice<'a>,
    /// Drive resistor, reservoir to regulator.
    pub drive: ResistorChoice<'a>,
    /// Transistor that limits the current.
    pub limiter: &'a Transistor,
}

/// Regulator with everything around it.
#[derive(Clone, Copy, Debug)]
pub struct Regulation<'a> {
    /// Regulator.
    pub part: &'a Regulator,
    /// Heat sink; without one the part stands in free air.
    pub cooling: Option<Cooling<'a>>,
    /// Set resistors, upper and lower; an adjustable part has both.
    pub set: Option<(ResistorChoice<'a>, ResistorChoice<'a>)>,
    /// Resistor that draws the minimum load, where the load and the set resistors do not.
    pub minimum_load: Option<ResistorChoice<'a>>,
    /// Input capacitor.
    pub input: Option<&'a SmallCapacitor>,
    /// Output capacitor.
    pub output: Option<&'a SmallCapacitor>,
    /// Diode from output to input.
    pub reverse_diode: Option<&'a DiodePart>,
    /// Diode from common to output.
    pub clamp_diode: Option<&'a DiodePart>,
    /// Pass transistors; all of them share sink and kind of pad with the regulator.
    pub pass: Option<Pass<'a>>,
}

/// All parts of one rail.
#[derive(Clone, Copy, Debug)]
pub struct Assembly<'a> {
    /// Transformer.
    pub transformer: &'a Transformer,
    /// Which primary connection, index into the part's list.
    pub primary: usize,
    /// How the secondaries are used.
    pub wiring: Wiring,
    /// Topology.
    pub topology: Topology,
    /// Rectifier.
    pub rectifier: RectifierPart<'a>,
    /// Heat sink of the rectifier.
    pub rectifier_cooling: Option<Cooling<'a>>,
    /// Reservoir bank.
    pub reservoir: Reservoir<'a>,
    /// What stands before or behind it.
    pub section: Option<Section<'a>>,
    /// Bleeder.
    pub bleeder: Option<ResistorChoice<'a>>,
    /// Regulator stage; `None` for a raw rail.
    pub regulation: Option<Regulation<'a>>,
    /// Mains fuse.
    pub primary_fuse: Option<&'a Fuse>,
    /// Inrush limiter.
    pub limiter: Option<&'a InrushLimiter>,
    /// Secondary fuse.
    pub secondary_fuse: Option<&'a Fuse>,
    /// Thermal cut-out fitted to the transformer.
    pub cut_out: Option<&'a CutOut>,
    /// The other rails that the transformer feeds, in the order of the requirement.
    pub mates: Few<Mate<'a>>,
}

/// One line of a parts list.
#[derive(Clone, Copy, Debug)]
pub struct Line<'a> {
    /// Where.
    pub position: Position,
    /// Part; of a resistor, its series.
    pub common: &'a Common,
    /// Value, for a resistor.
    pub value: Option<Ohms>,
    /// How many in one rail.
    pub count: u32,
}

impl<'a> RectifierPart<'a> {
    /// What every part has.
    pub fn common(&self) -> &'a Common {
        match *self {
            Self::Bridge(part) => &part.common,
            Self::Diodes(part) => &part.common,
        }
    }
}

/// Banks alike that a topology takes: two in a doubler.
pub fn banks_of(topology: Topology) -> u32 {
    if multiple(topology) > 1.0 { 2 } else { 1 }
}

/// Single diodes that a topology takes: of a half-wave doubler one more than rectify, across the coupling capacitor, which a
/// start on the other half period would charge backwards.
pub fn diodes_bought(topology: Topology) -> u32 {
    diodes(topology) + u32::from(topology == Topology::HalfWaveDoubler)
}

impl<'a> Assembly<'a> {
    /// The secondary it uses, or the first of several alike.
    pub fn winding(&self) -> Option<&'a Secondary> {
        self.transformer.secondaries.get(self.wiring.place())
    }

    /// How many rectifier packages stand in the list of parts.
    pub fn rectifier_count(&self) -> u32 {
        match self.rectifier {
            RectifierPart::Bridge(_) => 1,
            RectifierPart::Diodes(_) => diodes_bought(self.topology),
        }
    }

    /// Its choke, wherever it stands.
    pub fn choke(&self) -> Option<&'a Choke> {
        self.section.and_then(Section::choke)
    }

    /// The choke between rectifier and reservoir.
    pub fn choke_input(&self) -> Option<&'a Choke> {
        match self.section {
            Some(Section::ChokeInput(choke)) => Some(choke),
            _ => None,
        }
    }

    /// The banks that stand in one rail, each with its position.
    pub fn banks(&self) -> impl Iterator<Item = (Position, Reservoir<'a>)> {
        let second = self.section.and_then(Section::second).map(|bank| (Position::SectionCapacitor, bank));
        std::iter::once((Position::Reservoir, self.reservoir)).chain(second)
    }

    /// The same with another bank at a position.
    #[must_use]
    pub fn with_bank(self, at: Position, bank: Reservoir<'a>) -> Self {
        match (at, self.section) {
            (Position::SectionCapacitor, Some(Section::Crc(resistor, _))) => {
                Self { section: Some(Section::Crc(resistor, bank)), ..self }
            }
            (Position::SectionCapacitor, Some(Section::Clc(choke, _))) => {
                Self { section: Some(Section::Clc(choke, bank)), ..self }
            }
            _ => Self { reservoir: bank, ..self },
        }
    }

    /// How many banks the topology takes: two in a doubler.
    pub fn bank_count(&self) -> u32 {
        banks_of(self.topology)
    }

    /// How many capacitors stand in all banks together.
    pub fn reservoir_count(&self) -> u32 {
        self.bank_count() * self.reservoir.count
    }

    /// Every part by position that stands in the rail's own list, in the order of [`Position::ALL`].
    pub fn lines(&self) -> Vec<Line<'a>> {
        let mut lines = Vec::with_capacity(16);
        let mut put = |position, common: &'a Common, value, count| {
            lines.push(Line { position, common, value, count });
        };
        if !self.is_second() {
            if let Some(fuse) = self.primary_fuse {
                put(Position::PrimaryFuse, &fuse.common, None, 1);
            }
            if let Some(limiter) = self.limiter {
                put(Position::InrushLimiter, &limiter.common, None, 1);
            }
            put(Position::Transformer, &self.transformer.common, None, 1);
            if let Some(cut_out) = self.cut_out {
                put(Position::CutOut, &cut_out.common, None, 1);
            }
        }
        if let Some(fuse) = self.secondary_fuse {
            put(
                Position::SecondaryFuse,
                &fuse.common,
                None,
                if self.wiring == Wiring::CentreTap { 2 } else { 1 },
            );
        }
        let packages = self.rectifier_count();
        if !self.is_second_of_tap() {
            put(Position::Rectifier, self.rectifier.common(), None, packages);
            if let Some(cooling) = self.rectifier_cooling {
                // What only keeps a capacitor from being reversed stays cool.
                let cooled = packages.min(diodes(self.topology));
                put(Position::RectifierSink, &cooling.sink.common, None, cooled);
                put(Position::RectifierPad, &cooling.pad.common, None, cooled);
            }
        }
        if let Some(choke) = self.choke() {
            put(Position::SectionChoke, &choke.common, None, 1);
        }
        put(Position::Reservoir, &self.reservoir.part.common, None, self.reservoir_count());
        if let Some(resistor) = self.section.and_then(Section::resistor) {
            put(Position::SectionResistor, &resistor.series.common, Some(resistor.value), 1);
        }
        if let Some(second) = self.section.and_then(Section::second) {
            put(Position::SectionCapacitor, &second.part.common, None, second.count);
        }
        if let Some(bleeder) = self.bleeder {
            put(Position::Bleeder, &bleeder.series.common, Some(bleeder.value), 1);
        }
        if let Some(stage) = &self.regulation {
            put(Position::Regulator, &stage.part.common, None, 1);
            if let Some(cooling) = stage.cooling {
                put(Position::RegulatorSink, &cooling.sink.common, None, 1);
                // One under the regulator, one under each transistor.
                let pads = stage.pass.map_or(1, |pass| pass.count + 1);
                put(Position::RegulatorPad, &cooling.pad.common, None, pads);
            }
            if let Some(pass) = stage.pass {
                put(Position::PassTransistor, &pass.part.common, None, pass.count);
                put(Position::LimitTransistor, &pass.limiter.common, None, 1);
                put(Position::Ballast, &pass.ballast.series.common, Some(pass.ballast.value), pass.count);
                put(Position::Drive, &pass.drive.series.common, Some(pass.drive.value), 1);
            }
            if let Some((upper, lower)) = stage.set {
                put(Position::SetUpper, &upper.series.common, Some(upper.value), 1);
                put(Position::SetLower, &lower.series.common, Some(lower.value), 1);
            }
            if let Some(load) = stage.minimum_load {
                put(Position::MinimumLoad, &load.series.common, Some(load.value), 1);
            }
            if let Some(part) = stage.input {
                put(Position::InputCapacitor, &part.common, None, 1);
            }
            if let Some(part) = stage.output {
                put(Position::OutputCapacitor, &part.common, None, 1);
            }
            if let Some(part) = stage.reverse_diode {
                put(Position::ReverseDiode, &part.common, None, 1);
            }
            if let Some(part) = stage.clamp_diode {
                put(Position::ClampDiode, &part.common, None, 1);
            }
        }
        lines
    }
}

//! A core with all it feeds as plain numbers: doublers, ± pairs, second sections, several rails on one transformer.
//!
//! What a corner needs and nothing of the catalog, as [`super::supply`] is for a single reservoir. All values of a rail are
//! referred to the path that conducts, per half where there are two.

use super::{
    spec::{Branch, Capacitor, Choke, Filter, Load, Topology},
    supply::{Air, Bank, BesideParts, Rectifier, Section, Source, Span, Supply},
};
use crate::{
    physics::copper,
    quantity::{Amps, Celsius, Farads, Henries, Ohms},
};

pub use super::supply::ChokeNumbers;

/// What stands between rectifier and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// One reservoir; in a doubler each of the two.
    Reservoir(Bank),
    /// Reservoir, resistor (low, nominal, high; its high end stands where the threshold is high), second bank.
    Crc(Bank, Span, Bank),
    /// Reservoir, choke, second bank.
    Clc(Bank, ChokeNumbers, Bank),
    /// Choke input.
    ChokeInput(ChokeNumbers, Bank),
}

/// What a choke or a second section carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPoint {
    /// rms current of choke or resistor, A.
    pub rms_a: f64,
    /// Resistance of either as it is, Ω.
    pub ohm: f64,
    /// Least and peak current of a choke, A; the least is nothing where it pauses.
    pub choke_a: Option<[f64; 2]>,
    /// Least and greatest voltage of the reservoir before it, V; none of a choke input.
    pub reservoir_v: Option<[f64; 2]>,
    /// rms ripple current of the second bank, A; none of a choke input.
    pub second_rms_a: Option<f64>,
}

/// One output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlet {
    /// What stands between rectifier and load.
    pub shape: Shape,
    /// Current drawn at the end of it, auxiliaries included, A.
    pub load_a: Span,
}

/// One secondary (or a tapped one) with its rectifier.
#[derive(Clone, Debug, PartialEq)]
pub struct PlantRail {
    /// Topology.
    pub topology: Topology,
    /// Its windings. The figures of the whole transformer (copper and core loss at rating, rise, no-load current) are those of
    /// the first rail; primary and mains resistance are each rail's own reference to the one primary.
    pub source: Source,
    /// Its rectifier.
    pub rectifier: Rectifier,
    /// Positive output; of a ± pair the negative one second.
    pub outlets: Vec<Outlet>,
}

/// A core with all it feeds.
#[derive(Clone, Debug, PartialEq)]
pub struct Plant {
    /// Mains rms voltage, V.
    pub mains_v: Span,
    /// Peak over √2 rms of the mains; counts at the low end only.
    pub peak_factor: f64,
    /// Mains frequency, Hz.
    pub frequency_hz: Span,
    /// Air.
    pub air: Air,
    /// The rails, at least one.
    pub rails: Vec<PlantRail>,
}

impl Plant {
    /// A rail, first, and what stands beside it on its transformer.
    pub fn of(supply: &Supply) -> Self {
        let shape = match supply.section {
            Some(Section::ChokeInput(choke)) => Shape::ChokeInput(choke, supply.bank),
            Some(Section::Crc(ohm, second)) => Shape::Crc(supply.bank, ohm, second),
            Some(Section::Clc(choke, second)) => Shape::Clc(supply.bank, choke, second),
            None => Shape::Reservoir(supply.bank),
        };
        let own = Outlet { shape, load_a: supply.load_a.span() };
        let mut rails = vec![PlantRail {
            topology: supply.topology,
            source: supply.source,
            rectifier: supply.rectifier,
            outlets: vec![own],
        }];
        for beside in supply.beside {
            let parts = beside.parts.unwrap_or(BesideParts {
                // Beside a tap one alike is a tapped winding of its own.
                topology: match supply.topology {
                    Topology::DualComplementary if !beside.of_tap => Topology::CentreTap,
                    own => own,
                },
                source: supply.source,
                rectifier: supply.rectifier,
                bank: supply.bank,
            });
            let outlet = Outlet { shape: Shape::Reservoir(parts.bank), load_a: beside.load_a.span() };
            // Both sides of a tap are outputs of one rail.
            let tapped = |rail: &&mut PlantRail| {
                parts.topology == Topology::DualComplementary && rail.topology == Topology::DualComplementary
            };
            match rails.iter_mut().find(tapped) {
                Some(tap) => tap.outlets.push(outlet),
                None => rails.push(PlantRail {
                    topology: parts.topology,
                    source: parts.source,
                    rectifier: parts.rectifier,
                    outlets: vec![outlet],
                }),
            }
        }
        Self {
            mains_v: supply.mains_v,
            peak_factor: supply.peak_factor,
            frequency_hz: supply.frequency_hz,
            air: supply.air,
            rails,
        }
    }
}

/// Where one output stands: the ends of everything that shapes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub(super) capacitance: fn(Span) -> f64,
    pub(super) esr: fn(Span) -> f64,
    pub(super) series: fn(Span) -> f64,
    pub(super) cold: bool,
    /// Air around the parts, °C.
    pub(super) air_c: f64,
}

impl Shape {
    /// The first bank, or the only one.
    pub fn first_bank(&self) -> &Bank {
        match self {
            Self::Reservoir(bank) | Self::Crc(bank, ..) | Self::Clc(bank, ..) | Self::ChokeInput(_, bank) => {
                bank
            }
        }
    }

    /// The second bank behind the first.
    pub fn second_bank(&self) -> Option<&Bank> {
        match self {
            Self::Crc(.., bank) | Self::Clc(.., bank) => Some(bank),
            Self::Reservoir(_) | Self::ChokeInput(..) => None,
        }
    }

    pub(super) fn filter(&self, ends: &Ends, load_a: f64) -> Filter {
        let bank =
            |bank: &Bank| Capacitor { capacitance: Farads(ends.farad(bank)), esr: Ohms(ends.esr_ohm(bank)) };
        let choke = |choke: &ChokeNumbers| Choke {
            inductance: Henries((ends.capacitance)(choke.henry)),
            resistance: Ohms(ends.choke_ohm(choke, load_a)),
        };
        match self {
            Self::Reservoir(first) => Filter::Reservoir(bank(first)),
            Self::Crc(first, ohm, second) => {
                Filter::Crc(bank(first), Ohms((ends.series)(*ohm)), bank(second))
            }
            Self::Clc(first, coil, second) => Filter::Clc(bank(first), choke(coil), bank(second)),
            Self::ChokeInput(coil, second) => Filter::Lc(choke(coil), bank(second)),
        }
    }
}

impl Ends {
    pub(super) fn farad(&self, bank: &Bank) -> f64 {
        (self.capacitance)(bank.farad) * if self.cold { bank.farad_cold_ratio } else { 1.0 }
    }

    /// Resistance of a choke whose mean current is the load's, Ω.
    pub(super) fn choke_ohm(&self, choke: &ChokeNumbers, load_a: f64) -> f64 {
        let rise_k = if self.cold { 0.0 } else { choke.rise_per_a2 * load_a * load_a };
        choke.ohm_20 * copper::factor(Celsius(self.air_c + rise_k))
    }

    pub(super) fn esr_ohm(&self, bank: &Bank) -> f64 {
        (self.esr)(bank.esr_ohm) * if self.cold { bank.esr_cold_ratio } else { 1.0 }
    }
}

/// Share of the greatest load below which a second section counts as drawing it: with none its charge takes for ever to come to
/// rest, and the voltage is the peak less a few millivolts either way.
const IDLE_SHARE: f64 = 1e-6;

impl Outlet {
    /// Least current drawn, A.
    pub(super) fn least_a(&self) -> f64 {
        let floor_a = match self.shape {
            Shape::Reservoir(_) => 0.0,
            Shape::Crc(..) | Shape::Clc(..) | Shape::ChokeInput(..) => IDLE_SHARE * self.load_a.high,
        };
        self.load_a.low.max(floor_a)
    }

    pub(super) fn branch(&self, ends: &Ends, load_a: f64) -> Branch {
        Branch { filter: self.shape.filter(ends, load_a), load: Load::Current(Amps(load_a)) }
    }
}

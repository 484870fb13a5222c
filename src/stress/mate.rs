//! The other rails of a shared transformer, as an assembly knows them.

use crate::{
    circuit::spec::Topology, numeric::few::Few, physics::transformer::wiring::Wiring, requirement::Rail,
};

use super::assembly::{Assembly, Cooling, RectifierPart, Regulation, Reservoir, ResistorChoice};

/// What stands behind another secondary of a transformer, or on the other side of its tap.
#[derive(Clone, Copy, Debug)]
pub struct MateParts<'a> {
    /// Topology.
    pub topology: Topology,
    /// Rectifier; of a ± pair about a tap the same for both.
    pub rectifier: RectifierPart<'a>,
    /// Its heat sink.
    pub rectifier_cooling: Option<Cooling<'a>>,
    /// Reservoir bank.
    pub reservoir: Reservoir<'a>,
    /// Bleeder.
    pub bleeder: Option<ResistorChoice<'a>>,
    /// Regulator stage.
    pub regulation: Option<Regulation<'a>>,
}

/// Another rail of a shared transformer.
#[derive(Clone, Copy, Debug)]
pub struct Mate<'a> {
    /// What is asked of it.
    pub rail: &'a Rail,
    /// How it uses the secondaries.
    pub wiring: Wiring,
    /// Whether what all share stands in its list of parts, and so not in this rail's.
    pub lists_core: bool,
    /// Its parts; `None` while none are chosen: then it counts as alike but for its turns and its load.
    pub parts: Option<MateParts<'a>>,
    /// What it is taken to draw beside its load while no parts are chosen, A.
    pub assumed_a: f64,
}

impl<'a> Mate<'a> {
    /// A rail that is known with its parts.
    pub fn known(rail: &'a Rail, of: &Assembly<'a>, lists_core: bool) -> Self {
        Self { rail, wiring: of.wiring, lists_core, parts: Some(of.as_mate()), assumed_a: 0.0 }
    }

    /// Whether it hangs on the other side of the tap that a rail so wired hangs on.
    pub fn shares_tap(&self, wiring: Wiring) -> bool {
        wiring == Wiring::Complementary && self.wiring == Wiring::Complementary
    }
}

impl<'a> Assembly<'a> {
    /// Whether it hangs on the transformer alone.
    pub fn is_alone(&self) -> bool {
        self.mates.is_empty()
    }

    /// Whether fuse, limiter, transformer and cut-out stand in the list of another rail.
    pub fn is_second(&self) -> bool {
        self.mates.iter().any(|mate| mate.lists_core)
    }

    /// Whether the rectifier stands in the list of another rail: one serves both sides of a tap.
    pub fn is_second_of_tap(&self) -> bool {
        self.is_second() && self.topology == Topology::DualComplementary
    }

    /// The rail in whose list what all share stands, where that is another.
    pub fn host(&self) -> Option<&'a Rail> {
        self.mates.iter().find(|mate| mate.lists_core).map(|mate| mate.rail)
    }

    /// The assembly of a mate as if nothing were known of the rails beside it but how they are wired; `None` without parts of it.
    pub fn other(&self, mate: &Mate<'a>) -> Option<Self> {
        let parts = mate.parts?;
        // This rail stands where the mate stood.
        let seen = |one: Mate<'a>| Mate {
            wiring: if std::ptr::eq(one.rail, mate.rail) { self.wiring } else { one.wiring },
            parts: None,
            ..one
        };
        Some(Self {
            wiring: mate.wiring,
            topology: parts.topology,
            rectifier: parts.rectifier,
            rectifier_cooling: parts.rectifier_cooling,
            reservoir: parts.reservoir,
            section: None,
            bleeder: parts.bleeder,
            regulation: parts.regulation,
            secondary_fuse: None,
            mates: self.mates.map(seen),
            ..*self
        })
    }

    /// The parts that the other rails of the transformer see of this one.
    pub fn as_mate(&self) -> MateParts<'a> {
        MateParts {
            topology: self.topology,
            rectifier: self.rectifier,
            rectifier_cooling: self.rectifier_cooling,
            reservoir: self.reservoir,
            bleeder: self.bleeder,
            regulation: self.regulation,
        }
    }

    /// The same beside others whose parts are known.
    #[must_use]
    pub fn among(self, mates: impl IntoIterator<Item = Mate<'a>>) -> Self {
        Self { mates: Few::of(mates), ..self }
    }
}

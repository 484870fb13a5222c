//! Why a train could not be completed, and which other bleeders and coolings of the rectifier fall with it.
//!
//! A train is one source, rectifier, bank and stage. Its bleeder and the cooling of its rectifier move the operating points a
//! little; most failures hold for all of them and need not be found again. Derivation: `DEVELOPERS.md`, "Bounds".

use crate::{
    circuit::{
        corner::{End, Thermal, Vertex},
        supply::HeatPath,
    },
    stress::position::Position,
};

use super::rectifying::Rectifying;

/// Why a train could not be completed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fallen<'a> {
    /// A part states no rating that a rule needs; no other train with it in that position can do better.
    Lacking(Position, &'a str),
    /// A stress of the coupled choice was too great.
    Worked {
        /// Code of its rule.
        code: &'static str,
        /// Its utilisation.
        utilisation: f64,
        /// Where; `None` where no vertex enters.
        vertex: Option<Vertex>,
    },
    /// Anything else.
    Otherwise,
}

/// What a bleeder and a cooling of the rectifier cannot mend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reach {
    /// Every cooling, with as much load or more.
    All,
    /// Every cooling that leaves the junction as cool or cooler, with as much load or more.
    Cooler,
    /// Every cooling that leaves the junction as warm or warmer, with as much load or more.
    Warmer,
    /// Every cooling that leaves the junction as warm or warmer, with as much load or less.
    WarmerAndLighter,
}

/// Utilisation from which a miss by current counts as clear: what the slope of a warmer diode moves is less.
const CLEAR: f64 = 1.05;

/// Stresses that no operating point enters, or only by the load.
const BY_LOAD: [&str; 12] = [
    "transformer-dc-magnetisation",
    "rectifier-reverse-voltage",
    "rectifier-transient-voltage",
    "rectifier-surge-current",
    "rectifier-surge-i2t",
    "inrush-energy",
    "inrush-hot-restart",
    "reservoir-voltage",
    "reservoir-surge-voltage",
    "reservoir-low-temperature",
    "regulator-output-current",
    "regulator-accuracy",
];
/// Stresses that grow as the reservoir sags.
const OF_SAG: [&str; 3] = ["regulator-headroom", "regulator-output-ripple", "reservoir-hold-up"];
/// Stresses that grow with the currents, which the cooling hardly moves.
const OF_CURRENT: [&str; 11] = [
    "transformer-secondary-current",
    "transformer-primary-current",
    "transformer-copper-loss",
    "transformer-winding-temperature",
    "rectifier-rms-current",
    "rectifier-repetitive-peak",
    "reservoir-ripple-current",
    "reservoir-core-temperature",
    "reservoir-life",
    "raw-ripple",
    "inrush-steady-current",
];

impl Fallen<'_> {
    /// Of two inrush limiters that do not tame the surge, the reason that another bleeder or cooling might mend sooner.
    pub(super) fn milder(self, other: Self) -> Self {
        let (own, its) = match (self, other) {
            (Self::Lacking(Position::InrushLimiter, _), other) => return other,
            (one, Self::Lacking(Position::InrushLimiter, _)) => return one,
            (Self::Lacking(..), _) => return self,
            (_, Self::Lacking(..)) => return other,
            (Self::Worked { utilisation: own, .. }, Self::Worked { utilisation: its, .. }) => (own, its),
            _ => return Self::Otherwise,
        };
        match (self.reach(true), other.reach(true)) {
            (None, _) => self,
            (_, None) => other,
            _ if its < own => other,
            _ => self,
        }
    }

    /// What falls with it; `falls` where the drop of the rectifier falls as it warms, at every current.
    fn reach(&self, falls: bool) -> Option<Reach> {
        let Self::Worked { code, utilisation, vertex } = self else { return None };
        let cold = vertex.is_some_and(|vertex| vertex.thermal == Thermal::Cold);
        let clear = *utilisation >= CLEAR;
        let sags = OF_SAG.contains(code)
            || (*code == "raw-voltage-window" && vertex.is_some_and(|vertex| vertex.mains == End::Low));
        if BY_LOAD.contains(code) {
            Some(Reach::All)
        } else if sags {
            // Nothing is warm in the cold state; else a warmer junction drops less.
            if cold { Some(Reach::All) } else { falls.then_some(Reach::Cooler) }
        } else if OF_CURRENT.contains(code) {
            (cold || clear).then_some(Reach::All)
        } else {
            match *code {
                "rectifier-junction-temperature" => Some(Reach::Warmer),
                // The case may be a hair cooler under a junction a little warmer.
                "rectifier-average-current" if clear => Some(Reach::Warmer),
                "regulator-junction-temperature" | "regulator-dissipation" if falls => {
                    Some(Reach::WarmerAndLighter)
                }
                _ => None,
            }
        }
    }
}

/// What has fallen of one train: of the whole, or with one cooling of its regulator.
#[derive(Clone, Debug, Default)]
pub(super) struct Blocks {
    known: Vec<Block>,
    /// Ways that were solved, with the heat of one rectifier package there, W.
    heats: Vec<(usize, f64)>,
}

/// One failure.
#[derive(Clone, Copy, Debug)]
struct Block {
    reach: Reach,
    /// Place of the regulator's cooling; `None` for any.
    cooling: Option<usize>,
    way: usize,
    bleeder_a: f64,
}

/// What the heat of a rectifier may fall by when it is cooled better, relative: its drop rises, its currents hardly move.
const HEAT_MARGIN: f64 = 0.02;

impl Blocks {
    /// Keeps what one bleeder and way fell by, whatever cools the regulator or with one cooling of it.
    pub(super) fn add(
        &mut self,
        fallen: &Fallen<'_>,
        falls: bool,
        (way, bleeder_a): (usize, f64),
        cooling: Option<usize>,
    ) {
        if let Some(reach) = fallen.reach(falls) {
            self.known.push(Block { reach, cooling, way, bleeder_a });
        }
    }

    /// Keeps the heat of one rectifier package on a way.
    pub(super) fn heat(&mut self, way: usize, watts: f64) {
        self.heats.push((way, watts));
    }

    /// Least heat of one package on a way: that on any known way that leaves it as warm or warmer, W.
    pub(super) fn least_heat_w(&self, rectifying: &Rectifying<'_>, way: usize) -> f64 {
        let known = self.heats.iter().filter(|(known, _)| rectifying.warmer(*known, way));
        known.map(|(_, watts)| watts * (1.0 - HEAT_MARGIN)).fold(0.0, f64::max)
    }

    /// Whether a bleeder and way fall with a failure known, for every cooling of the regulator or for one of them.
    pub(super) fn block(
        &self,
        rectifying: &Rectifying<'_>,
        (way, bleeder_a): (usize, f64),
        cooling: Option<usize>,
    ) -> bool {
        self.known.iter().filter(|known| known.cooling == cooling).any(|known| match known.reach {
            Reach::All => bleeder_a >= known.bleeder_a,
            Reach::Cooler => bleeder_a >= known.bleeder_a && rectifying.warmer(known.way, way),
            Reach::Warmer => bleeder_a >= known.bleeder_a && rectifying.warmer(way, known.way),
            Reach::WarmerAndLighter => bleeder_a <= known.bleeder_a && rectifying.warmer(way, known.way),
        })
    }
}

/// Heat below which no comparison is needed, W: a junction that loses less is hardly warm.
const HEAT_MIN_W: f64 = 0.02;

/// A way of cooling as comparisons see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Warmth {
    /// Resistance to air or to the sink, K/W.
    ohms: f64,
    /// Of a sink: `P·reach` is its rise to the power of `1 + exponent`.
    sink: Option<(f64, f64)>,
    /// Junction above the air at a small heat, K.
    small_k: f64,
}

impl Warmth {
    /// Of a path.
    pub(super) fn of(path: &HeatPath) -> Self {
        let (ohms, sink) = match *path {
            HeatPath::Direct(resistance) => (resistance, None),
            HeatPath::Sink { to_sink, sink, rise_k, exponent } => {
                (to_sink, Some((sink * rise_k.powf(exponent), exponent)))
            }
        };
        Self { ohms, sink, small_k: path.junction_c(HEAT_MIN_W, 0.0) }
    }

    /// Whether this leaves the junction as warm as another or warmer, at every heat that matters.
    pub(super) fn as_warm(&self, other: &Self) -> bool {
        // The rise of a sink grows more slowly than its heat, so that a fixed resistance that is greater at a small heat is
        // so at every greater one, and one that is smaller at a great heat may be greater at none below.
        match (self.sink, other.sink) {
            (None, None) => self.ohms >= other.ohms,
            (None, Some(_)) => self.small_k >= other.small_k,
            (Some(_), None) => false,
            (Some((reach, power)), Some((its, its_power))) => {
                (power - its_power).abs() < 1e-12 && self.ohms >= other.ohms && reach >= its
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sink(to_sink: f64, sink: f64) -> Warmth {
        Warmth::of(&HeatPath::Sink { to_sink, sink, rise_k: 75.0, exponent: 0.25 })
    }

    #[test]
    fn one_way_is_as_warm_as_another_only_if_it_is_so_at_every_heat() {
        assert!(sink(3.0, 5.0).as_warm(&sink(2.0, 5.0)));
        assert!(!sink(3.0, 4.0).as_warm(&sink(2.0, 5.0)) && !sink(2.0, 5.0).as_warm(&sink(3.0, 4.0)));
        let free = Warmth::of(&HeatPath::Direct(50.0));
        // At 20 mW the sink's rise is (0.02 · 5 · 75^¼)^0.8 = 0.376 K, with 0.06 K to it; free air makes 1 K.
        assert!(free.as_warm(&sink(3.0, 5.0)));
        assert!(!sink(3.0, 5.0).as_warm(&free));
    }

    #[test]
    fn what_fails_cold_fails_however_the_rectifier_is_cooled() {
        let cold = Vertex { thermal: Thermal::Cold, ..Vertex::at(0) };
        let fallen = |code, utilisation, thermal| Fallen::Worked {
            code,
            utilisation,
            vertex: Some(Vertex { thermal, ..cold }),
        };
        assert_eq!(fallen("regulator-headroom", 1.001, Thermal::Cold).reach(false), Some(Reach::All));
        assert_eq!(fallen("regulator-headroom", 1.001, Thermal::Hot).reach(true), Some(Reach::Cooler));
        assert_eq!(fallen("regulator-headroom", 1.001, Thermal::Hot).reach(false), None);
        assert_eq!(fallen("transformer-copper-loss", 1.01, Thermal::Hot).reach(true), None);
        assert_eq!(fallen("transformer-copper-loss", 1.1, Thermal::Hot).reach(true), Some(Reach::All));
        assert_eq!(
            fallen("rectifier-junction-temperature", 1.01, Thermal::Hot).reach(true),
            Some(Reach::Warmer)
        );
    }
}

//! What is solved: one rectifier circuit, all values definite, referred to its secondary.
//!
//! Knows nothing of parts or corners; the definitions of the elements are in `DEVELOPERS.md`, "Circuit".

use crate::quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts, Watts};

/// How the winding, the diodes and the first capacitors are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topology {
    /// One winding, one diode.
    HalfWave,
    /// Two half windings, one diode each, load returned to the tap.
    CentreTap,
    /// One winding, four diodes.
    Bridge,
    /// One winding, two diodes, two equal capacitors in series, the load across both.
    FullWaveDoubler,
    /// One winding, two diodes in cascade, the load on one capacitor.
    HalfWaveDoubler,
    /// A centre-tapped winding and a bridge: one positive and one negative rail about the tap.
    DualComplementary,
}

/// The winding as seen from the rectifier; per half for [`Topology::CentreTap`] and [`Topology::DualComplementary`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Winding {
    /// Peak of the sinusoidal open-circuit EMF.
    pub emf_peak: Volts,
    /// Mains frequency.
    pub frequency: Hertz,
    /// Resistance in series with each half alone.
    pub resistance: Ohms,
    /// Resistance common to all halves and windings on the core: primary and source, referred to one half. Zero where
    /// `resistance` already holds the referred sum (exact while the halves never conduct together).
    pub common_resistance: Ohms,
    /// Leakage inductance of each half, independent of the other half.
    pub leakage: Henries,
}

/// Piecewise-linear diode: `v = threshold + slope · i` for `i > 0`, no current below the threshold. One single diode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diode {
    /// Forward voltage at vanishing current.
    pub threshold: Volts,
    /// Slope resistance.
    pub slope: Ohms,
}

/// A capacitor with its series resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacitor {
    /// Capacitance.
    pub capacitance: Farads,
    /// Equivalent series resistance.
    pub esr: Ohms,
}

/// A choke with its winding resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choke {
    /// Inductance.
    pub inductance: Henries,
    /// Winding resistance.
    pub resistance: Ohms,
}

/// What stands between the rectifier and the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Filter {
    /// The load sits on the rectifier.
    None,
    /// One reservoir (in a doubler: each of the two).
    Reservoir(Capacitor),
    /// Reservoir, resistor, second capacitor.
    Crc(Capacitor, Ohms, Capacitor),
    /// Reservoir, choke, second capacitor.
    Clc(Capacitor, Choke, Capacitor),
    /// Choke input: choke, capacitor.
    Lc(Choke, Capacitor),
    /// Resistor input: resistor, capacitor.
    Rc(Ohms, Capacitor),
}

/// What the supply feeds, at the terminals of the last capacitor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// A resistance.
    Resistance(Ohms),
    /// A constant current, as a regulator in regulation draws.
    Current(Amps),
    /// A constant power, `i = P/v`.
    Power(Watts),
}

/// One output of the rectifier: its filter and its load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// Filter of this output.
    pub filter: Filter,
    /// Load of this output.
    pub load: Load,
}

/// One circuit, ready to be solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spec {
    /// Topology.
    pub topology: Topology,
    /// Winding, per half where there are two.
    pub winding: Winding,
    /// Each single diode; all alike.
    pub diode: Diode,
    /// The output; of [`Topology::DualComplementary`] the positive one.
    pub output: Branch,
    /// The negative output of [`Topology::DualComplementary`], in magnitudes; `None` elsewhere.
    pub negative: Option<Branch>,
}

//! What figures of a rail are drawn from: its circuit as drawn, its waveforms, its raw voltage over the mains.
//!
//! Holds numbers and words, no layout.

use serde::Serialize;

use crate::{
    quantity::Money,
    review::figure::{Figure, Unit},
};

/// How the rectifier is joined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawnRectifier {
    /// One diode.
    HalfWave,
    /// One diode a half winding.
    CentreTap,
    /// Four diodes.
    #[default]
    Bridge,
    /// Two diodes, two capacitors in series.
    FullWaveDoubler,
    /// Two diodes in cascade behind a coupling capacitor.
    HalfWaveDoubler,
    /// Four diodes about a tap: a positive and a negative rail.
    Dual,
}

/// How the secondaries are joined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawnWinding {
    /// One winding.
    #[default]
    Single,
    /// Two in series.
    Series,
    /// Two in parallel.
    Parallel,
    /// Two halves about a tap.
    Tapped,
}

/// A part as it is lettered in the drawing.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct DrawnPart {
    /// Position, as records write it.
    pub position: String,
    /// Reference designators.
    pub designators: Vec<String>,
    /// Ratings and value, gravest first.
    pub ratings: Vec<String>,
    /// Part number.
    pub part: String,
    /// Pieces.
    pub count: u32,
    /// Whether it is a capacitor that must not be reversed.
    pub polarised: bool,
}

/// What stands behind the rectifier on its negative side.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct DrawnSide {
    /// Parts, in the order of the current's path.
    pub parts: Vec<DrawnPart>,
    /// Mean of the reservoir, in magnitude.
    pub raw_mean: Option<Figure>,
    /// Ripple of the reservoir.
    pub ripple_pp: Option<Figure>,
    /// Output, in magnitude.
    pub output: Option<Figure>,
    /// Greatest continuous current.
    pub current_max: Option<Figure>,
}

/// The circuit of one rail.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Drawing {
    /// Rectifier.
    pub rectifier: DrawnRectifier,
    /// Secondaries.
    pub winding: DrawnWinding,
    /// Whether the four diodes of a bridge share one package.
    pub one_package: bool,
    /// Whether the output is negative.
    pub negative: bool,
    /// Whether there is a protective earth.
    pub earth: bool,
    /// Parts, in the order of the current's path.
    pub parts: Vec<DrawnPart>,
    /// At the inlet, in words.
    pub mains: String,
    /// EMF of the conducting path.
    pub emf_rms: Option<Figure>,
    /// Mean of the reservoir, nominal mains, full load.
    pub raw_mean: Option<Figure>,
    /// Ripple of the reservoir, nominal mains, full load.
    pub ripple_pp: Option<Figure>,
    /// Output, nominal.
    pub output: Option<Figure>,
    /// Greatest continuous current.
    pub current_max: Option<Figure>,
    /// The negative side of a rectifier about a tap.
    pub negative_side: Option<DrawnSide>,
    /// The rail on whose transformer it hangs: it is drawn below that one, from the other secondary or the other side of the tap.
    pub transformer_of: Option<String>,
}

/// One named row of numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Series {
    /// Name.
    pub name: String,
    /// Unit of the values.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// Values; finite.
    pub values: Vec<f64>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serialize_with asks for")]
fn symbol<S: serde::Serializer>(unit: &Unit, out: S) -> Result<S::Ok, S::Error> {
    out.serialize_str(unit.symbol())
}

impl Series {
    /// A row, or `None` where a value is not finite.
    pub fn new(name: &str, unit: Unit, values: Vec<f64>) -> Option<Self> {
        values.iter().all(|value| value.is_finite()).then(|| Self { name: name.to_owned(), unit, values })
    }
}

/// Rows of numbers over one common row.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curves {
    /// What the others are drawn over.
    pub over: Series,
    /// The others, each as long.
    pub rows: Vec<Series>,
}

/// One mains period, nominal mains and full load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Waves {
    /// Voltages over the mains angle.
    pub voltages: Curves,
    /// Currents over the mains angle.
    pub currents: Curves,
    /// Turn-on and turn-off, degrees of the mains, within one period.
    pub conducts: Vec<(f64, f64)>,
}

/// A level that must not be crossed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Level {
    /// What it is.
    pub name: String,
    /// Where.
    pub at: Figure,
}

/// Something over the mains voltage, with levels.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Window {
    /// Raw voltages (least valley, greatest crest, no-load peak) or heat, over mains rms.
    pub curves: Curves,
    /// What is needed, and what limits.
    pub levels: Vec<Level>,
}

/// The first periods after switch-on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SwitchOnCurves {
    /// How it is switched on, in words.
    pub words: String,
    /// Reservoir voltage over time.
    pub voltages: Curves,
    /// Current of the diode that carries most, over time.
    pub currents: Curves,
    /// Levels that the current must stay below.
    pub levels: Vec<Level>,
}

/// One harmonic of the primary current.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HarmonicRow {
    /// Order.
    pub order: u32,
    /// rms.
    pub current_rms: Figure,
    /// Class A limit, rms; absent for the fundamental.
    pub limit_rms: Option<Figure>,
}

/// Harmonics of the mains current of the whole supply at nominal.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SupplyHarmonics {
    /// Harmonics of all primary currents together, core loss and magnetising current left out.
    pub harmonics: Vec<HarmonicRow>,
    /// Whether the power taken is above that from which class A limits.
    pub limited: bool,
    /// Why it does or does not, in words.
    pub why: String,
    /// Power taken.
    pub taken: Option<Figure>,
}

/// Cost of a position in one supply.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CostRow {
    /// Designators of the position.
    pub designators: Vec<String>,
    /// Position in words.
    pub position: String,
    /// Price of its pieces at the build quantity.
    pub cost: Money,
}

/// What the figures of one rail are drawn from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RailPictures {
    /// Rail.
    pub rail: String,
    /// Circuit.
    pub drawing: Drawing,
    /// Waveforms.
    pub waves: Option<Waves>,
    /// Raw voltage over mains.
    pub window: Option<Window>,
    /// Heat in the regulator over mains.
    pub heat: Option<Window>,
    /// Switch-on from discharged.
    pub switch_on: Option<SwitchOnCurves>,
    /// Harmonics of the primary current at nominal, core loss and magnetising current left out.
    pub harmonics: Vec<HarmonicRow>,
    /// Whether the power taken is above that from which class A limits.
    pub harmonics_limited: bool,
    /// Cost by position.
    pub costs: Vec<CostRow>,
}

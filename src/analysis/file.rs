//! The circuit file: reads a circuit, how it is switched on, its tolerances and limits, every fault at once.
//!
//! Knows no solution. The keys are listed in `README.md`, "Analyse".

use std::f64::consts::SQRT_2;

use super::{
    filter::{self, ReadBranch, need, or_zero},
    input,
    limits::{self, Limit},
    ripple::{self, RippleRating},
    tolerance::{self, Tolerance},
};
use crate::{
    circuit::spec::{Branch, Diode, Filter, Spec, Topology, Winding},
    document::{self, Fault, Faults, Fields, Source, Value},
    quantity::{Henries, Hertz, Ohms, Volts},
};

/// Version of the circuit file.
pub const VERSION: u32 = 1;

/// The topologies by their words.
pub const TOPOLOGIES: [(&str, Topology); 6] = [
    ("half-wave", Topology::HalfWave),
    ("centre-tap", Topology::CentreTap),
    ("bridge", Topology::Bridge),
    ("full-wave-doubler", Topology::FullWaveDoubler),
    ("half-wave-doubler", Topology::HalfWaveDoubler),
    ("dual-complementary", Topology::DualComplementary),
];

/// How a circuit is switched on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Switching {
    /// Load voltage below which a load of constant current or power is a resistance; without it half the EMF peak.
    pub knee: Option<Volts>,
    /// The same of the negative output.
    pub negative_knee: Option<Volts>,
    /// Voltage left on the capacitors.
    pub residual: Volts,
    /// Inrush limiter, referred to one half of the winding: cold and hot.
    pub limiter: Option<(Ohms, Ohms)>,
}

/// A circuit file.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitFile {
    /// What it is called.
    pub name: String,
    /// The circuit.
    pub spec: Spec,
    /// How it is switched on.
    pub switching: Switching,
    /// Mains rms behind the primary, for a comparison with limits of mains currents.
    pub mains_rms: Option<Volts>,
    /// Ripple ratings of the first and the second capacitor.
    pub ripple_ratings: [Option<RippleRating>; 2],
    /// Tolerances, in the order of the file.
    pub tolerances: Vec<Tolerance>,
    /// Limits, in the order of the file.
    pub limits: Vec<Limit>,
}

/// Reads a circuit file, or returns every fault it has.
pub fn read(source: &Source) -> Result<CircuitFile, Faults> {
    document::read(source, circuit)
}

fn circuit(from: Value<'_>) -> Option<CircuitFile> {
    let mut fields = from.fields()?;
    let version = fields.required("circuit", |value| value.count(VERSION..=VERSION));
    let name = fields.optional("name", Value::text);
    let one = rectifier(from, &mut fields, Windings::OnlyOne);
    let limiter = fields.optional("limiter", limiter);
    let residual = fields.optional("residual", residual);
    let ripple_ratings = [ripple::FIRST, ripple::SECOND].map(|which| ripple::read(&mut fields, which));
    let tolerance_at = fields.take("tolerance");
    let limits = fields.optional("limits", limits::read);
    fields.finish();
    let Rectifier { spec, knees: [knee, negative_knee], mains_rms } = one?;
    version?;
    let tolerances = tolerance_at.and_then(|value| tolerance::read(value, &spec)).unwrap_or_default();
    Some(CircuitFile {
        name: name.unwrap_or_else(|| "circuit".to_owned()),
        spec,
        switching: Switching { knee, negative_knee, residual: residual.unwrap_or_default(), limiter },
        mains_rms,
        ripple_ratings,
        tolerances,
        limits: limits.unwrap_or_default(),
    })
}

/// Tolerances and limits of a circuit, stated in a file of their own.
pub fn read_tolerances(source: &Source, spec: &Spec) -> Result<(Vec<Tolerance>, Vec<Limit>), Faults> {
    document::read(source, |from| {
        let mut fields = from.fields()?;
        let tolerances = fields.required("tolerance", |value| tolerance::read(value, spec));
        let limits = fields.optional("limits", limits::read);
        fields.finish();
        Some((tolerances?, limits.unwrap_or_default()))
    })
}

/// Whether a winding is alone on its core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Windings {
    /// What its halves share, and the mains behind it, are stated with it.
    OnlyOne,
    /// Both are stated with the core.
    OneOfSeveral,
}

/// A winding with all it feeds.
pub(super) struct Rectifier {
    pub(super) spec: Spec,
    /// Knees of the loads, the negative one second.
    pub(super) knees: [Option<Volts>; 2],
    pub(super) mains_rms: Option<Volts>,
}

/// Topology, winding, diode, filter and load.
pub(super) fn rectifier(from: Value<'_>, fields: &mut Fields<'_>, windings: Windings) -> Option<Rectifier> {
    let topology = fields.required("topology", |value| value.word(&TOPOLOGIES));
    let dual = topology == Some(Topology::DualComplementary);
    let doubler = matches!(topology, Some(Topology::FullWaveDoubler | Topology::HalfWaveDoubler));
    let winding = fields.required("winding", |value| winding(value, windings));
    let diode = fields.optional("diode", diode);
    let output = output(fields, doubler, None);
    let negative = match (fields.take("negative"), dual) {
        (Some(value), true) => negative(value, output.as_ref().map(|read| read.branch.filter)),
        (Some(value), false) => {
            value.refuse("only `dual-complementary` has a negative output", "no `negative`", None);
            None
        }
        (None, true) => {
            fields.missing("negative");
            None
        }
        (None, false) => None,
    };
    let (winding, mains_rms) = winding?;
    let (topology, output) = (topology?, output?);
    if winding.resistance.0 + diode.unwrap_or(IDEAL).slope.0 < PATH_MIN_OHM {
        let fault = Fault::new(from.first_span(), "the conducting path has no resistance")
            .found("winding resistance and diode slope together below 10 µΩ")
            .allowed("10 µΩ or more");
        from.report(fault.hint("state the winding's resistance, or the diode's slope"));
    }
    if dual && negative.is_none() {
        return None;
    }
    let spec = Spec {
        topology,
        winding,
        diode: diode.unwrap_or(IDEAL),
        output: output.branch,
        negative: negative.as_ref().map(|read| read.branch),
    };
    Some(Rectifier { spec, knees: [output.knee, negative.and_then(|read| read.knee)], mains_rms })
}

/// A diode without drop, where none is stated.
const IDEAL: Diode = Diode { threshold: Volts(0.0), slope: Ohms(0.0) };
/// Least resistance of a conducting path: without any its current has no finite time constant.
const PATH_MIN_OHM: f64 = 1e-5;

fn winding(from: Value<'_>, windings: Windings) -> Option<(Winding, Option<Volts>)> {
    let mut fields = from.fields()?;
    let map = fields.map();
    let peak = fields.optional("emf_peak", filter::value(input::EMF_PEAK));
    let rms = fields.optional("emf_rms", filter::value(input::EMF_RMS));
    let stated = [fields.get("emf_peak"), fields.get("emf_rms")].iter().flatten().count();
    if stated != 1 {
        map.report(
            Fault::new(map.first_span(), "the EMF is stated once")
                .found(if stated == 0 { "neither" } else { "`emf_peak` and `emf_rms`" })
                .allowed("one of `emf_peak`, `emf_rms`"),
        );
    }
    let frequency = need(&mut fields, input::FREQUENCY);
    let resistance = need(&mut fields, input::RESISTANCE);
    let leakage = or_zero(&mut fields, input::LEAKAGE);
    let (common, mains) = match windings {
        Windings::OnlyOne => (or_zero(&mut fields, input::COMMON), fields.optional("mains_rms", mains)),
        Windings::OneOfSeveral => (0.0, None),
    };
    fields.finish();
    Some((
        Winding {
            emf_peak: Volts(peak.or_else(|| rms.map(|rms| rms * SQRT_2))?),
            frequency: Hertz(frequency?),
            resistance: Ohms(resistance?),
            common_resistance: Ohms(common),
            leakage: Henries(leakage),
        },
        mains,
    ))
}

/// rms of the mains behind a primary.
pub(super) fn mains(value: Value<'_>) -> Option<Volts> {
    value.quantity(Volts(1.0)..=Volts(1e4))
}

fn diode(from: Value<'_>) -> Option<Diode> {
    let mut fields = from.fields()?;
    let threshold = need(&mut fields, input::THRESHOLD);
    let slope = or_zero(&mut fields, input::SLOPE);
    fields.finish();
    Some(Diode { threshold: Volts(threshold?), slope: Ohms(slope) })
}

/// Filter and load of one output; a filter left out is `otherwise`.
fn output(fields: &mut Fields<'_>, doubler: bool, otherwise: Option<Filter>) -> Option<ReadBranch> {
    let filter = match (fields.take("filter"), otherwise) {
        (Some(value), _) => filter::filter(value, doubler),
        (None, Some(same)) => Some(same),
        (None, None) => {
            fields.missing("filter");
            None
        }
    };
    let filtered = filter != Some(Filter::None);
    let load = fields.required("load", |value| filter::load(value, filtered));
    let (load, knee) = load?;
    Some(ReadBranch { branch: Branch { filter: filter?, load }, knee })
}

fn negative(from: Value<'_>, positive: Option<Filter>) -> Option<ReadBranch> {
    let mut fields = from.fields()?;
    // Where the positive filter is at fault already, a missing one is not a second fault.
    let read = output(&mut fields, false, Some(positive.unwrap_or(Filter::None)));
    fields.finish();
    read
}

/// Voltage left on the capacitors.
pub(super) fn residual(value: Value<'_>) -> Option<Volts> {
    value.quantity(Volts(0.0)..=Volts(1e5))
}

/// Cold and hot resistance of an inrush limiter.
pub(super) fn limiter(from: Value<'_>) -> Option<(Ohms, Ohms)> {
    let mut fields = from.fields()?;
    let range = Ohms(0.0)..=Ohms(1e6);
    let cold = fields.required("cold", |value| value.quantity(range.clone()));
    let hot = fields.required("hot", |value| value.quantity(range.clone()));
    fields.finish();
    Some((cold?, hot?))
}

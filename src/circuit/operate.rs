//! A rail at one vertex of its box: the exact steady state at its thermal fixed point.
//!
//! Knows nothing of ratings or limits. Derivation: `DEVELOPERS.md`, "Thermal fixed points".

use std::f64::consts::SQRT_2;

use super::{
    corner::{End, Thermal, Vertex},
    doubled,
    figures::NoSteadyState,
    losses::Losses,
    operate_plant::{Own, PlantPoint, operate_plant, operate_plant_nominal},
    plant::{Plant, SectionPoint},
    reservoir::{self, Steady},
    share::Share,
    spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Topology, Winding},
    state::{Placed, State},
    supply::{Body, Supply},
    thermal::{FixedPoint, winding_temperature},
};
use crate::{
    physics::copper,
    quantity::{Amps, Celsius, Farads, Henries, Hertz, Ohms, Volts},
};

pub use super::thermal::{ROUNDS_MAX, RUNAWAY_C, TEMPERATURE_TOLERANCE_K, iron_loss};

/// A rail at one vertex.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Where.
    pub vertex: Vertex,
    /// The steady state itself, for harmonics and waveforms.
    pub state: State,
    /// Mains rms voltage, V.
    pub mains_v: f64,
    /// Mains frequency, Hz.
    pub frequency_hz: f64,
    /// Peak of the path's EMF, V.
    pub emf_peak_v: f64,
    /// Source resistance of the path, diodes excluded, Ω.
    pub source_ohm: f64,
    /// Threshold of one diode as it is, V.
    pub threshold_v: f64,
    /// Slope of one diode as it is, Ω.
    pub slope_ohm: f64,
    /// Capacitance of the bank, F.
    pub farad: f64,
    /// ESR of the bank, Ω.
    pub esr_ohm: f64,
    /// Current drawn from the reservoir, A.
    pub load_a: f64,
    /// Air around the parts, °C.
    pub air_c: f64,
    /// Reservoir voltage (behind a second section its output's, as in the next three) at the instant of turn-on, V: at or above the valley, and monotone in every element.
    pub turn_on_v: f64,
    /// Least reservoir voltage, V.
    pub valley_v: f64,
    /// Greatest reservoir voltage, V.
    pub crest_v: f64,
    /// Mean reservoir voltage, V.
    pub mean_v: f64,
    /// Average current of one diode, A.
    pub diode_avg_a: f64,
    /// rms current of one diode, A.
    pub diode_rms_a: f64,
    /// Peak current of one diode, A.
    pub diode_peak_a: f64,
    /// rms current of the path: one winding, or one half, A.
    pub path_rms_a: f64,
    /// rms primary current from the load, mean removed, iron and magnetising current excluded, A.
    pub primary_load_rms_a: f64,
    /// rms ripple current of the bank, A.
    pub bank_rms_a: f64,
    /// What a choke or a second section carries.
    pub section: Option<SectionPoint>,
    /// Conduction angle of one diode, degrees of the mains.
    pub conduction_deg: f64,
    /// Winding temperature, °C.
    pub winding_c: f64,
    /// Junction temperature of the rectifier, °C.
    pub junction_c: f64,
    /// Copper loss of all windings, W.
    pub copper_w: f64,
    /// Core loss, W.
    pub iron_w: f64,
    /// Loss of all diodes, W.
    pub diode_w: f64,
    /// Loss in the ESR of the bank, and of a second one, W.
    pub bank_w: f64,
    /// Whether the temperatures came to rest; otherwise thermal runaway.
    pub settled: bool,
}

impl OperatingPoint {
    /// Loss in the resistance of a choke or a section's resistor, W.
    pub fn section_w(&self) -> f64 {
        self.section.map_or(0.0, |one| one.ohm * one.rms_a.powi(2))
    }
}

/// Rail `supply` at `vertex`.
///
/// In closed form where there is one; rails beside others, and pulses that ring apart or meet, by the general engine. Where
/// the vertex does not say, the other rail of a shared transformer stands at its greatest load.
/// A peak that lasts too short to heat in full is solved with the windings and junctions as warm as the profile makes them.
pub fn operate(supply: &Supply, vertex: Vertex) -> Result<OperatingPoint, NoSteadyState> {
    let others = vertex.others.unwrap_or(End::High);
    let vertex = Vertex { others: (!supply.beside.is_empty()).then_some(others), ..vertex };
    if in_closed_form(supply)
        && let Some(found) = closed(supply, vertex)
    {
        return found;
    }
    only(operate_plant(&Plant::of(supply), Own { rail: 0, outlet: 0 }, vertex, others)?)
}

/// The closed form; `None` where the circuit has none.
fn closed(supply: &Supply, vertex: Vertex) -> Option<Result<OperatingPoint, NoSteadyState>> {
    let mains_v = vertex.mains.of(supply.mains_v.low, supply.mains_v.high);
    let frequency_hz = vertex.frequency.of(supply.frequency_hz.low, supply.frequency_hz.high);
    let tolerance = vertex.emf.of(1.0 - supply.source.emf_tolerance, 1.0 + supply.source.emf_tolerance);
    let peak_factor = vertex.mains.of(supply.peak_factor, 1.0);
    let cold = vertex.thermal == Thermal::Cold;
    let load_a = vertex.load.of(supply.load_a.low, supply.load_a.high);
    let others = vertex.others.unwrap_or(End::High);
    let inputs = Inputs {
        vertex,
        mains_v,
        frequency_hz,
        emf_peak_v: SQRT_2 * supply.source.emf_rms_v * mains_v / supply.mains_v.nominal
            * tolerance
            * peak_factor,
        farad: vertex.capacitance.of(supply.bank.farad.low, supply.bank.farad.high)
            * if cold { supply.bank.farad_cold_ratio } else { 1.0 },
        esr_ohm: vertex.esr.of(supply.bank.esr_ohm.low, supply.bank.esr_ohm.high)
            * if cold { supply.bank.esr_cold_ratio } else { 1.0 },
        load_a,
        beside: Share::of(supply, load_a, |drawn| others.of(drawn.low, drawn.high)),
        air_c: if cold { supply.air.cold_c } else { supply.air.hot_c },
        drop_factor: vertex.drop.of(supply.rectifier.drop_low_factor, 1.0),
        leakage_h: vertex.leakage.of(0.0, supply.source.leakage_h),
        heated: !cold,
        held_c: None,
    };
    if cold || vertex.load == End::Low || !supply.load_a.peaks() {
        return settle(supply, &inputs).transpose();
    }
    let at = |body| settle(supply, &Inputs { load_a: supply.load_a.high_of(body), ..inputs });
    let whole = || {
        let (Some(heavy), Some(light)) = (at(Body::Heavy)?, at(Body::Light)?) else { return Ok(None) };
        let held_c = Some((heavy.winding_c, light.junction_c));
        let settled = heavy.settled && light.settled;
        let peak = settle(supply, &Inputs { held_c, ..inputs })?;
        Ok(peak.map(|point| OperatingPoint { settled, ..point }))
    };
    whole().transpose()
}

/// Rail `supply` with everything nominal at greatest load, warmed up: where losses are compared.
pub fn operate_nominal(supply: &Supply) -> Result<OperatingPoint, NoSteadyState> {
    if !in_closed_form(supply) {
        return only(operate_plant_nominal(&Plant::of(supply))?);
    }
    let inputs = Inputs {
        vertex: Vertex::NOMINAL,
        mains_v: supply.mains_v.nominal,
        frequency_hz: supply.frequency_hz.nominal,
        emf_peak_v: SQRT_2 * supply.source.emf_rms_v,
        farad: supply.bank.farad.nominal,
        esr_ohm: supply.bank.esr_ohm.nominal,
        load_a: supply.load_a.nominal,
        beside: Share::of(supply, supply.load_a.nominal, |drawn| drawn.nominal),
        air_c: supply.air.nominal_c,
        drop_factor: 1.0,
        leakage_h: supply.source.leakage_h,
        heated: true,
        held_c: None,
    };
    match settle(supply, &inputs)? {
        Some(point) => Ok(point),
        None => only(operate_plant_nominal(&Plant::of(supply))?),
    }
}

/// Whether the closed form can solve a rail at all: alone, or beside one alike, with a single bank.
pub fn in_closed_form(supply: &Supply) -> bool {
    if supply.section.is_some() {
        return false;
    }
    let alone = supply.beside.is_empty();
    match supply.topology {
        Topology::HalfWave | Topology::CentreTap | Topology::FullWaveDoubler => alone,
        Topology::Bridge => supply.beside.iter().all(|one| one.parts.is_none()),
        Topology::DualComplementary => !alone && supply.beside.iter().all(|one| one.parts.is_none()),
        Topology::HalfWaveDoubler => false,
    }
}

/// The only output of a plant made of one rail.
fn only(found: PlantPoint) -> Result<OperatingPoint, NoSteadyState> {
    found.points.into_iter().next().ok_or(NoSteadyState::NotACircuit { why: "a rail without an output" })
}

/// Definite inputs of one point.
#[derive(Clone, Copy)]
struct Inputs {
    vertex: Vertex,
    mains_v: f64,
    frequency_hz: f64,
    emf_peak_v: f64,
    farad: f64,
    esr_ohm: f64,
    load_a: f64,
    /// Loads of the alike rails on the same transformer over the rail's own.
    beside: Share,
    air_c: f64,
    drop_factor: f64,
    leakage_h: f64,
    heated: bool,
    /// Temperatures of winding and junction that do not follow from this load, °C.
    held_c: Option<(f64, f64)>,
}

/// Definite electrical inputs at given temperatures.
pub(super) struct Electrical {
    pub(super) secondary_ohm: f64,
    pub(super) primary_ohm: f64,
    source_ohm: f64,
    pub(super) threshold_v: f64,
    pub(super) slope_ohm: f64,
}

/// Iterates winding and junction temperature until both rest; `None` where a round has no closed form.
fn settle(supply: &Supply, inputs: &Inputs) -> Result<Option<OperatingPoint>, NoSteadyState> {
    let iron_w = iron_loss(&supply.source, inputs.mains_v, inputs.frequency_hz);
    let (winding_c, junction_c) = inputs.held_c.unwrap_or((inputs.air_c, inputs.air_c));
    let mut winding = FixedPoint::starting_at(winding_c);
    let mut junction = FixedPoint::starting_at(junction_c);
    let heated = inputs.heated && inputs.held_c.is_none();
    if heated {
        // A start near the usual rest point saves a round or two; it does not move the fixed point.
        winding.value += 0.6 * supply.source.rated_rise_k;
        junction.value += 30.0;
    }
    let mut round = 0;
    loop {
        let electrical = Electrical::at(supply, inputs, winding.value, junction.value);
        let Some((steady, spec)) = solve(supply, inputs, &electrical)? else { return Ok(None) };
        let currents = reservoir::diode_currents(&steady);
        let losses = Losses::of(supply, &electrical, currents.avg_a, currents.rms_a, inputs.beside);
        let mut settled = true;
        let (mut winding_c, mut junction_c) = (winding.value, junction.value);
        if heated {
            winding_c = winding_temperature(&supply.source, losses.copper_w + iron_w, inputs.air_c);
            let packages =
                f64::from(diodes(supply.topology)) / f64::from(supply.rectifier.elements_per_package);
            junction_c = supply.rectifier.path.junction_c(losses.diode_w / packages, inputs.air_c);
            let moved = winding.moved(winding_c).max(junction.moved(junction_c));
            round += 1;
            let away = !(winding_c < RUNAWAY_C && junction_c < RUNAWAY_C);
            settled = moved <= TEMPERATURE_TOLERANCE_K;
            if !settled && !away && round < ROUNDS_MAX {
                winding.follow(winding_c);
                junction.follow(junction_c);
                continue;
            }
        }
        let mut drawn = reservoir::measures_with(&steady, &currents);
        let mut state = State::Closed(steady);
        if supply.topology == Topology::FullWaveDoubler {
            let sum = doubled::sum(&steady);
            drawn.mean_v *= 2.0;
            (drawn.valley_v, drawn.crest_v, drawn.turn_on_v) = (sum.valley, sum.crest, sum.turn_on);
            let whole = Spec { topology: supply.topology, ..spec };
            state = State::Doubled(steady, Placed::alone(whole));
        }
        return Ok(Some(OperatingPoint {
            vertex: inputs.vertex,
            state,
            mains_v: inputs.mains_v,
            frequency_hz: inputs.frequency_hz,
            emf_peak_v: inputs.emf_peak_v,
            source_ohm: electrical.source_ohm,
            threshold_v: electrical.threshold_v,
            slope_ohm: electrical.slope_ohm,
            farad: inputs.farad,
            esr_ohm: inputs.esr_ohm,
            load_a: inputs.load_a,
            air_c: inputs.air_c,
            turn_on_v: drawn.turn_on_v,
            valley_v: drawn.valley_v,
            crest_v: drawn.crest_v,
            mean_v: drawn.mean_v,
            diode_avg_a: drawn.diode_avg_a,
            diode_rms_a: drawn.diode_rms_a,
            diode_peak_a: drawn.diode_peak_a,
            path_rms_a: losses.path_rms_a,
            primary_load_rms_a: losses.primary_path_rms_a * supply.source.primary_per_path,
            bank_rms_a: losses.bank_rms_a,
            section: None,
            conduction_deg: drawn.conduction_deg,
            winding_c,
            junction_c,
            copper_w: losses.copper_w,
            iron_w,
            diode_w: losses.diode_w,
            bank_w: supply.stack() * inputs.esr_ohm * losses.bank_rms_a * losses.bank_rms_a,
            settled,
        }));
    }
}

impl Electrical {
    fn at(supply: &Supply, inputs: &Inputs, winding_c: f64, junction_c: f64) -> Self {
        let source = &supply.source;
        let copper = copper::factor(Celsius(winding_c));
        let secondary_ohm = source.secondary_20_ohm * copper;
        let primary_ohm = source.primary_20_ohm * copper;
        let line = supply.rectifier.line.at(Celsius(junction_c));
        Self {
            secondary_ohm,
            primary_ohm,
            // The pulses of a rail alike beside this one drop as much again, in proportion, in what both share.
            source_ohm: secondary_ohm + (primary_ohm + source.mains_ohm) * (1.0 + inputs.beside.sum),
            threshold_v: line.threshold.0 * inputs.drop_factor,
            slope_ohm: line.slope.0,
        }
    }
}

/// The exact steady state of the path; `None` where it has no closed form.
fn solve(
    supply: &Supply,
    inputs: &Inputs,
    electrical: &Electrical,
) -> Result<Option<(Steady, Spec)>, NoSteadyState> {
    let spec = Spec {
        // Each side of a ± pair is a tapped winding with a diode to each half.
        topology: match supply.topology {
            Topology::DualComplementary => Topology::CentreTap,
            Topology::FullWaveDoubler => Topology::HalfWave,
            other => other,
        },
        winding: Winding {
            emf_peak: Volts(inputs.emf_peak_v),
            frequency: Hertz(inputs.frequency_hz),
            resistance: Ohms(electrical.source_ohm),
            common_resistance: Ohms(0.0),
            leakage: Henries(inputs.leakage_h),
        },
        diode: Diode { threshold: Volts(electrical.threshold_v), slope: Ohms(electrical.slope_ohm) },
        output: Branch {
            filter: Filter::Reservoir(Capacitor {
                capacitance: Farads(inputs.farad),
                esr: Ohms(inputs.esr_ohm),
            }),
            load: Load::Current(Amps(inputs.load_a)),
        },
        negative: None,
    };
    let doubler = supply.topology == Topology::FullWaveDoubler;
    match reservoir::steady(&spec) {
        Ok(steady) if doubler && !doubled::apart(&steady) => Ok(None),
        Ok(steady) => Ok(Some((steady, spec))),
        // A capacitor of two may stand at nothing while both together do not.
        Err(_) if doubler => Ok(None),
        Err(unsolved) => unsolved.verdict().map_or(Ok(None), Err),
    }
}

/// Diodes of a topology.
pub fn diodes(topology: Topology) -> u32 {
    match topology {
        Topology::HalfWave => 1,
        Topology::CentreTap | Topology::FullWaveDoubler | Topology::HalfWaveDoubler => 2,
        Topology::Bridge | Topology::DualComplementary => 4,
    }
}

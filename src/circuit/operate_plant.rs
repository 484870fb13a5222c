//! A core with all it feeds at one vertex of its box: the exact steady state at its thermal fixed point.
//!
//! The windings share one temperature, each rectifier has its own. Knows nothing of ratings or limits.

use std::{f64::consts::SQRT_2, sync::Arc};

use super::{
    corner::{End, Thermal, Vertex},
    figures::{Figures, NoSteadyState, OutputFigures},
    general::{
        Heating,
        core::{self, Core, CoreSteady},
    },
    operate::{OperatingPoint, diodes},
    plant::{Ends, Plant, PlantRail, SectionPoint, Shape},
    spec::{Diode, Spec, Topology, Winding},
    state::{Placed, State},
    supply::{Span, stack},
    thermal::{FixedPoint, ROUNDS_MAX, RUNAWAY_C, TEMPERATURE_TOLERANCE_K, iron_loss, winding_temperature},
};
use crate::{
    physics::copper,
    quantity::{Celsius, Henries, Hertz, Ohms, Volts},
};

/// Share of its greatest load from which an output counts as idle.
const NEAR_SHARE: f64 = 1e-3;

/// Which output of a plant is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Own {
    /// Rail.
    pub rail: usize,
    /// 0, or 1 for the negative output of a ± pair.
    pub outlet: usize,
}

/// A plant at a vertex.
#[derive(Clone, Debug, PartialEq)]
pub struct PlantPoint {
    /// Every output, rail by rail, positive before negative. `primary_load_rms_a`, `copper_w`, `iron_w` and `winding_c` are
    /// those of the whole transformer, `diode_w` and `junction_c` those of the rail.
    pub points: Vec<OperatingPoint>,
}

/// The plant at `vertex`: the output `own` at the vertex's load, all others at `others`.
pub fn operate_plant(
    plant: &Plant,
    own: Own,
    vertex: Vertex,
    others: End,
) -> Result<PlantPoint, NoSteadyState> {
    let cold = vertex.thermal == Thermal::Cold;
    let ends = Ends {
        capacitance: vertex.capacitance.of(|span: Span| span.low, |span: Span| span.high),
        esr: vertex.esr.of(|span: Span| span.low, |span: Span| span.high),
        series: vertex.drop.of(|span: Span| span.low, |span: Span| span.high),
        cold,
        air_c: if cold { plant.air.cold_c } else { plant.air.hot_c },
    };
    let mut loads = Vec::new();
    for (rail, one) in plant.rails.iter().enumerate() {
        for (outlet, two) in one.outlets.iter().enumerate() {
            let end = if own == (Own { rail, outlet }) { vertex.load } else { others };
            loads.push(end.of(two.least_a(), two.load_a.high));
        }
    }
    let inputs = Inputs {
        vertex,
        mains_v: vertex.mains.of(plant.mains_v.low, plant.mains_v.high),
        frequency_hz: vertex.frequency.of(plant.frequency_hz.low, plant.frequency_hz.high),
        peak_factor: vertex.mains.of(plant.peak_factor, 1.0),
        emf: Some(vertex.emf),
        drop: Some(vertex.drop),
        leakage: vertex.leakage,
        ends,
        loads,
        air_c: if cold { plant.air.cold_c } else { plant.air.hot_c },
        heated: !cold,
    };
    settle(plant, &inputs)
}

/// The plant with everything nominal at greatest load, warmed up.
pub fn operate_plant_nominal(plant: &Plant) -> Result<PlantPoint, NoSteadyState> {
    let nominal: fn(Span) -> f64 = |span| span.nominal;
    let inputs = Inputs {
        vertex: Vertex::NOMINAL,
        mains_v: plant.mains_v.nominal,
        frequency_hz: plant.frequency_hz.nominal,
        peak_factor: 1.0,
        emf: None,
        drop: None,
        leakage: End::High,
        ends: Ends {
            capacitance: nominal,
            esr: nominal,
            series: nominal,
            cold: false,
            air_c: plant.air.nominal_c,
        },
        loads: plant
            .rails
            .iter()
            .flat_map(|rail| &rail.outlets)
            .map(|outlet| outlet.load_a.nominal)
            .collect(),
        air_c: plant.air.nominal_c,
        heated: true,
    };
    settle(plant, &inputs)
}

/// Definite inputs of one point.
struct Inputs {
    vertex: Vertex,
    mains_v: f64,
    frequency_hz: f64,
    peak_factor: f64,
    /// End of the EMF's tolerance; nominal without.
    emf: Option<End>,
    /// End of the diodes' threshold; the catalog's without.
    drop: Option<End>,
    leakage: End,
    ends: Ends,
    loads: Vec<f64>,
    air_c: f64,
    heated: bool,
}

impl Inputs {
    /// What the second section carries.
    fn section(&self, shape: &Shape, out: &OutputFigures, load_a: f64) -> Option<SectionPoint> {
        let second_rms_a = out.c2_ripple_current_rms_a;
        let reservoir_v = out.reservoir_min_v.zip(out.reservoir_max_v).map(|(low, high)| [low, high]);
        match shape {
            Shape::Reservoir(_) => None,
            // What the load does not draw flows through the second bank.
            Shape::Crc(_, ohm, _) => Some(SectionPoint {
                rms_a: load_a.hypot(second_rms_a?),
                ohm: (self.ends.series)(*ohm),
                choke_a: None,
                reservoir_v,
                second_rms_a,
            }),
            Shape::Clc(_, choke, _) | Shape::ChokeInput(choke, _) => {
                let least_a = if out.choke_continuous == Some(true) { out.choke_min_a? } else { 0.0 };
                Some(SectionPoint {
                    rms_a: out.choke_rms_a?,
                    ohm: self.ends.choke_ohm(choke, load_a),
                    choke_a: Some([least_a, out.choke_max_a?]),
                    reservoir_v,
                    second_rms_a: second_rms_a.filter(|_| out.c1_ripple_current_rms_a.is_some()),
                })
            }
        }
    }

    /// Whether a point of other temperatures is a good place to begin at: from above an idle rail nothing conducts, and nothing
    /// tells the way down.
    fn begins_near(&self, plant: &Plant) -> bool {
        let outlets = plant.rails.iter().flat_map(|rail| &rail.outlets);
        self.loads.iter().zip(outlets).all(|(&amps, outlet)| amps > NEAR_SHARE * outlet.load_a.high)
    }
}

/// The core at given temperatures.
fn core_at(plant: &Plant, inputs: &Inputs, winding_c: f64, junctions: &[FixedPoint]) -> Core {
    let copper = copper::factor(Celsius(winding_c));
    let mut loads = inputs.loads.iter().copied();
    let rails = plant
        .rails
        .iter()
        .zip(junctions)
        .map(|(rail, junction)| {
            let source = &rail.source;
            let tolerance =
                inputs.emf.map_or(1.0, |end| end.of(1.0 - source.emf_tolerance, 1.0 + source.emf_tolerance));
            let emf_peak = SQRT_2 * source.emf_rms_v * inputs.mains_v / plant.mains_v.nominal
                * tolerance
                * inputs.peak_factor;
            let line = rail.rectifier.line.at(Celsius(junction.value));
            let factor = inputs.drop.map_or(1.0, |end| end.of(rail.rectifier.drop_low_factor, 1.0));
            let mut branches =
                rail.outlets.iter().map(|outlet| outlet.branch(&inputs.ends, loads.next().unwrap_or(0.0)));
            let nothing = super::spec::Branch {
                filter: super::spec::Filter::None,
                load: super::spec::Load::Resistance(Ohms(1.0)),
            };
            Spec {
                topology: rail.topology,
                winding: Winding {
                    emf_peak: Volts(emf_peak),
                    frequency: Hertz(inputs.frequency_hz),
                    resistance: Ohms(source.secondary_20_ohm * copper),
                    common_resistance: Ohms(0.0),
                    leakage: Henries(inputs.leakage.of(0.0, source.leakage_h)),
                },
                diode: Diode { threshold: line.threshold * factor, slope: line.slope },
                output: branches.next().unwrap_or(nothing),
                negative: branches.next(),
            }
        })
        .collect();
    let shared =
        plant.rails.first().map_or(0.0, |rail| rail.source.primary_20_ohm * copper + rail.source.mains_ohm);
    Core { rails, primary_resistance: Ohms(shared) }
}

/// What heats the parts.
struct Losses {
    copper_w: f64,
    diode_w: Vec<f64>,
}

impl Losses {
    fn of(plant: &Plant, core: &Core, heating: &Heating) -> Self {
        let primary_rms_a = heating.primary_rms_a;
        let mains_ohm = plant.rails.first().map_or(0.0, |rail| rail.source.mains_ohm);
        let mut copper_w = (core.primary_resistance.0 - mains_ohm) * primary_rms_a * primary_rms_a;
        let mut diode_w = Vec::new();
        for (spec, found) in core.rails.iter().zip(&heating.rails) {
            let halves = match spec.topology {
                Topology::CentreTap | Topology::DualComplementary => 2.0,
                _ => 1.0,
            };
            copper_w += halves * spec.winding.resistance.0 * found.winding_rms_a * found.winding_rms_a;
            let each = f64::from(diodes(spec.topology)) / if found.diode_a.len() > 1 { 2.0 } else { 1.0 };
            let of = |&(avg_a, rms_a): &(f64, f64)| {
                each * (spec.diode.threshold.0 * avg_a + spec.diode.slope.0 * rms_a.powi(2))
            };
            diode_w.push(found.diode_a.iter().map(of).sum());
        }
        Self { copper_w, diode_w }
    }
}

/// Iterates winding and junction temperatures until all rest.
fn settle(plant: &Plant, inputs: &Inputs) -> Result<PlantPoint, NoSteadyState> {
    let Some(first) = plant.rails.first() else {
        return Err(NoSteadyState::NotACircuit { why: "a core without a winding" });
    };
    let iron_w = iron_loss(&first.source, inputs.mains_v, inputs.frequency_hz);
    let (rise_w, rise_j) = if inputs.heated { (0.6 * first.source.rated_rise_k, 30.0) } else { (0.0, 0.0) };
    let mut winding = FixedPoint::starting_at(inputs.air_c + rise_w);
    let mut junctions: Vec<FixedPoint> =
        plant.rails.iter().map(|_| FixedPoint::starting_at(inputs.air_c + rise_j)).collect();
    let mut round = 0;
    let begins_near = inputs.begins_near(plant);
    let mut near: Option<CoreSteady> = None;
    loop {
        let core = core_at(plant, inputs, winding.value, &junctions);
        let steady = core::solve_near(&core, near.as_ref())?;
        let losses = Losses::of(plant, &core, &steady.heating());
        let mut temperatures = (winding.value, junctions.iter().map(|one| one.value).collect::<Vec<_>>());
        let mut settled = true;
        if inputs.heated {
            let winding_c = winding_temperature(&first.source, losses.copper_w + iron_w, inputs.air_c);
            let junction_c: Vec<f64> = plant
                .rails
                .iter()
                .zip(&losses.diode_w)
                .map(|(rail, watts)| {
                    let packages =
                        f64::from(diodes(rail.topology)) / f64::from(rail.rectifier.elements_per_package);
                    rail.rectifier.path.junction_c(watts / packages, inputs.air_c)
                })
                .collect();
            let moved = junctions
                .iter()
                .zip(&junction_c)
                .map(|(one, &to)| one.moved(to))
                .fold(winding.moved(winding_c), f64::max);
            let hottest = junction_c.iter().copied().fold(winding_c, f64::max);
            round += 1;
            settled = moved <= TEMPERATURE_TOLERANCE_K;
            if !settled && hottest < RUNAWAY_C && round < ROUNDS_MAX {
                winding.follow(winding_c);
                junctions.iter_mut().zip(&junction_c).for_each(|(one, &to)| one.follow(to));
                near = Some(steady).filter(|_| begins_near);
                continue;
            }
            temperatures = (winding_c, junction_c);
        }
        let known = Known { plant, inputs, losses, iron_w, temperatures, settled };
        return Ok(known.point(core, &steady, &steady.rails()));
    }
}

/// Everything known of a settled point.
struct Known<'a> {
    plant: &'a Plant,
    inputs: &'a Inputs,
    losses: Losses,
    iron_w: f64,
    temperatures: (f64, Vec<f64>),
    settled: bool,
}

impl Known<'_> {
    fn point(&self, core: Core, steady: &CoreSteady, figures: &[Figures]) -> PlantPoint {
        let core = Arc::new(core);
        // Voltages at the events: diodes start at the least of them.
        let events: Vec<_> = steady.waveform(2).into_iter().filter(|sample| sample.event).collect();
        let mut points = Vec::new();
        let mut output = 0;
        // The two banks of a half-wave doubler carry unlike currents.
        let uneven = self.plant.rails.iter().any(|rail| rail.topology == Topology::HalfWaveDoubler);
        let powers = uneven.then(|| steady.powers().rails);
        for (nth, (rail, found)) in self.plant.rails.iter().zip(figures).enumerate() {
            for (outlet, out) in std::iter::once(&found.output).chain(&found.negative).enumerate() {
                let turn_on_v = events
                    .iter()
                    .filter_map(|sample| sample.outputs.get(output))
                    .map(|one| one.load_v)
                    .fold(out.load_max_v, f64::min);
                let placed = Placed { core: Arc::clone(&core), rail: nth, negative: outlet == 1 };
                let bank_w = powers.as_ref().and_then(|all| all.get(nth)).map(|one| one.c1_w);
                points.push(self.outlet(
                    rail,
                    (found, out),
                    (nth, outlet, output),
                    (turn_on_v, bank_w),
                    placed,
                ));
                output += 1;
            }
        }
        PlantPoint { points }
    }

    fn outlet(
        &self,
        rail: &PlantRail,
        (found, out): (&Figures, &OutputFigures),
        (nth, outlet, output): (usize, usize, usize),
        (turn_on_v, uneven_w): (f64, Option<f64>),
        placed: Placed,
    ) -> OperatingPoint {
        let inputs = self.inputs;
        let spec = placed.core.rails.get(nth).copied();
        let emf_peak_v = spec.map_or(0.0, |spec| spec.winding.emf_peak.0);
        let diode = spec.map_or(Diode { threshold: Volts(0.0), slope: Ohms(0.0) }, |spec| spec.diode);
        let first = self.plant.rails.first().map(|rail| &rail.source);
        let copper = copper::factor(Celsius(self.temperatures.0));
        let shape = rail.outlets.get(outlet).map(|outlet| outlet.shape);
        let bank = shape.as_ref().map(Shape::first_bank);
        let (farad, esr_ohm) =
            bank.map_or((0.0, 0.0), |bank| (inputs.ends.farad(bank), inputs.ends.esr_ohm(bank)));
        let bank_rms_a = out.c1_ripple_current_rms_a.or(out.c2_ripple_current_rms_a).unwrap_or(0.0);
        let second = shape.as_ref().and_then(Shape::second_bank).zip(out.c2_ripple_current_rms_a);
        let second_w = second.map_or(0.0, |(bank, rms_a)| inputs.ends.esr_ohm(bank) * rms_a * rms_a);
        let source = &rail.source;
        let load_a = inputs.loads.get(output).copied().unwrap_or(0.0);
        OperatingPoint {
            vertex: inputs.vertex,
            state: State::General(placed),
            mains_v: inputs.mains_v,
            frequency_hz: inputs.frequency_hz,
            emf_peak_v,
            source_ohm: (source.secondary_20_ohm + source.primary_20_ohm) * copper + source.mains_ohm,
            threshold_v: diode.threshold.0,
            slope_ohm: diode.slope.0,
            farad,
            esr_ohm,
            load_a,
            air_c: inputs.air_c,
            turn_on_v,
            valley_v: out.load_min_v,
            crest_v: out.load_max_v,
            mean_v: out.load_mean_v,
            diode_avg_a: out.diode_avg_a,
            diode_rms_a: out.diode_rms_a,
            diode_peak_a: out.diode_peak_a,
            path_rms_a: found.winding_rms_a,
            primary_load_rms_a: found.primary_rms_a * first.map_or(1.0, |source| source.primary_per_path),
            bank_rms_a,
            section: shape.and_then(|shape| inputs.section(&shape, out, load_a)),
            conduction_deg: out.diode_conduction_deg,
            winding_c: self.temperatures.0,
            junction_c: self.temperatures.1.get(nth).copied().unwrap_or(inputs.air_c),
            copper_w: self.losses.copper_w,
            iron_w: self.iron_w,
            diode_w: self.losses.diode_w.get(nth).copied().unwrap_or(0.0),
            bank_w: uneven_w.unwrap_or(stack(rail.topology) * esr_ohm * bank_rms_a * bank_rms_a) + second_w,
            settled: self.settled,
        }
    }
}

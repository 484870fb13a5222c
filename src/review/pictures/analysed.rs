//! What figures of an analysis are drawn from: the circuit as its file states it, a mains period, switch-on.
//!
//! Knows no parts: designators are given here, in the order of the current's path.

use std::f64::consts::SQRT_2;

use super::{
    model::{
        Curves, Drawing, DrawnPart, DrawnRectifier, DrawnSide, DrawnWinding, HarmonicRow, RailPictures,
        Series, Waves,
    },
    switch_on::{self, Case},
};
use crate::{
    analysis::{
        Analysed, CircuitFile, CoreAnalysed, CoreFile,
        grid::{Grid, GridLimits},
        study::conditions,
    },
    circuit::{
        figures::Figures,
        general::Sample,
        reservoir::Harmonic,
        spec::{Branch, Capacitor, Filter, Load, Spec, Topology},
    },
    physics::grid::class_a_limit,
    quantity::{Ohms, Quantity as _, Volts},
    review::figure::{Figure, Unit},
};

/// Significant digits beside a symbol.
const DIGITS: usize = 4;
/// Share of the greatest diode current from which a diode is said to conduct.
const CONDUCTS: f64 = 1e-9;

/// Pictures of an analysis; waveforms where samples were asked for, switch-on where that was.
pub fn pictures(file: &CircuitFile, found: &Analysed) -> RailPictures {
    RailPictures {
        drawing: drawing(&file.spec, file.mains_rms, &found.study.figures, &mut Namer::default()),
        waves: waves(file, &found.waveform),
        switch_on: found.switched.as_ref().and_then(|switched| {
            let case = |name, ohms| Case {
                name,
                spec: file.spec,
                conditions: conditions(&file.spec, &file.switching, ohms),
                phase_rad: switched.bare.peak_phase_rad,
            };
            let cases = match file.switching.limiter {
                None => vec![case("", Ohms(0.0))],
                Some((cold, hot)) => {
                    vec![case("no limiter", Ohms(0.0)), case("limiter cold", cold), case("limiter hot", hot)]
                }
            };
            let words = format!(
                "Switched on at {:.1}° of the EMF, where the current without a limiter is greatest.",
                switched.bare.peak_phase_rad.to_degrees()
            );
            switch_on::curves(&cases, &words, Vec::new())
        }),
        harmonics: found
            .study
            .grid
            .as_ref()
            .map_or_else(Vec::new, |grid| harmonics(grid, &file.spec, file.mains_rms)),
        harmonics_limited: matches!(found.grid_limits, GridLimits::Compared(_)),
        ..RailPictures::default()
    }
}

/// Harmonics of the primary current: at the mains beside their limits, or at turns ratio 1 where no mains are stated.
fn harmonics(grid: &Grid, spec: &Spec, mains_rms: Option<Volts>) -> Vec<HarmonicRow> {
    let ratio = mains_rms.map_or(1.0, |mains| spec.winding.emf_peak.0 / SQRT_2 / mains.0);
    let row = |one: &Harmonic| {
        let limit = class_a_limit(one.order).filter(|_| mains_rms.is_some());
        Some(HarmonicRow {
            order: one.order,
            current_rms: Figure::new(one.rms_a() * ratio, Unit::Amps)?,
            limit_rms: limit.and_then(|limit| Figure::new(limit.0, Unit::Amps)),
        })
    };
    grid.harmonics.iter().filter_map(row).collect()
}

/// Harmonics of the current that the rails of a core share, as `harmonics` of one.
pub fn core_harmonics(file: &CoreFile, found: &CoreAnalysed) -> Vec<HarmonicRow> {
    file.rails.first().map_or_else(Vec::new, |first| harmonics(&found.grid, &first.spec, file.mains_rms))
}

/// Gives designators.
#[derive(Default)]
struct Namer {
    capacitors: u32,
    chokes: u32,
    resistors: u32,
    diodes: u32,
}

impl Namer {
    fn capacitor(&mut self, position: &str, part: Capacitor, count: u32) -> DrawnPart {
        let names = (0..count)
            .map(|_| {
                self.capacitors += 1;
                format!("C{}", self.capacitors)
            })
            .collect();
        let mut ratings = vec![part.capacitance.to_text(DIGITS)];
        if part.esr.0 > 0.0 {
            ratings.push(format!("ESR {}", part.esr.to_text(DIGITS)));
        }
        drawn(position, names, ratings)
    }

    fn resistor(&mut self, position: &str, ohms: Ohms) -> DrawnPart {
        self.resistors += 1;
        drawn(position, vec![format!("R{}", self.resistors)], vec![ohms.to_text(DIGITS)])
    }

    fn branch(&mut self, branch: &Branch, doubler: Option<Topology>) -> Vec<DrawnPart> {
        let mut parts = Vec::new();
        let mut first = |namer: &mut Self, part: Capacitor| match doubler {
            Some(Topology::HalfWaveDoubler) => {
                parts.push(namer.capacitor("coupling-capacitor", part, 1));
                parts.push(namer.capacitor("reservoir", part, 1));
            }
            Some(_) => parts.push(namer.capacitor("reservoir", part, 2)),
            None => parts.push(namer.capacitor("reservoir", part, 1)),
        };
        match branch.filter {
            Filter::None => {}
            Filter::Reservoir(part) => first(self, part),
            Filter::Crc(one, ohms, other) => {
                first(self, one);
                parts.push(self.resistor("section-resistor", ohms));
                parts.push(self.capacitor("section-capacitor", other, 1));
            }
            Filter::Clc(one, choke, other) => {
                first(self, one);
                parts.push(self.choke(choke.inductance.to_text(DIGITS), choke.resistance));
                parts.push(self.capacitor("section-capacitor", other, 1));
            }
            Filter::Lc(choke, part) => {
                parts.push(self.choke(choke.inductance.to_text(DIGITS), choke.resistance));
                parts.push(self.capacitor("section-capacitor", part, 1));
            }
            Filter::Rc(ohms, part) => {
                parts.push(self.resistor("section-resistor", ohms));
                parts.push(self.capacitor("section-capacitor", part, 1));
            }
        }
        let load = match branch.load {
            Load::Resistance(ohms) => ohms.to_text(DIGITS),
            Load::Current(amps) => format!("draws {}", amps.to_text(DIGITS)),
            Load::Power(watts) => format!("draws {}", watts.to_text(DIGITS)),
        };
        parts.push(drawn("load", vec![String::from("load")], vec![load]));
        parts
    }

    fn choke(&mut self, inductance: String, resistance: Ohms) -> DrawnPart {
        self.chokes += 1;
        let mut ratings = vec![inductance];
        if resistance.0 > 0.0 {
            ratings.push(resistance.to_text(DIGITS));
        }
        drawn("section-choke", vec![format!("L{}", self.chokes)], ratings)
    }
}

fn drawn(position: &str, designators: Vec<String>, ratings: Vec<String>) -> DrawnPart {
    let count = u32::try_from(designators.len()).unwrap_or(1);
    DrawnPart {
        position: position.to_owned(),
        designators,
        ratings,
        part: String::new(),
        count,
        polarised: false,
    }
}

/// One rail of a core.
pub fn core_pictures(file: &CoreFile, found: &CoreAnalysed) -> Vec<RailPictures> {
    let mut namer = Namer::default();
    file.rails
        .iter()
        .zip(&found.rails)
        .map(|(rail, figures)| RailPictures {
            rail: rail.name.clone(),
            drawing: drawing(&rail.spec, file.mains_rms, figures, &mut namer),
            ..RailPictures::default()
        })
        .collect()
}

/// Load voltages of all rails of a core over one mains period; `None` without samples.
pub fn core_voltages(file: &CoreFile, found: &CoreAnalysed) -> Option<Curves> {
    let turn = 360.0 * file.rails.first()?.spec.winding.frequency.0;
    let samples = &found.waveform;
    let mut names: Vec<(String, f64)> = Vec::new();
    for rail in &file.rails {
        names.push((rail.name.clone(), 1.0));
        if rail.spec.negative.is_some() {
            names.push((format!("{}, negative", rail.name), -1.0));
        }
    }
    let rows: Option<Vec<Series>> = names
        .iter()
        .enumerate()
        .map(|(index, (name, sign))| {
            let values: Option<Vec<f64>> =
                samples.iter().map(|sample| Some(sign * sample.outputs.get(index)?.load_v)).collect();
            Series::new(name, Unit::Volts, values?)
        })
        .collect();
    if samples.is_empty() {
        return None;
    }
    let over = samples.iter().map(|sample| sample.time_s * turn).collect();
    Some(Curves { over: Series::new("mains angle", Unit::Degrees, over)?, rows: rows? })
}

fn drawing(spec: &Spec, mains_rms: Option<Volts>, figures: &Figures, namer: &mut Namer) -> Drawing {
    let (rectifier, diodes) = match spec.topology {
        Topology::HalfWave => (DrawnRectifier::HalfWave, 1),
        Topology::CentreTap => (DrawnRectifier::CentreTap, 2),
        Topology::Bridge => (DrawnRectifier::Bridge, 4),
        Topology::FullWaveDoubler => (DrawnRectifier::FullWaveDoubler, 2),
        Topology::HalfWaveDoubler => (DrawnRectifier::HalfWaveDoubler, 2),
        Topology::DualComplementary => (DrawnRectifier::Dual, 4),
    };
    let tapped = matches!(spec.topology, Topology::CentreTap | Topology::DualComplementary);
    let doubler = matches!(spec.topology, Topology::FullWaveDoubler | Topology::HalfWaveDoubler);
    let volts = |value: f64| Figure::new(value, Unit::Volts);
    let emf = Volts(spec.winding.emf_peak.0 / std::f64::consts::SQRT_2);
    let half = if tapped { " a half" } else { "" };
    let mut winding = vec![format!("{} rms{half}", emf.to_text(DIGITS))];
    if spec.winding.resistance.0 > 0.0 {
        winding.push(format!("{}{half}", spec.winding.resistance.to_text(DIGITS)));
    }
    let mut diode = vec![spec.diode.threshold.to_text(DIGITS)];
    if spec.diode.slope.0 > 0.0 {
        diode.push(spec.diode.slope.to_text(DIGITS));
    }
    let first = namer.diodes + 1;
    namer.diodes += diodes;
    let mut parts = vec![
        drawn("transformer", vec![String::from("T1")], winding),
        drawn("rectifier", (first..first + diodes).map(|number| format!("D{number}")).collect(), diode),
    ];
    parts.extend(namer.branch(&spec.output, doubler.then_some(spec.topology)));
    let frequency = spec.winding.frequency.to_text(DIGITS);
    Drawing {
        rectifier,
        winding: if tapped { DrawnWinding::Tapped } else { DrawnWinding::Single },
        parts,
        mains: mains_rms
            .map_or_else(|| frequency.clone(), |mains| format!("{}, {frequency}", mains.to_text(DIGITS))),
        output: volts(figures.output.load_mean_v),
        ripple_pp: volts(figures.output.ripple_pp_v),
        negative_side: spec.negative.as_ref().map(|branch| DrawnSide {
            parts: namer.branch(branch, None),
            output: figures.negative.as_ref().and_then(|side| volts(side.load_mean_v)),
            ripple_pp: figures.negative.as_ref().and_then(|side| volts(side.ripple_pp_v)),
            ..DrawnSide::default()
        }),
        transformer_of: None,
        ..Drawing::default()
    }
}

/// One mains period; `None` without samples.
fn waves(file: &CircuitFile, samples: &[Sample]) -> Option<Waves> {
    let turn = 360.0 * file.spec.winding.frequency.0;
    let angles: Vec<f64> = samples.iter().map(|sample| sample.time_s * turn).collect();
    let over = || Series::new("mains angle", Unit::Degrees, angles.clone());
    let row = |name: &str, unit, of: &dyn Fn(&Sample) -> Option<f64>| {
        let values: Vec<f64> = samples.iter().filter_map(of).collect();
        if values.len() == samples.len() { Series::new(name, unit, values) } else { None }
    };
    let one_pulse = matches!(file.spec.topology, Topology::HalfWave | Topology::HalfWaveDoubler);
    let emf = |sample: &Sample| Some(if one_pulse { sample.emf_v } else { sample.emf_v.abs() });
    let output = |sample: &Sample| sample.outputs.first().copied();
    let mut voltages = vec![row(if one_pulse { "EMF" } else { "EMF, rectified" }, Unit::Volts, &emf)?];
    voltages.push(row("load", Unit::Volts, &|sample| Some(output(sample)?.load_v))?);
    let first = row("first capacitor", Unit::Volts, &|sample| output(sample)?.reservoir_v);
    if !matches!(file.spec.output.filter, Filter::Reservoir(_)) {
        voltages.extend(first);
    }
    voltages.extend(row("negative load", Unit::Volts, &|sample| Some(-sample.outputs.get(1)?.load_v)));
    let most = |sample: &Sample| sample.diode_a.iter().copied().fold(0.0, f64::max);
    let mut currents = vec![row("conducting diode", Unit::Amps, &|sample| Some(most(sample)))?];
    currents.extend(row("first capacitor", Unit::Amps, &|sample| output(sample)?.c1_a));
    currents.extend(row("second capacitor", Unit::Amps, &|sample| output(sample)?.c2_a));
    currents.extend(row("choke", Unit::Amps, &|sample| output(sample)?.choke_a));
    let peak = samples.iter().map(most).fold(0.0, f64::max);
    let mut conducts: Vec<(f64, f64)> = Vec::new();
    for (pair, angle) in samples.windows(2).zip(angles.windows(2)) {
        let ([one, other], [from, to]) = (pair, angle) else { continue };
        if most(one).max(most(other)) <= CONDUCTS * peak || to <= from {
            continue;
        }
        match conducts.last_mut() {
            Some(last) if (last.1 - from).abs() < 1e-9 => last.1 = *to,
            _ => conducts.push((*from, *to)),
        }
    }
    Some(Waves {
        voltages: Curves { over: over()?, rows: voltages },
        currents: Curves { over: over()?, rows: currents },
        conducts,
    })
}

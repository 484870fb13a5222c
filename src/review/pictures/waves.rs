//! One mains period of a rail at nominal mains and full load, drawn in even steps with the exact events.

use super::model::{Curves, Series, Waves};
use crate::{
    circuit::{
        reservoir::{Steady, events, sample},
        spec::Topology,
        state::State,
    },
    review::{figure::Unit, recompute::RailReview},
};

/// Steps of a period: 3° each, a tenth of a usual conduction angle.
const STEPS: u32 = 120;

/// What is drawn of the circuit at one angle.
struct Drawn {
    angle_deg: f64,
    load_v: f64,
    rectifier_a: f64,
    capacitor_a: f64,
}

/// Samples and the angles between which a diode conducts.
type Period = (Vec<Drawn>, Vec<(f64, f64)>);

/// Even steps and the exact events of the closed form.
fn closed(steady: &Steady, full_wave: bool) -> Period {
    let (on, off) = events(steady);
    let (on_deg, off_deg) = (on.to_degrees(), off.to_degrees());
    let conducts: Vec<(f64, f64)> = if full_wave {
        vec![(on_deg, off_deg), (on_deg + 180.0, off_deg + 180.0)]
    } else {
        vec![(on_deg, off_deg)]
    };
    let mut angles: Vec<f64> = (0..=STEPS).map(|step| f64::from(step) * 360.0 / f64::from(STEPS)).collect();
    angles.extend(conducts.iter().flat_map(|&(on, off)| [on, off]).filter(|at| (0.0..=360.0).contains(at)));
    angles.sort_by(f64::total_cmp);
    let drawn = |at: f64| {
        let one = sample(steady, at.to_radians());
        let (load_v, rectifier_a, capacitor_a) = (one.load_v, one.rectifier_a, one.capacitor_a);
        Drawn { angle_deg: at, load_v, rectifier_a, capacitor_a }
    };
    (angles.into_iter().map(drawn).collect(), conducts)
}

/// The same of the general engine; the current of all diodes together.
fn general(state: &State, frequency_hz: f64) -> Period {
    let samples = state.waveform(STEPS + 1);
    let mut conducts: Vec<(f64, f64)> = Vec::new();
    let drawn = samples
        .iter()
        .map(|one| {
            let out = one.outputs.first().copied().unwrap_or_default();
            Drawn {
                angle_deg: 360.0 * frequency_hz * one.time_s,
                load_v: out.load_v,
                rectifier_a: one.diode_a.iter().sum(),
                capacitor_a: out.c1_a.or(out.c2_a).unwrap_or(0.0),
            }
        })
        .collect::<Vec<_>>();
    let carries = |at: usize| samples.get(at).is_some_and(|one| one.diode_a.iter().any(|amps| *amps > 1e-9));
    for (at, pair) in drawn.windows(2).enumerate() {
        let [from, to] = pair else { continue };
        if !(carries(at) || carries(at + 1)) || to.angle_deg <= from.angle_deg {
            continue;
        }
        match conducts.last_mut() {
            Some(last) if (from.angle_deg - last.1).abs() < 1e-9 => last.1 = to.angle_deg,
            _ => conducts.push((from.angle_deg, to.angle_deg)),
        }
    }
    (drawn, conducts)
}

/// Waveforms; `None` where nominal has no steady state.
pub(super) fn waves(rail: &RailReview<'_>) -> Option<Waves> {
    let point = rail.nominal.as_ref()?;
    let full_wave = rail.bench.assembly.topology != Topology::HalfWave;
    let (instants, conducts) = match point.state.closed() {
        Some(steady) => closed(steady, full_wave),
        None => general(&point.state, point.frequency_hz),
    };
    let angles: Vec<f64> = instants.iter().map(|one| one.angle_deg).collect();
    let emf = |at: &f64| {
        let emf_v = point.emf_peak_v * at.to_radians().sin();
        if full_wave { emf_v.abs() } else { emf_v }
    };
    let over = || Series::new("mains angle", Unit::Degrees, angles.clone());
    let bank = if rail.bench.supply.second_bank().is_some() { "second bank" } else { "reservoir" };
    let mut voltages = vec![
        Series::new("EMF of the conducting path", Unit::Volts, angles.iter().map(emf).collect())?,
        Series::new(bank, Unit::Volts, instants.iter().map(|one| one.load_v).collect())?,
    ];
    if let Some(output) = &rail.bench.output {
        voltages.push(Series::new("output, nominal", Unit::Volts, vec![output.set_v; angles.len()])?);
    }
    let currents = vec![
        Series::new("rectifier", Unit::Amps, instants.iter().map(|one| one.rectifier_a).collect())?,
        Series::new("reservoir capacitor", Unit::Amps, instants.iter().map(|one| one.capacitor_a).collect())?,
    ];
    Some(Waves {
        voltages: Curves { over: over()?, rows: voltages },
        currents: Curves { over: over()?, rows: currents },
        conducts,
    })
}

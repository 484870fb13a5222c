//! One mains period of a rail at nominal mains and full load, drawn from the closed form: even steps and the exact events.

use super::model::{Curves, Series, Waves};
use crate::{
    circuit::{
        reservoir::{events, sample},
        spec::Topology,
    },
    review::{figure::Unit, recompute::RailReview},
};

/// Steps of a period: 3° each, a tenth of a usual conduction angle.
const STEPS: u32 = 120;

/// Waveforms; `None` where nominal has no steady state.
pub(super) fn waves(rail: &RailReview<'_>) -> Option<Waves> {
    let point = rail.nominal.as_ref()?;
    let full_wave = rail.bench.assembly.topology != Topology::HalfWave;
    let (on, off) = events(&point.steady);
    let (on_deg, off_deg) = (on.to_degrees(), off.to_degrees());
    let conducts: Vec<(f64, f64)> = if full_wave {
        vec![(on_deg, off_deg), (on_deg + 180.0, off_deg + 180.0)]
    } else {
        vec![(on_deg, off_deg)]
    };
    let mut angles: Vec<f64> = (0..=STEPS).map(|step| f64::from(step) * 360.0 / f64::from(STEPS)).collect();
    angles.extend(conducts.iter().flat_map(|&(on, off)| [on, off]).filter(|at| (0.0..=360.0).contains(at)));
    angles.sort_by(f64::total_cmp);
    let instants: Vec<_> = angles.iter().map(|at| sample(&point.steady, at.to_radians())).collect();
    let emf = |at: &f64| {
        let emf_v = point.emf_peak_v * at.to_radians().sin();
        if full_wave { emf_v.abs() } else { emf_v }
    };
    let over = || Series::new("mains angle", Unit::Degrees, angles.clone());
    let mut voltages = vec![
        Series::new("EMF of the conducting path", Unit::Volts, angles.iter().map(emf).collect())?,
        Series::new("reservoir", Unit::Volts, instants.iter().map(|one| one.load_v).collect())?,
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

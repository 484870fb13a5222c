//! The raw voltage from the lowest to the highest mains, with what the regulator needs and is limited to.
//!
//! The ends of the box that are worst at lowest mains (valley) and at highest (crest) are kept while the mains moves.

use super::model::{Curves, Level, Series, Window};
use crate::{
    circuit::{corner::End, operate::operate},
    review::{
        figure::{Figure, Unit},
        recompute::RailReview,
    },
    stress::{bench::no_load_peak_v, regulator_point::RegulatorStage, verdict::Verdict},
};

/// Steps from the lowest to the highest mains.
const STEPS: u32 = 12;

/// The window; `None` where a step has no steady state.
pub(super) fn window(rail: &RailReview<'_>) -> Option<Window> {
    let bench = &rail.bench;
    let mains = bench.supply.mains_v;
    let valley_at = bench
        .points
        .iter()
        .filter(|point| point.vertex.mains == End::Low)
        .reduce(|least, point| if point.valley_v < least.valley_v { point } else { least })?;
    let crest_at = bench
        .points
        .iter()
        .filter(|point| point.vertex.mains == End::High && point.vertex.load == End::High)
        .reduce(|most, point| if point.crest_v > most.crest_v { point } else { most })?;
    let (mut over, mut valleys, mut crests, mut idle) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for step in 0..=STEPS {
        let volts = mains.low + (mains.high - mains.low) * f64::from(step) / f64::from(STEPS);
        let mut supply = bench.supply;
        supply.mains_v.low = volts;
        supply.mains_v.high = volts;
        over.push(volts);
        valleys.push(operate(&supply, valley_at.vertex).ok()?.valley_v);
        crests.push(operate(&supply, crest_at.vertex).ok()?.crest_v);
        idle.push(no_load_peak_v(&supply.source, supply.mains_v));
    }
    let curves = Curves {
        over: Series::new("mains, rms", Unit::Volts, over)?,
        rows: vec![
            Series::new("least valley, full load", Unit::Volts, valleys)?,
            Series::new("greatest crest, full load", Unit::Volts, crests)?,
            Series::new("peak without load", Unit::Volts, idle)?,
        ],
    };
    let mut levels = Vec::new();
    let mut level = |name: &str, volts: f64| {
        levels.extend(Figure::new(volts, Unit::Volts).map(|at| Level { name: name.to_owned(), at }));
    };
    if let Some(Ok(stage)) = RegulatorStage::of(bench) {
        let path = stage.heat_path(bench).ok();
        if let Some(drop_out) = stage.drop_out(path.as_ref(), valley_at) {
            level("needed: output at its high end and drop-out", stage.output.high_v + drop_out.volts);
        }
    }
    for (code, name) in [
        ("regulator-input-voltage", "limit of the regulator's input"),
        ("reservoir-voltage", "limit of the reservoir"),
    ] {
        let limit = rail.verdicts.iter().find_map(|verdict| match verdict {
            Verdict::Stress(stress) if stress.code == code => Some(stress.limit),
            _ => None,
        });
        if let Some(limit) = limit {
            level(name, limit);
        }
    }
    Some(Window { curves, levels })
}

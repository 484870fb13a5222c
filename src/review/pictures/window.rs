//! The raw voltage from the lowest to the highest mains, with what the regulator needs and is limited to.
//!
//! The ends of the box that are worst at lowest mains (valley) and at highest (crest) are kept while the mains moves.

use super::model::{Curves, Level, Series, Window};
use crate::{
    circuit::{
        corner::End,
        operate::operate,
        supply::{Body, HeatPath},
    },
    numeric::{root::bracketed, tie::first_greatest},
    review::{
        figure::{Figure, Unit},
        recompute::RailReview,
    },
    stress::{bench::no_load_peak_v, regulator_point::RegulatorStage, verdict::Verdict},
};

/// Greatest heat sought at which a junction reaches its limit, W.
const HEAT_MOST_W: f64 = 10_000.0;

/// Steps from the lowest to the highest mains.
const STEPS: u32 = 12;

/// The window; `None` where a step has no steady state.
pub(super) fn window(rail: &RailReview<'_>) -> Option<Window> {
    let bench = &rail.bench;
    let mains = bench.supply.mains_v;
    let low = bench.points.iter().filter(|point| point.vertex.mains == End::Low);
    let valley_at = first_greatest(low, |point| -point.valley_v)?;
    let high =
        bench.points.iter().filter(|point| point.vertex.mains == End::High && point.vertex.load == End::High);
    let crest_at = first_greatest(high, |point| point.crest_v)?;
    let (mut over, mut valleys, mut crests, mut idle) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for step in 0..=STEPS {
        let volts = mains.low + (mains.high - mains.low) * f64::from(step) / f64::from(STEPS);
        let mut supply = bench.supply;
        supply.mains_v.low = volts;
        supply.mains_v.high = volts;
        over.push(volts);
        valleys.push(operate(&supply, valley_at.vertex).ok()?.valley_v);
        crests.push(operate(&supply, crest_at.vertex).ok()?.crest_v);
        idle.push(no_load_peak_v(supply.topology, &supply.source, supply.mains_v));
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
    // Of a doubler two banks in series stand behind the raw voltage.
    let stack = bench.supply.stack();
    let banks = if stack > 1.0 { "limit of both reservoirs in series" } else { "limit of the reservoir" };
    for (code, name, times) in [
        ("regulator-input-voltage", "limit of the regulator's input", 1.0),
        ("reservoir-voltage", banks, stack),
    ] {
        let limit = rail.verdicts.iter().find_map(|verdict| match verdict {
            Verdict::Stress(stress) if stress.code == code => Some(stress.limit),
            _ => None,
        });
        if let Some(limit) = limit {
            level(name, limit * times);
        }
    }
    Some(Window { curves, levels })
}

/// Heat in the regulator over the mains, at the vertex whose junction is hottest; `None` without a regulator.
///
/// What else warms its sink grows in proportion: as the regulator's own heat it is a current times what the raw voltage leaves.
pub(super) fn heat(rail: &RailReview<'_>) -> Option<Window> {
    let bench = &rail.bench;
    let mains = bench.supply.mains_v;
    let stage = RegulatorStage::of(bench)?.ok()?;
    let path = stage.heat_path(bench).ok()?;
    let worst = stage.greatest_junction(bench, &path)?;
    let (mut over, mut heats) = (Vec::new(), Vec::new());
    let (mut air_c, mut of_all) = (bench.supply.air.hot_c, 1.0);
    for step in 0..=STEPS {
        let volts = mains.low + (mains.high - mains.low) * f64::from(step) / f64::from(STEPS);
        let mut supply = bench.supply;
        supply.mains_v.low = volts;
        supply.mains_v.high = volts;
        let point = operate(&supply, worst.vertex).ok()?;
        let own_w = stage.dissipation_w(&point);
        over.push(volts);
        heats.push(own_w);
        air_c = point.air_c;
        of_all = if own_w > 0.0 { stage.sink_heat_w(Body::Instant, &point) / own_w } else { 1.0 };
    }
    let junction_c = |own_w: f64| match path {
        HeatPath::Sink { to_sink, .. } => air_c + path.sink_rise_k(own_w * of_all) + to_sink * own_w,
        HeatPath::Direct(_) => path.junction_c(own_w, air_c),
    };
    let limit = rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == "regulator-junction-temperature" => Some(stress.limit),
        _ => None,
    });
    let mut levels = Vec::new();
    if let Some(limit_c) = limit
        && junction_c(0.0) < limit_c
        && junction_c(HEAT_MOST_W) > limit_c
    {
        let most_w = bracketed(0.0, HEAT_MOST_W, |heat_w| junction_c(heat_w) - limit_c);
        let name = String::from("heat at which the junction reaches its limit");
        levels.extend(Figure::new(most_w, Unit::Watts).map(|at| Level { name, at }));
    }
    let curves = Curves {
        over: Series::new("mains, rms", Unit::Volts, over)?,
        rows: vec![Series::new("heat in the regulator", Unit::Watts, heats)?],
    };
    Some(Window { curves, levels })
}

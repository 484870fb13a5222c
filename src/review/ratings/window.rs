//! Ratings that no single stress states: insulation, windows found by exact solution, thermal resistances, capacitor windows.
//!
//! A window is the stretch around the recorded value in which nothing fails that holds in the record.

use super::{Bound, RatingRow, row};
use crate::{
    circuit::{corner::Vertex, supply::Body},
    numeric::tie::coarse,
    quantity::{KelvinsPerWatt, Quantity as _},
    requirement::{ProtectionClass, RequiredInsulation},
    review::{
        figure::{Figure, Unit},
        probe::{self, Key, Trial, Watch, Where},
        recompute::{RailReview, Recomputed},
    },
    stress::{
        assembly::{Assembly, Reservoir},
        position::Position,
        regulator_point::{self, RegulatorStage},
        verdict::{Sense, Stress, Unit as StressUnit, Verdict},
    },
};

/// How far a window is searched: to this share and to its inverse of the recorded value.
const SEARCH: f64 = 0.25;

/// Rows of one position.
pub(super) fn rows(all: &Recomputed<'_>, rail: &RailReview<'_>, position: Position) -> Vec<RatingRow> {
    match position {
        Position::Transformer => transformer(all, rail),
        Position::SectionChoke => super::choke::rows(all, rail),
        Position::Reservoir | Position::SectionCapacitor => reservoir(all, rail, position),
        Position::Bleeder => bleeder(rail),
        Position::Regulator => regulator(rail),
        Position::RegulatorSink => sink(rail).into_iter().collect(),
        Position::InputCapacitor => small_capacitor(rail, position, "regulator-input-capacitor"),
        Position::OutputCapacitor => small_capacitor(rail, position, "regulator-output-capacitor"),
        Position::PrimaryFuse | Position::SecondaryFuse => fuse(rail, position),
        _ => Vec::new(),
    }
}

/// The stress of a rule at a position, in a unit.
fn stress<'r>(rail: &'r RailReview<'_>, code: &str, position: Position) -> Option<&'r Stress> {
    rail.verdicts.iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == code && stress.position == position => Some(stress),
        _ => None,
    })
}

/// Tightest stresses whose vertices are watched from the start.
const WATCHED: usize = 6;

/// Least and greatest factor on a value between which nothing fails that holds now; `None` where no end was met.
pub(super) fn window(
    all: &Recomputed<'_>,
    rail: &RailReview<'_>,
    change: impl Fn(f64, &mut dyn FnMut(Assembly<'_>) -> bool) -> bool,
) -> (Option<f64>, Option<f64>) {
    let already = probe::failing(&rail.verdicts);
    let asked = rail.bench.asked;
    let mut tightest: Vec<(f64, Vertex)> = rail
        .verdicts
        .iter()
        .filter_map(|verdict| match verdict {
            Verdict::Stress(stress) => Some((stress.utilisation(), stress.vertex?)),
            _ => None,
        })
        .collect();
    tightest.sort_by(|a, b| coarse(b.0).total_cmp(&coarse(a.0)));
    let watch = Watch::of(tightest.into_iter().map(|(_, vertex)| vertex).take(WATCHED));
    let judged = |assembly: Assembly<'_>, looked: Where<'_>| {
        let trial = Trial { requirement: asked.requirement, rail: asked.rail, assembly };
        probe::judged(all, rail, &trial, looked, None)
    };
    let quick = |factor: f64| {
        change(factor, &mut |assembly| {
            judged(assembly, Where::At(&watch)).is_ok_and(|verdicts| {
                // Where fewer vertices are solved a rule may say less: what fails already is left to the whole look.
                let known = |key: &Key| already.iter().any(|one| (one.0, one.1) == (key.0, key.1));
                probe::failing(&verdicts).iter().all(known)
            })
        })
    };
    let whole = |factor: f64| {
        change(factor, &mut |assembly| match judged(assembly, Where::Everywhere) {
            Err(vertex) => {
                watch.learn(vertex.into_iter());
                false
            }
            Ok(verdicts) => {
                let failing = probe::failing(&verdicts).into_iter().filter(|key| !already.contains(key));
                let failing: Vec<Key> = failing.collect();
                if !failing.is_empty() {
                    let stress = |key: &Key| match probe::verdict_of(&verdicts, *key)? {
                        Verdict::Stress(stress) => stress.vertex,
                        _ => None,
                    };
                    watch.learn(failing.iter().filter_map(stress));
                }
                failing.is_empty()
            }
        })
    };
    (watch.edge(1.0, SEARCH, quick, whole), watch.edge(1.0, 1.0 / SEARCH, quick, whole))
}

/// The two rows of a window.
pub(super) fn window_rows(
    base: &RatingRow,
    value: f64,
    unit: Unit,
    (low, high): (Option<f64>, Option<f64>),
) -> Vec<RatingRow> {
    let row = |bound, factor: Option<f64>| {
        factor.map(|factor| RatingRow {
            bound,
            needed: Figure::new(value * factor, unit),
            recorded: Figure::new(value, unit),
            ..base.clone()
        })
    };
    [row(Bound::AtLeast, low), row(Bound::AtMost, high)].into_iter().flatten().collect()
}

fn transformer(all: &Recomputed<'_>, rail: &RailReview<'_>) -> Vec<RatingRow> {
    let assembly = rail.bench.assembly;
    let part = assembly.transformer;
    let asked = rail.bench.asked.requirement;
    let reinforced =
        asked.insulation == RequiredInsulation::Reinforced || asked.protection == ProtectionClass::II;
    let mut rows = vec![
        RatingRow {
            bound: Bound::Text,
            text: String::from(if reinforced { "reinforced" } else { "basic or reinforced" }),
            condition: String::from("primary to secondaries"),
            ..row(rail, Position::Transformer, "insulation", "transformer-insulation")
        },
        RatingRow {
            needed: Figure::new(asked.test_voltage.0, Unit::Volts),
            recorded: Figure::new(part.test_voltage.0, Unit::Volts),
            condition: String::from("primary to secondaries, rms"),
            ..row(rail, Position::Transformer, "dielectric test voltage", "transformer-insulation")
        },
    ];
    let Some(one) = assembly.winding() else { return rows };
    // Unlike windings are asked for one by one, each with the rail it feeds.
    let equal = part.has_equal_windings();
    let own = assembly.wiring.windings();
    let tap = !equal && own > 1;
    let each = match (equal, tap) {
        (true, _) => "each",
        (_, true) => "each winding of the tap",
        _ => "the winding of this rail",
    };
    if let Some(current) = stress(rail, "transformer-secondary-current", Position::Transformer) {
        let count = if equal { part.secondaries.len() as f64 } else { f64::from(own) };
        let ratio = current.rating.map_or(1.0, |rating| current.limit / rating);
        rows.push(RatingRow {
            needed: Figure::new(count * one.rated.0 * current.applied / ratio, Unit::VoltAmps),
            recorded: Figure::new(
                if equal { part.rating.0 } else { count * one.rated.0 * one.current.0 },
                Unit::VoltAmps,
            ),
            condition: String::from(match (equal, tap) {
                (true, _) => "all secondaries together, at the recorded voltage",
                (_, true) => "both windings of the tap, at the recorded voltage",
                _ => "the winding of this rail, at the recorded voltage",
            }),
            ..row(rail, Position::Transformer, "apparent power", "transformer-secondary-current")
        });
    }
    let found = window(all, rail, |factor, judge| {
        let mut other = part.clone();
        let first = assembly.wiring.place();
        let count = usize::try_from(own).unwrap_or(usize::MAX);
        let (skip, take) = if equal { (0, usize::MAX) } else { (first, count) };
        for winding in other.secondaries.iter_mut().skip(skip).take(take) {
            winding.rated = winding.rated * factor;
        }
        judge(Assembly { transformer: &other, ..assembly })
    });
    let voltage = RatingRow {
        condition: format!("{each}, at rated current; regulation {} as recorded", one.regulation.to_text(3)),
        ..row(rail, Position::Transformer, "rated secondary voltage, rms", "window")
    };
    rows.extend(window_rows(&voltage, one.rated.0, Unit::Volts, found));
    let no_load = RatingRow {
        condition: format!("{each}, at rated mains, nominal"),
        ..row(rail, Position::Transformer, "no-load secondary voltage, rms", "window")
    };
    rows.extend(window_rows(&no_load, one.rated.0 * (1.0 + one.regulation.0), Unit::Volts, found));
    rows
}

fn reservoir(all: &Recomputed<'_>, rail: &RailReview<'_>, position: Position) -> Vec<RatingRow> {
    let assembly = rail.bench.assembly;
    let Some((_, bank)) = assembly.banks().find(|(at, _)| *at == position) else { return Vec::new() };
    let part = bank.part;
    let mut rows = Vec::new();
    let found = window(all, rail, |factor, judge| {
        let mut other = part.clone();
        other.capacitance = other.capacitance * factor;
        judge(assembly.with_bank(position, Reservoir { part: &other, count: bank.count }))
    });
    let capacitance = RatingRow {
        condition: format!(
            "each of {}, nominal; tolerance −{} +{}, ripple rating and ESR as recorded",
            bank.count,
            part.tolerance_minus.to_text(2),
            part.tolerance_plus.to_text(2)
        ),
        ..row(rail, position, "capacitance", "window")
    };
    rows.extend(window_rows(&capacitance, part.capacitance.0, Unit::Farads, found));
    if let Some(life) = stress(rail, "reservoir-life", position) {
        rows.push(RatingRow {
            needed: Figure::new(part.life.0 * life.limit / life.applied, Unit::Hours),
            recorded: Figure::new(part.life.0, Unit::Hours),
            condition: format!("at {}, on the same basis", part.t_max.to_exact_text()),
            ..row(rail, position, "life", "reservoir-life")
        });
    }
    if let Some(cold) = stress(rail, "reservoir-low-temperature", position) {
        let above_k = cold.rating.map_or(0.0, |rating| cold.limit - rating);
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(cold.applied - above_k, Unit::Celsius),
            recorded: Figure::new(part.t_min.0, Unit::Celsius),
            ..row(rail, position, "lower category temperature", "reservoir-low-temperature")
        });
    }
    rows
}

fn bleeder(rail: &RailReview<'_>) -> Vec<RatingRow> {
    let Some(choice) = rail.bench.assembly.bleeder else { return Vec::new() };
    let value = RatingRow {
        condition: String::from("nominal, with this series' power and tolerance"),
        ..row(rail, Position::Bleeder, "resistance", "bleeder-discharge-time")
    };
    let mut rows = Vec::new();
    if let Some(time) = stress(rail, "bleeder-discharge-time", Position::Bleeder) {
        // The time is proportional to the resistance.
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(choice.value.0 * time.limit / time.applied, Unit::Ohms),
            recorded: Figure::new(choice.value.0, Unit::Ohms),
            ..value
        });
    }
    rows
}

fn regulator(rail: &RailReview<'_>) -> Vec<RatingRow> {
    let position = Position::Regulator;
    let bench = &rail.bench;
    let Some(Ok(stage)) = RegulatorStage::of(bench) else { return Vec::new() };
    let Ok(path) = stage.heat_path(bench) else { return Vec::new() };
    let part = stage.part();
    let mut rows = Vec::new();
    let at = |vertex| bench.points.iter().find(|point| Some(point.vertex) == vertex);
    if let Some(headroom) = stress(rail, "regulator-headroom", position)
        && let Some(drop_out) = at(headroom.vertex).and_then(|point| stage.drop_out(Some(&path), point))
    {
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(drop_out.volts + headroom.applied - headroom.limit, Unit::Volts),
            recorded: Figure::new(drop_out.volts, Unit::Volts),
            condition: Figure::new(bench.supply.load_a.high, Unit::Amps).map_or_else(String::new, |load| {
                format!("greatest, at {} and the junction temperature found", load.text())
            }),
            ..row(rail, position, "drop-out voltage", "regulator-headroom")
        });
    }
    if let Some(accuracy) = stress(rail, "regulator-accuracy", position) {
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(part.accuracy.0 + accuracy.limit - accuracy.applied, Unit::Percent),
            recorded: Figure::new(part.accuracy.0, Unit::Percent),
            condition: String::from("over temperature, both ways; line and load regulation as recorded"),
            ..row(rail, position, "accuracy", "regulator-accuracy")
        });
    }
    if let Some((ripple, stated)) = stress(rail, "regulator-output-ripple", position).zip(part.rejection) {
        let less_db = 20.0 * (ripple.limit / ripple.applied).log10();
        let held = if stated.guaranteed { "guaranteed" } else { "typical" };
        rows.push(RatingRow {
            needed: Figure::new(stated.decibels - less_db, Unit::Decibels),
            recorded: Figure::new(stated.decibels, Unit::Decibels),
            condition: format!("{held}, at {}, headroom as recorded", stated.frequency.to_exact_text()),
            ..row(rail, position, "ripple rejection", "regulator-output-ripple")
        });
    }
    if let Some(load) = stress(rail, "regulator-minimum-load", position) {
        let ratio = load.rating.filter(|rating| *rating > 0.0).map_or(1.0, |rating| load.limit / rating);
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(load.applied / ratio, Unit::Amps),
            recorded: load.rating.and_then(|rating| Figure::new(rating, Unit::Amps)),
            condition: String::from("greatest over temperature"),
            ..row(rail, position, "minimum load", "regulator-minimum-load")
        });
    }
    rows
}

/// Greatest resistance of the regulator's sink: what the junction's limit leaves of the way from junction to air.
///
/// ```text
/// R_sa = (T_limit − T_air)/P − R_jc − R_cs
/// ```
/// At the sink's own rise; altitude is taken off. Source: derived, the thermal chain in series.
fn sink(rail: &RailReview<'_>) -> Option<RatingRow> {
    let bench = &rail.bench;
    let stage = RegulatorStage::of(bench)?.ok()?;
    let cooling = stage.regulation.cooling?;
    let pad = cooling.pad.resistance.get(&stage.part().common.package)?;
    let junction = stress(rail, "regulator-junction-temperature", Position::Regulator)?;
    let power = regulator_point::greatest_hot(bench, Body::Heavy, |point| {
        stage.dissipation_of_w(Body::Heavy, point)
    })?;
    let air_c = bench.supply.air.hot_c;
    let to_sink = stage.part().junction_case.0 + pad.0;
    // With pass transistors the sink has the heat of all, and the warmest of them may ask more of it.
    let all =
        regulator_point::greatest_hot(bench, Body::Heavy, |point| stage.sink_heat_w(Body::Heavy, point))?;
    let mut least_k = junction.limit - air_c - power.value * to_sink;
    if let Some((pass_to_sink, _)) = stage.pass_to_sink()
        && let Some(pass) = stress(rail, "pass-junction-temperature", Position::PassTransistor)
        && let Some(own) =
            regulator_point::greatest_hot(bench, Body::Heavy, |point| stage.pass_heat_w(Body::Heavy, point))
    {
        least_k = least_k.min(pass.limit - air_c - own.value * pass_to_sink);
    }
    let altitude = crate::physics::heat::altitude_factor(bench.asked.requirement.ambient.altitude).ok()?.0;
    let needed = KelvinsPerWatt(least_k / all.value * altitude);
    let (watts, rise) = Figure::new(all.value, Unit::Watts).zip(Figure::new(least_k, Unit::Kelvins))?;
    let part = cooling.sink;
    // What the recorded sink has at that rise.
    let recorded = part.resistance.0 * (part.rise.0 / least_k).powf(part.exponent);
    Some(RatingRow {
        bound: Bound::AtMost,
        needed: Figure::new(needed.0, Unit::KelvinsPerWatt),
        recorded: Figure::new(recorded, Unit::KelvinsPerWatt),
        condition: format!("to air, at {} and a rise of {}", watts.text(), rise.text()),
        ..row(rail, Position::RegulatorSink, "thermal resistance", "regulator-junction-temperature")
    })
}

fn small_capacitor(rail: &RailReview<'_>, position: Position, code: &str) -> Vec<RatingRow> {
    rail.verdicts
        .iter()
        .filter_map(|verdict| match verdict {
            Verdict::Stress(stress) if stress.code == code && stress.position == position => Some(stress),
            _ => None,
        })
        .filter_map(|stress| {
            let (name, condition) = match (stress.unit, stress.sense) {
                (StressUnit::Farads, Sense::AtLeast) => ("capacitance", "after tolerance and bias"),
                (StressUnit::Farads, _) => ("capacitance", "with tolerance, beside the load's"),
                (StressUnit::Ohms, Sense::AtLeast) => ("ESR", "least, for stability"),
                (StressUnit::Ohms, _) => ("ESR", "greatest, for stability"),
                _ => return None,
            };
            let unit = stress.unit.into();
            Some(RatingRow {
                bound: if stress.sense == Sense::AtLeast { Bound::AtLeast } else { Bound::AtMost },
                needed: Figure::new(stress.limit, unit),
                recorded: Figure::new(stress.applied, unit),
                condition: condition.to_owned(),
                ..row(rail, position, name, code)
            })
        })
        .collect()
}

fn fuse(rail: &RailReview<'_>, position: Position) -> Vec<RatingRow> {
    let mut rows = Vec::new();
    if let Some(inrush) = stress(rail, "fuse-inrush", position) {
        rows.push(RatingRow {
            needed: Figure::new(inrush.limit, Unit::AmpsSquaredSeconds),
            recorded: Figure::new(inrush.applied, Unit::AmpsSquaredSeconds),
            condition: String::from("least, at ten times rated current"),
            ..row(rail, position, "melting integral", "fuse-inrush")
        });
    }
    if let Some(rated) = stress(rail, "fuse-rating", position) {
        rows.push(RatingRow {
            bound: Bound::AtMost,
            needed: Figure::new(rated.limit, Unit::Amps),
            recorded: Figure::new(rated.applied, Unit::Amps),
            condition: String::from("by the transformer's size"),
            ..row(rail, position, "rated current", "fuse-rating")
        });
    }
    rows
}

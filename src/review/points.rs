//! Operating points at the corners a designer names, and the heat chain from the room to the junctions.
//!
//! Every point is one of the vertices solved, but "no load" (no steady current to solve for) and "nominal".

use super::{
    dossier::{HeatRow, PointRow},
    figure::{Figure, Unit},
    recompute::{RailReview, Recomputed},
    words,
};
use crate::{
    circuit::{
        corner::{End, Thermal},
        operate::OperatingPoint,
        supply::Body,
    },
    numeric::tie::first_greatest,
    stress::{
        bench::Worst,
        junction,
        regulator_point::{RegulatorStage, greatest_hot},
        verdict::Verdict,
        winding::choke_winding_c,
    },
};

/// Rows of one rail.
pub(super) fn points(rail: &RailReview<'_>) -> Vec<PointRow> {
    let bench = &rail.bench;
    let corner = |mains: End, thermal: Thermal, figure: fn(&OperatingPoint) -> f64| {
        let there = bench.points.iter().filter(|point| {
            point.vertex.mains == mains && point.vertex.thermal == thermal && point.vertex.load == End::High
        });
        first_greatest(there, |point| figure(point))
    };
    let least_valley = |point: &OperatingPoint| -point.valley_v;
    let named = [
        ("mains low, cold", corner(End::Low, Thermal::Cold, least_valley)),
        ("mains low, hot", corner(End::Low, Thermal::Hot, least_valley)),
        ("mains high, cold", corner(End::High, Thermal::Cold, |point| point.crest_v - point.valley_v)),
        ("mains high, hot", corner(End::High, Thermal::Hot, |point| point.mean_v)),
    ];
    let name = &rail.record.rail;
    let mut rows: Vec<PointRow> =
        named.iter().filter_map(|(corner, point)| row(name, corner, point.as_ref()?)).collect();
    let peak = Figure::new(bench.no_load_peak_v(), Unit::Volts);
    let mains = Figure::new(bench.supply.mains_v.high, Unit::Volts);
    if let (Some(reservoir_max), Some(mains_rms)) = (peak, mains) {
        rows.push(PointRow {
            rail: name.clone(),
            corner: String::from("no load, mains high"),
            mains_rms,
            load: None,
            reservoir_min: None,
            reservoir_mean: None,
            reservoir_max,
            ripple_pp: None,
            diode_peak: None,
            winding_rms: None,
            winding: None,
        });
    }
    rows.extend(rail.nominal.as_ref().and_then(|point| row(name, "nominal, full load", point)));
    rows
}

fn row(rail: &str, corner: &str, point: &OperatingPoint) -> Option<PointRow> {
    Some(PointRow {
        rail: rail.to_owned(),
        corner: corner.to_owned(),
        mains_rms: Figure::new(point.mains_v, Unit::Volts)?,
        load: Figure::new(point.load_a, Unit::Amps),
        reservoir_min: Figure::new(point.valley_v, Unit::Volts),
        reservoir_mean: Figure::new(point.mean_v, Unit::Volts),
        reservoir_max: Figure::new(point.crest_v, Unit::Volts)?,
        ripple_pp: Figure::new(point.crest_v - point.valley_v, Unit::Volts),
        diode_peak: Figure::new(point.diode_peak_a, Unit::Amps),
        winding_rms: Figure::new(point.path_rms_a, Unit::Amps),
        winding: Figure::new(point.winding_c, Unit::Celsius),
    })
}

/// A place that gets hot, at its worst vertex.
#[derive(Clone, Debug)]
pub(super) struct Hot {
    /// Where.
    pub(super) place: &'static str,
    /// Temperature and vertex.
    pub(super) worst: Worst,
    /// Heat at that vertex, W.
    pub(super) power_w: Option<f64>,
    /// Whether a finger can reach it.
    pub(super) surface: bool,
}

/// Every hot place of a rail.
pub(super) fn hot_places(rail: &RailReview<'_>) -> Vec<Hot> {
    let bench = &rail.bench;
    let mut places = Vec::new();
    let mut put = |place: &'static str,
                   body,
                   figure: &dyn Fn(&OperatingPoint) -> f64,
                   power: &dyn Fn(&OperatingPoint) -> f64| {
        if let Some(worst) = greatest_hot(bench, body, figure) {
            let surface = body == Body::Heavy || place.starts_with("heat sink");
            let power_w = bench.points_of(body).iter().find(|point| point.vertex == worst.vertex).map(power);
            places.push(Hot { place, worst, power_w, surface });
        }
    };
    put("windings of the transformer", Body::Heavy, &|point| point.winding_c, &|point| {
        point.copper_w + point.iron_w
    });
    let packages = junction::packages(bench);
    let package_w = |point: &OperatingPoint| point.diode_w / packages;
    let path = bench.supply.rectifier.path;
    if bench.assembly.rectifier_cooling.is_some() {
        let sink = |point: &OperatingPoint| point.air_c + path.sink_rise_k(package_w(point));
        put("heat sink of the rectifier", Body::Light, &sink, &package_w);
    }
    if let Some(choke) = bench.assembly.choke() {
        let celsius = |point: &OperatingPoint| {
            point.section.map_or(point.air_c, |one| choke_winding_c(choke, one.rms_a, point.air_c))
        };
        put("winding of the filter choke", Body::Heavy, &celsius, &OperatingPoint::section_w);
    }
    put("junction of the rectifier", Body::Light, &|point| point.junction_c, &package_w);
    let Some(Ok(stage)) = RegulatorStage::of(bench) else { return places };
    let Ok(path) = stage.heat_path(bench) else { return places };
    let power = |point: &OperatingPoint| stage.dissipation_of_w(Body::Heavy, point);
    if stage.regulation.cooling.is_some() {
        let all = |point: &OperatingPoint| stage.sink_heat_w(Body::Heavy, point);
        let sink = |point: &OperatingPoint| point.air_c + path.sink_rise_k(all(point));
        put("heat sink of the regulator", Body::Heavy, &sink, &all);
    }
    if let Some(worst) = stage.greatest_junction(bench, &path) {
        let power_w =
            bench.points_of(Body::Heavy).iter().find(|point| point.vertex == worst.vertex).map(power);
        places.push(Hot { place: "junction of the regulator", worst, power_w, surface: false });
    }
    if let Some(worst) = stage.greatest_pass_junction(bench, &path) {
        let own = |point: &OperatingPoint| stage.pass_heat_w(Body::Heavy, point);
        let power_w = bench.points_of(Body::Heavy).iter().find(|point| point.vertex == worst.vertex).map(own);
        places.push(Hot { place: "junction of the pass transistors", worst, power_w, surface: false });
    }
    places
}

/// The heat chain: room, air inside, then each hot place.
pub(super) fn heat(recomputed: &Recomputed<'_>, room_max_c: f64) -> Vec<HeatRow> {
    let shared = |place: &str, celsius: f64, rise: Option<f64>| {
        Some(HeatRow {
            rail: String::new(),
            place: place.to_owned(),
            power: None,
            temperature: Figure::new(celsius, Unit::Celsius)?,
            rise: rise.and_then(|rise| Figure::new(rise, Unit::Kelvins)),
            vertex: None,
        })
    };
    let air_c = room_max_c + recomputed.inside_rise_k;
    let mut rows: Vec<HeatRow> =
        [shared("room, greatest", room_max_c, None), shared("air inside", air_c, Some(0.0))]
            .into_iter()
            .flatten()
            .collect();
    for rail in &recomputed.rails {
        let name = &rail.record.rail;
        rows.extend(hot_places(rail).into_iter().filter_map(|hot| {
            Some(HeatRow {
                rail: name.clone(),
                place: hot.place.to_owned(),
                power: hot.power_w.and_then(|watts| Figure::new(watts, Unit::Watts)),
                temperature: Figure::new(hot.worst.value, Unit::Celsius)?,
                rise: Figure::new(hot.worst.value - air_c, Unit::Kelvins),
                vertex: Some(words::vertex(&hot.worst.vertex)),
            })
        }));
        rows.extend(rail.verdicts.iter().filter_map(|verdict| match verdict {
            Verdict::Stress(stress) if stress.code == "reservoir-core-temperature" => Some(HeatRow {
                rail: name.clone(),
                place: String::from("core of the reservoir"),
                power: None,
                temperature: Figure::new(stress.applied, Unit::Celsius)?,
                rise: Figure::new(stress.applied - air_c, Unit::Kelvins),
                vertex: stress.vertex.as_ref().map(words::vertex),
            }),
            _ => None,
        }));
    }
    rows
}

//! Checks of transformers: resistances, losses, rise, no-load current, inrush, mass.

use std::{collections::BTreeMap, f64::consts::PI};

use super::{Judge, density};
use crate::{
    catalog::{
        Catalog, Transformer,
        family::transformer::{Construction, ShortCircuitClass, ThermalClass},
    },
    physics::{
        copper,
        transformer::{insulation, temperature::thermal_resistance},
    },
    quantity::{Celsius, Watts},
};

/// Ratings are rounded to three digits.
const ROUNDING: f64 = 0.02;
/// Resistances, regulation and current are each rounded.
const RESISTANCE_AGREES: f64 = 0.04;
/// Heat that leaves a square metre of outer surface per kelvin of winding rise, W/(m² K): convection and radiation less the
/// drop inside the winding. Common practice, no source.
const SURFACE_W_M2_K: std::ops::RangeInclusive<f64> = 5.0..=14.0;
/// Steel and copper with air between, over the bounding box, g/cm³. Common practice, no source.
const DENSITY: std::ops::RangeInclusive<f64> = 1.8..=5.5;
/// Greatest no-load over rated spread by rating (VA, ratio), not inherently short-circuit-proof.
/// Source: IEC 61558-1 (from memory).
const SPREAD: [(f64, f64); 6] =
    [(10.0, 1.0), (25.0, 0.5), (63.0, 0.2), (250.0, 0.15), (630.0, 0.10), (f64::INFINITY, 0.05)];
/// The same for inherently short-circuit-proof ones. Source: IEC 61558-1 (from memory).
const SPREAD_PROOF: [(f64, f64); 3] = [(63.0, 1.0), (630.0, 0.5), (f64::INFINITY, 0.2)];
/// Ratings less than this apart are of one size.
const SAME_SIZE: f64 = 1.15;

pub(super) fn judge(catalog: &Catalog, judge: &mut Judge) {
    for part in &catalog.transformers {
        rating(part, judge);
        resistances(part, judge);
        heat(part, judge);
        no_load(part, judge);
        shorted(part, judge);
        if let Some(found) = density(&part.common) {
            judge.within(&part.common, "transformer-density", ("mass over volume", "g/cm³"), found, DENSITY);
        }
    }
    regulation_falls(catalog, judge);
}

/// `S = Σ V_j I_j`, and the spread between no load and rated load.
fn rating(part: &Transformer, judge: &mut Judge) {
    let found: f64 = part.secondaries.iter().map(|one| one.rated.0 * one.current.0).sum();
    let what = ("sum of rated voltage times current", "VA");
    judge.agrees(&part.common, "transformer-rating", what, found, part.rating.0, ROUNDING);
    let table: &[_] =
        if part.short_circuit == ShortCircuitClass::InherentlyProof { &SPREAD_PROOF } else { &SPREAD };
    let limit = table.iter().find(|(va, _)| part.rating.0 <= *va).map_or(0.0, |(_, spread)| *spread);
    for one in &part.secondaries {
        let what = ("regulation", "");
        judge.within(&part.common, "transformer-spread", what, one.regulation.0, 0.0..=limit);
    }
}

/// `Σ R I² = (k − 1) S` at rating, primary current `k S/V_p`; exact by the definition of regulation.
fn resistances(part: &Transformer, judge: &mut Judge) {
    let copper_w: f64 = copper_rated(part);
    let open_va: f64 =
        part.secondaries.iter().map(|one| (1.0 + one.regulation.0) * one.rated.0 * one.current.0).sum();
    let own: Option<f64> =
        part.secondaries.iter().map(|one| Some(one.resistance_hot?.0 * one.current.0.powi(2))).sum();
    for primary in &part.primaries {
        let (Some(own), Some(resistance)) = (own, primary.resistance_hot) else { continue };
        let found = own + resistance.0 * (open_va / primary.rated.0).powi(2);
        let what = ("copper loss from the resistances", "W");
        judge.agrees(&part.common, "transformer-resistance", what, found, copper_w, RESISTANCE_AGREES);
    }
}

fn copper_rated(part: &Transformer) -> f64 {
    part.secondaries.iter().map(|one| one.regulation.0 * one.rated.0 * one.current.0).sum()
}

/// The rise follows from loss and surface, and stays within the thermal class.
fn heat(part: &Transformer, judge: &mut Judge) {
    let loss_w = copper_rated(part) + part.iron_loss.0;
    let found = loss_w / (surface_m2(part) * part.rated_rise.0);
    let what = ("loss over surface and rise", "W/(m² K)");
    judge.within(&part.common, "transformer-rise", what, found, SURFACE_W_M2_K);
    let class = class_of(part.thermal_class);
    let winding = part.rise_ambient + part.rated_rise;
    judge.holds(&part.common, "transformer-class", winding <= class.normal_limit(), || {
        format!("the winding reaches {:.0} °C, class limit {:.0} °C", winding.0, class.normal_limit().0)
    });
    let opens_late = part.cut_out.is_none_or(|at| at > winding && at <= part.overload_limit);
    judge.holds(&part.common, "transformer-cut-out", opens_late, || {
        format!("the cut-out opens outside {:.0} °C to {:.0} °C", winding.0, part.overload_limit.0)
    });
}

fn surface_m2(part: &Transformer) -> f64 {
    let [length, width, height] = part.common.envelope.map(|side| side.0);
    if part.construction == Construction::Toroid {
        let diameter = length.midpoint(width);
        return PI / 2.0 * diameter * diameter + PI * diameter * height;
    }
    2.0 * (length * width + length * height + width * height)
}

const fn class_of(class: ThermalClass) -> insulation::ThermalClass {
    match class {
        ThermalClass::A => insulation::ThermalClass::A,
        ThermalClass::E => insulation::ThermalClass::E,
        ThermalClass::B => insulation::ThermalClass::B,
        ThermalClass::F => insulation::ThermalClass::F,
        ThermalClass::H => insulation::ThermalClass::H,
    }
}

/// The no-load current carries the iron loss, grows with voltage, and stays below the rated current.
/// The first inrush peak cannot exceed mains peak over the cold primary resistance.
fn no_load(part: &Transformer, judge: &mut Judge) {
    let Some(first) = part.primaries.first() else { return };
    let (rated, high) = (part.no_load_current.0, part.no_load_current_high.0);
    let least = part.iron_loss.0 / first.rated.0;
    let greatest = part.rating.0 / first.rated.0;
    let what = ("no-load current", "A");
    judge.within(&part.common, "transformer-no-load", what, rated, least..=greatest);
    let what = ("no-load current at 1.1 times rated voltage over that at rated", "");
    judge.within(&part.common, "transformer-no-load-high", what, high / rated, 1.05..=6.0);
    if let (Some(inrush), Some(hot)) = (part.inrush, first.resistance_hot) {
        let cold = copper::resistance_20(hot, part.rise_ambient + part.rated_rise).0;
        let bound = std::f64::consts::SQRT_2 * inrush.voltage.0 / cold;
        let what = ("inrush peak", "A");
        judge.within(&part.common, "transformer-inrush", what, inrush.peak.0, 0.0..=bound);
    }
}

/// One proof by its own impedance stays below its overload limit with the whole EMF across its resistance for ever:
/// copper loss `(k/(k − 1))²` times the rated, less what the hotter copper takes back.
fn shorted(part: &Transformer, judge: &mut Judge) {
    let regulation = part.regulation().0;
    if part.short_circuit != ShortCircuitClass::InherentlyProof {
        return;
    }
    let rated_c = part.rise_ambient + part.rated_rise;
    let copper_w = copper_rated(part);
    let path = thermal_resistance(part.rated_rise, Watts(copper_w + part.iron_loss.0));
    let ratio = (1.0 + regulation) / regulation;
    // At constant voltage loss falls as 1/R: heat and loss meet where they balance.
    let balance = |winding: Celsius| {
        let loss = copper_w * ratio * ratio * copper::factor(rated_c) / copper::factor(winding);
        part.max_ambient.0 + path.0 * (loss + part.iron_loss.0) - winding.0
    };
    let (mut low, mut high) = (part.max_ambient.0, 2000.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if balance(Celsius(middle)) > 0.0 { low = middle } else { high = middle }
    }
    let what = ("winding temperature with the output shorted", "°C");
    judge.within(&part.common, "transformer-proof", what, low, 0.0..=part.overload_limit.0);
}

/// Within one maker's construction regulation falls as the rating grows.
fn regulation_falls(catalog: &Catalog, judge: &mut Judge) {
    let mut groups: BTreeMap<_, Vec<&Transformer>> = BTreeMap::new();
    for part in &catalog.transformers {
        let Some(first) = part.primaries.first() else { continue };
        let key = (
            part.common.maker.as_str(),
            part.construction,
            part.short_circuit,
            first.rated.0.to_bits(),
            first.frequency_min.0.to_bits(),
        );
        groups.entry(key).or_default().push(part);
    }
    for mut group in groups.into_values() {
        group.sort_by(|a, b| a.rating.0.total_cmp(&b.rating.0).then_with(|| a.common.id.cmp(&b.common.id)));
        for (at, large) in group.iter().enumerate() {
            let better = group.iter().take(at).find(|small| {
                small.rating.0 * SAME_SIZE < large.rating.0 && small.regulation() < large.regulation()
            });
            judge.holds(&large.common, "transformer-regulation-falls", better.is_none(), || {
                let smaller = better.map_or("", |small| small.common.id.0.as_str());
                format!("regulates worse than the smaller `{smaller}` of its series")
            });
        }
    }
}

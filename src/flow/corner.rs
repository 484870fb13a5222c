//! The circuit of one corner of a recorded rail, so that anyone can look inside it.
//!
//! Solves and judges nothing of its own: it asks the review for the points and picks one.

use crate::{
    circuit::{
        corner::{End, Thermal},
        operate::OperatingPoint,
        spec::{Branch, Capacitor, Diode, Filter, Load, Spec, Winding},
    },
    quantity::{Amps, Farads, Henries, Hertz, Ohms, Volts},
    record::Record,
    review::{self, recompute::recompute},
};

use super::Asked;

/// Which corner of a rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// Everything nominal.
    Nominal,
    /// Least reservoir voltage at turn-on, cold or heated.
    WorstHeadroom,
    /// Least reservoir voltage at turn-on, cold.
    HeadroomCold,
    /// Least reservoir voltage at turn-on, heated.
    HeadroomHot,
    /// Greatest reservoir voltage, cold.
    MainsHighCold,
    /// Greatest reservoir voltage, heated.
    MainsHighHot,
    /// Greatest ripple current of the reservoir.
    RippleCurrent,
    /// Hottest winding.
    WindingHot,
    /// Hottest junction of the rectifier.
    JunctionHot,
    /// Greatest repetitive peak of a diode.
    DiodePeak,
}

/// A corner, ready to be analysed.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerCircuit {
    /// Which vertex, in words.
    pub vertex: String,
    /// The circuit.
    pub spec: Spec,
}

/// Why there is no such circuit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoCorner {
    /// The record has no such rail.
    #[error("the record has no rail `{rail}`, allowed {allowed}")]
    Rail {
        /// What was asked for.
        rail: String,
        /// The rails there are.
        allowed: String,
    },
    /// The rail could not be rebuilt or solved.
    #[error("rail `{rail}` cannot be solved: {why}")]
    Unsolved {
        /// Which rail.
        rail: String,
        /// What the review says.
        why: String,
    },
}

/// The circuit of a rail at a corner.
pub fn corner(
    asked: Asked<'_>,
    record: &Record,
    rail: &str,
    corner: Corner,
) -> Result<CornerCircuit, NoCorner> {
    if !record.rails.iter().any(|known| known.rail == rail) {
        let known: Vec<String> = record.rails.iter().map(|known| format!("`{}`", known.rail)).collect();
        return Err(NoCorner::Rail { rail: rail.to_owned(), allowed: known.join(", ") });
    }
    let solved = recompute(review::Inputs {
        requirement: asked.requirement,
        requirement_digest: asked.requirement_digest,
        record,
        catalog: asked.catalog,
        policy: asked.policy,
        today: None,
    });
    let Some(found) = solved.rails.iter().find(|found| found.record.rail == rail) else {
        let why: Vec<&str> =
            solved.findings.iter().filter(|one| one.rail == rail).map(|one| one.text.as_str()).collect();
        return Err(NoCorner::Unsolved { rail: rail.to_owned(), why: why.join("; ") });
    };
    let point = match corner {
        Corner::Nominal => found.nominal.as_ref(),
        _ => pick(&found.bench.points, corner),
    };
    let Some(point) = point else {
        let why = "it has no such operating point".to_owned();
        return Err(NoCorner::Unsolved { rail: rail.to_owned(), why });
    };
    if let Some(placed) = point.state.placed()
        && placed.core.rails.len() > 1
    {
        let why = "its transformer feeds another rail from the other secondary, and one circuit holds one winding: write \
                   both into a file with `core:`"
            .to_owned();
        return Err(NoCorner::Unsolved { rail: rail.to_owned(), why });
    }
    let supply = &found.bench.supply;
    let leakage_h = if corner == Corner::Nominal || point.vertex.leakage == End::High {
        supply.source.leakage_h
    } else {
        0.0
    };
    let vertex = if corner == Corner::Nominal { "nominal".to_owned() } else { point.vertex.text() };
    let spec = general(point).unwrap_or_else(|| spec(supply.topology, point, leakage_h));
    Ok(CornerCircuit { vertex, spec })
}

fn pick(points: &[OperatingPoint], corner: Corner) -> Option<&OperatingPoint> {
    let (thermal, figure): (Option<Thermal>, fn(&OperatingPoint) -> f64) = match corner {
        Corner::WorstHeadroom => (None, |point| -point.turn_on_v),
        Corner::HeadroomCold => (Some(Thermal::Cold), |point| -point.turn_on_v),
        Corner::HeadroomHot => (Some(Thermal::Hot), |point| -point.turn_on_v),
        Corner::MainsHighCold => (Some(Thermal::Cold), |point| point.crest_v),
        Corner::MainsHighHot => (Some(Thermal::Hot), |point| point.crest_v),
        Corner::RippleCurrent => (None, |point| point.bank_rms_a),
        Corner::WindingHot => (None, |point| point.winding_c),
        Corner::JunctionHot => (None, |point| point.junction_c),
        Corner::DiodePeak | Corner::Nominal => (None, |point| point.diode_peak_a),
    };
    let mut best: Option<&OperatingPoint> = None;
    for point in points.iter().filter(|point| thermal.is_none_or(|state| point.vertex.thermal == state)) {
        if best.is_none_or(|best| figure(point) > figure(best)) {
            best = Some(point);
        }
    }
    best
}

/// The circuit of a point that the general engine solved; what its halves share stands with it.
fn general(point: &OperatingPoint) -> Option<Spec> {
    let placed = point.state.placed()?;
    let mut spec = *placed.core.rails.get(placed.rail)?;
    spec.winding.common_resistance = placed.core.primary_resistance;
    Some(spec)
}

fn spec(topology: crate::circuit::spec::Topology, point: &OperatingPoint, leakage_h: f64) -> Spec {
    Spec {
        topology,
        winding: Winding {
            emf_peak: Volts(point.emf_peak_v),
            frequency: Hertz(point.frequency_hz),
            resistance: Ohms(point.source_ohm),
            common_resistance: Ohms(0.0),
            leakage: Henries(leakage_h),
        },
        diode: Diode { threshold: Volts(point.threshold_v), slope: Ohms(point.slope_ohm) },
        output: Branch {
            filter: Filter::Reservoir(Capacitor {
                capacitance: Farads(point.farad),
                esr: Ohms(point.esr_ohm),
            }),
            load: Load::Current(Amps(point.load_a)),
        },
        negative: None,
    }
}

//! The rectifier at a point: peak reverse voltage, junction with its leakage, reference of its current rating.
//!
//! Knows no limit; the rules on the rectifier share it.

use crate::{
    catalog::family::rectifier::{CurrentCurve, Element, Reference, ThermalPath},
    circuit::{
        operate::{OperatingPoint, ROUNDS_MAX, RUNAWAY_C, TEMPERATURE_TOLERANCE_K, diodes},
        spec::Topology,
    },
    physics::diode::{ReverseCase, leakage},
    quantity::{Amps, Celsius},
};

use super::{assembly::RectifierPart, bench::Bench, winding};

/// Kelvin in which leakage doubles: common practice, no source.
pub(super) const LEAKAGE_DOUBLING_K: f64 = 10.0;

/// Ratings of each element of the rectifier.
pub(super) fn element<'a>(bench: &Bench<'a>) -> &'a Element {
    match bench.assembly.rectifier {
        RectifierPart::Bridge(part) => &part.element,
        RectifierPart::Diodes(part) => &part.element,
    }
}

/// How the rectifier's heat leaves.
pub(super) fn thermal<'a>(bench: &Bench<'a>) -> &'a ThermalPath {
    match bench.assembly.rectifier {
        RectifierPart::Bridge(part) => &part.thermal,
        RectifierPart::Diodes(part) => &part.thermal,
    }
}

/// Peak reverse voltage of one diode as a multiple of the peak EMF, with a reservoir.
pub(super) fn reverse_multiple(topology: Topology) -> f64 {
    match topology {
        Topology::HalfWave => ReverseCase::HalfWaveReservoir,
        Topology::CentreTap => ReverseCase::CentreTap,
        Topology::Bridge => ReverseCase::Bridge,
        Topology::FullWaveDoubler | Topology::HalfWaveDoubler => ReverseCase::Doubler,
        Topology::DualComplementary => ReverseCase::Complementary,
    }
    .multiple()
    .0
}

/// Diodes in series in a conducting path.
pub fn in_series(topology: Topology) -> f64 {
    if topology == Topology::Bridge { 2.0 } else { 1.0 }
}

/// Packages that share the heat of the rectifier.
pub fn packages(bench: &Bench<'_>) -> f64 {
    f64::from(diodes(bench.supply.topology)) / f64::from(bench.supply.rectifier.elements_per_package)
}

/// Junction temperature at a point, leakage included, °C; `None` where it runs away.
///
/// ```text
/// T = path(P + n · V_R · I_R(T))
/// ```
/// `P` conduction loss of one package at the point · `n` its elements · `V_R` mean reverse voltage of one, the mean output
/// (of a bridge half of it, two elements sharing) · `I_R` leakage, stated at rated voltage. Lowest solution, met from below:
/// each step is a rise. The drop that falls with leakage heat is not counted as gain.
pub(super) fn junction_c(bench: &Bench<'_>, point: &OperatingPoint) -> Option<f64> {
    if !point.settled && point.winding_c < RUNAWAY_C {
        return None;
    }
    let rectifier = &bench.supply.rectifier;
    if !winding::warm(point) || rectifier.leakage_hot_a <= 0.0 {
        return Some(point.junction_c);
    }
    let junction_max = thermal(bench).junction_max;
    let conduction_w = point.diode_w / packages(bench);
    let reverse_v =
        f64::from(rectifier.elements_per_package) * point.mean_v / in_series(bench.supply.topology);
    let mut junction_c = point.junction_c;
    for _ in 0..ROUNDS_MAX {
        let leak =
            leakage(Amps(rectifier.leakage_hot_a), junction_max, Celsius(junction_c), LEAKAGE_DOUBLING_K);
        let next_c = rectifier.path.junction_c(conduction_w + reverse_v * leak.0, point.air_c);
        if (next_c - junction_c).abs() <= TEMPERATURE_TOLERANCE_K {
            return Some(next_c);
        }
        junction_c = next_c;
        if junction_c.is_nan() || junction_c >= RUNAWAY_C {
            return None;
        }
    }
    None
}

/// Temperature at the reference of a current rating, °C; infinite where the junction runs away.
///
/// A case is as much cooler than the junction as its resistance makes it. A lead, or a case without a stated resistance,
/// counts as warm as the junction: a bound, never optimistic.
pub(super) fn reference_c(bench: &Bench<'_>, point: &OperatingPoint, reference: Reference) -> f64 {
    if reference == Reference::Ambient {
        return point.air_c;
    }
    let Some(junction) = junction_c(bench, point) else {
        return f64::INFINITY;
    };
    match (reference, thermal(bench).junction_case) {
        (Reference::Case, Some(to_case)) if winding::warm(point) => {
            junction - to_case.0 * point.diode_w / packages(bench)
        }
        _ => junction,
    }
}

/// What a curve leaves of its rating at a temperature, A.
pub fn left_at(curve: &CurrentCurve, temperature_c: f64) -> f64 {
    let (full, zero) = (curve.full_to.0, curve.zero_at.0);
    if temperature_c <= full {
        curve.rated.0
    } else if temperature_c < zero {
        curve.rated.0 * (zero - temperature_c) / (zero - full)
    } else {
        0.0
    }
}

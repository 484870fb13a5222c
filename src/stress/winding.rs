//! What the primary carries at a point, the class limit of the windings, and how warm a choke gets.
//!
//! Knows no limit of policy; the rules on the transformer share it.

use crate::{
    catalog::{Choke, Transformer, family::transformer as part},
    circuit::{
        corner::Thermal,
        operate::OperatingPoint,
        supply::{Body, Source},
    },
    physics::{
        copper::{self, ALPHA_20_PER_K},
        transformer::{core, current, insulation::ThermalClass},
    },
    quantity::{Amps, Celsius, Hertz, Ratio, Volts, Watts},
};

use super::bench::{Bench, Worst};

/// Whether a point has warmed up.
pub(super) fn warm(point: &OperatingPoint) -> bool {
    point.vertex.thermal == Thermal::Hot
}

/// Flux of the core at a point, relative to that of the connection at its rated voltage and least frequency.
pub(super) fn relative_flux(source: &Source, point: &OperatingPoint) -> f64 {
    core::relative_flux(
        Volts(point.mains_v),
        Hertz(point.frequency_hz),
        Volts(source.primary_rated_v),
        Hertz(source.iron_frequency_hz),
    )
    .0
}

/// Magnetising current at a point, rms, A: the no-load current at the point's flux less its loss part.
///
/// Beyond [`core::NO_LOAD_FLUX_MAX`] the current at that flux is held: the flux itself is judged by its own rule.
fn magnetising_a(source: &Source, point: &OperatingPoint) -> f64 {
    let flux = Ratio(relative_flux(source, point).min(core::NO_LOAD_FLUX_MAX));
    let (rated, high) = (Amps(source.no_load_a), Amps(source.no_load_high_a));
    let no_load = core::no_load_current(rated, high, flux).unwrap_or(rated.max(high));
    core::magnetising_current(no_load, Watts(point.iron_w), Volts(point.mains_v)).0
}

/// Magnetising current at rated voltage and least frequency, rms, A.
pub fn rated_magnetising_a(source: &Source) -> f64 {
    let loss = Watts(source.iron_rated_w);
    core::magnetising_current(Amps(source.no_load_a), loss, Volts(source.primary_rated_v)).0
}

/// Primary current that the rating of a transformer implies in the connection of a source, rms, A.
pub fn primary_rating_a(part: &Transformer, source: &Source) -> f64 {
    current::primary_rating(
        Ratio(1.0 + part.regulation().0),
        part.rating,
        Volts(source.primary_rated_v),
        Watts(source.iron_rated_w),
        Amps(rated_magnetising_a(source)),
    )
    .0
}

/// Primary current at a point, rms, A: load, core loss and magnetising current.
pub fn primary_rms_a(source: &Source, point: &OperatingPoint) -> f64 {
    current::primary_current(
        Amps(point.primary_load_rms_a),
        Watts(point.iron_w),
        Volts(point.mains_v),
        Amps(magnetising_a(source, point)),
    )
    .0
}

/// Greatest primary current over all points as a body sees their load, rms, A; see [`primary_rms_a`].
pub(super) fn greatest_primary_a(bench: &Bench<'_>, body: Body) -> Worst {
    bench.known.primary(body, || bench.greatest_of(body, |point| primary_rms_a(&bench.supply.source, point)))
}

/// Greatest winding temperature of a class in normal use. Source: IEC 61558-1 (from memory).
pub fn normal_limit(class: part::ThermalClass) -> Celsius {
    match class {
        part::ThermalClass::A => ThermalClass::A,
        part::ThermalClass::E => ThermalClass::E,
        part::ThermalClass::B => ThermalClass::B,
        part::ThermalClass::F => ThermalClass::F,
        part::ThermalClass::H => ThermalClass::H,
    }
    .normal_limit()
}

/// Air in which the rise of a choke is stated, °C.
const STATED_AIR_C: f64 = 40.0;

/// Winding temperature of a filter choke at a current, °C: its resistance grows with it; infinite where it runs away.
///
/// ```text
/// ΔT = ΔT_r (I/I_r)² R(T_a + ΔT)/R(40 °C + ΔT_r),   R(T) = R_20 (1 + α (T − 20 °C))
/// ```
pub fn choke_winding_c(choke: &Choke, rms_a: f64, air_c: f64) -> f64 {
    let share = (rms_a / choke.current.0).powi(2);
    let cool_k = choke.rise.0 * share / copper::factor(Celsius(STATED_AIR_C + choke.rise.0));
    let left = 1.0 - ALPHA_20_PER_K * cool_k;
    if left > 0.0 { air_c + cool_k * copper::factor(Celsius(air_c)) / left } else { f64::INFINITY }
}

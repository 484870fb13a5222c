//! Temperatures on their way to rest, and the heat balance of windings and core.
//!
//! Knows no circuit. Derivation: `DEVELOPERS.md`, "Thermal fixed points".

use super::supply::Source;
use crate::{
    physics::transformer::core,
    quantity::{Ratio, Watts},
};

/// Change of either temperature at which the fixed point counts as found, K.
pub const TEMPERATURE_TOLERANCE_K: f64 = 1e-6;
/// Rounds of the fixed point before it counts as running away. The map contracts by 0.1 or less for sound parts.
pub const ROUNDS_MAX: u32 = 60;
/// Temperature beyond which nothing is solved further: the part has run away.
pub const RUNAWAY_C: f64 = 400.0;

/// One temperature on its way to rest: a fixed-point iteration hastened by Aitken's extrapolation.
pub(super) struct FixedPoint {
    pub(super) value: f64,
    last_step: f64,
}

/// Largest ratio of successive steps that is extrapolated; beyond it the plain step is taken.
const RATIO_MAX: f64 = 0.5;

impl FixedPoint {
    pub(super) fn starting_at(value: f64) -> Self {
        Self { value, last_step: 0.0 }
    }

    /// How far the map moves the value, K.
    pub(super) fn moved(&self, mapped: f64) -> f64 {
        (mapped - self.value).abs()
    }

    /// Takes the next value: where the steps shrink geometrically, their limit.
    pub(super) fn follow(&mut self, mapped: f64) {
        let step = mapped - self.value;
        let ratio = if self.last_step.abs() > 0.0 { step / self.last_step } else { 0.0 };
        if ratio.abs() < RATIO_MAX && ratio.abs() > 0.0 {
            self.value += step / (1.0 - ratio);
            self.last_step = 0.0;
        } else {
            self.value = mapped;
            self.last_step = step;
        }
    }
}

/// `T = T_air + rated rise · (P_cu + P_fe) / P_rated`. Source: first-order heat balance, common practice, no source.
pub(super) fn winding_temperature(source: &Source, loss_w: f64, air_c: f64) -> f64 {
    let rated = source.copper_rated_w + source.iron_rated_w;
    air_c + source.rated_rise_k * loss_w / rated
}

/// Core loss at a voltage and frequency, W.
pub fn iron_loss(source: &Source, mains_v: f64, frequency_hz: f64) -> f64 {
    let volts = Ratio(mains_v / source.primary_rated_v);
    let frequency = Ratio(frequency_hz / source.iron_frequency_hz);
    core::core_loss(Watts(source.iron_rated_w), volts, frequency).0
}

//! What the primary carries at switch-on: magnetising of the core and charging of the reservoir.
//!
//! Knows no limit; the rules on fuse and limiter share it. The two are worst at different phases and are never added.

use crate::{
    physics::{copper, inrush},
    quantity::{Celsius, Ohms, Seconds, Volts},
};

use super::{
    bench::Bench,
    surge::{self, Limiter},
};

/// Melting integral that switch-on asks of a fuse, A²s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Inrush {
    /// Charging of the reservoir, referred to the primary: an upper bound.
    pub(super) charging_a2s: f64,
    /// First half cycle of magnetising: a half-sine of the half period.
    pub(super) core_a2s: f64,
    /// Whether the core's peak is the bound by resistance alone.
    pub(super) core_bound: bool,
}

impl Inrush {
    /// The worse of the two.
    pub(super) fn greatest_a2s(&self) -> f64 {
        self.charging_a2s.max(self.core_a2s)
    }
}

/// Peak of the magnetising inrush, A, and whether it is the bound `√2 V_high/R`.
///
/// A stated peak grows with the square of the voltage (house practice: the flux beyond saturation grows faster than the voltage),
/// and never beyond the bound of windings at the least ambient, mains and limiter.
pub(super) fn core_peak_a(bench: &Bench<'_>, limiter: Limiter) -> (f64, bool) {
    let supply = &bench.supply;
    let source = &supply.source;
    let turns2 = source.primary_per_path * source.primary_per_path;
    let limiting = bench.assembly.limiter.map_or(0.0, |part| match limiter {
        Limiter::Cold => part.cold.0 * (1.0 - part.tolerance.0),
        Limiter::Hot => part.hot.0,
    });
    let windings = source.primary_20_ohm * copper::factor(Celsius(supply.air.cold_c));
    let ohms = (windings + source.mains_ohm) / turns2 + limiting;
    let bound = inrush::core_peak_bound(Volts(supply.mains_v.high), Ohms(ohms)).0;
    let part = bench.assembly.transformer;
    let stated = part.inrush.zip(part.primaries.first()).map(|(stated, first)| {
        // Stated for the first connection: currents of another follow the turns, and so do voltages.
        let connection = first.rated.0 / source.primary_rated_v;
        let ratio = supply.mains_v.high / (stated.voltage.0 / connection);
        stated.peak.0 * connection * ratio * ratio
    });
    match stated {
        Some(peak) if peak <= bound => (peak, false),
        _ => (bound, true),
    }
}

/// Both integrals, the limiter in the state given.
pub(super) fn inrush(bench: &Bench<'_>, limiter: Limiter) -> Inrush {
    let turns = bench.supply.source.primary_per_path;
    let (peak, core_bound) = core_peak_a(bench, limiter);
    let period = Seconds(1.0 / bench.supply.frequency_hz.low);
    Inrush {
        charging_a2s: turns * turns * surge::whole_charging_a2s(bench, limiter),
        core_a2s: inrush::core_integral_bound(crate::quantity::Amps(peak), period).0,
        core_bound,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 3 A at 230 V grow to 3 · 1.1² at 253 V; half-sine of 1/(2 · 49.5 Hz): I² T/4.
    #[test]
    fn a_stated_peak_grows_with_the_square_of_the_voltage() {
        let fixture = Fixture::regulated();
        let found = inrush(&fixture.bench(), Limiter::Cold);
        assert!(!found.core_bound);
        assert_relative_eq!(found.core_a2s, 3.63 * 3.63 / (4.0 * 49.5), max_relative = 1e-9);
    }

    /// By hand: half of 6 W of copper loss in the primary at 1.1 · 60/230 A: 36.43 Ω at 95 °C, 234.5/329.5 of it at 0 °C;
    /// √2 · 253 V over it. With 10 Ω less 20 % in series a little less.
    #[test]
    fn without_a_stated_peak_resistance_bounds_it() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.inrush = None;
        let ohms = 3.0 / (1.1_f64 * 60.0 / 230.0).powi(2) * 234.5 / 329.5;
        let (peak, bound) = core_peak_a(&fixture.bench(), Limiter::Cold);
        assert!(bound);
        assert_relative_eq!(peak, 2.0_f64.sqrt() * 253.0 / ohms, max_relative = 0.02);
        let limited = fixture.limited();
        let (less, _) = core_peak_a(&limited.bench(), Limiter::Cold);
        assert_relative_eq!(1.0 / less - 1.0 / peak, 8.0 / (2.0_f64.sqrt() * 253.0), max_relative = 1e-9);
    }

    /// Second method: the exact first half cycle of one diode, over all phases, is never above the bound of the whole charging.
    #[test]
    fn charging_is_bounded_by_the_energy_of_the_reservoir() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        let exact = surge::first_half_cycle(&bench, Limiter::Cold, |_| false);
        assert!(!exact.bound);
        let whole = surge::whole_charging_a2s(&bench, Limiter::Cold);
        assert!(whole >= exact.integral_a2s && whole < 10.0 * exact.integral_a2s);
    }
}

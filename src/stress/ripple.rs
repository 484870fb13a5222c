//! Equivalent ripple current of the most loaded reservoir at every point.
//!
//! Knows no limit; the rules on ripple, core temperature and life share it.

use crate::circuit::{operate::OperatingPoint, reservoir};

use super::bench::{Bench, Worst};

/// Harmonics counted. Their squares fall at least as 1/h⁴ beyond the conduction angle's own, so 40 leave below 1e-4.
const HARMONICS: u32 = 40;

/// Greatest equivalent ripple current of the most loaded capacitor, A: `I_eq² = Σ (I_h/k_h)²`, shared among `n` with the
/// policy's imbalance.
pub fn equivalent(bench: &Bench<'_>) -> Worst {
    bench.greatest(|point| at(bench, point))
}

/// The same at one point, A.
pub fn at(bench: &Bench<'_>, point: &OperatingPoint) -> f64 {
    let reservoir_part = bench.assembly.reservoir.part;
    let squares: f64 = reservoir::capacitor_harmonics(&point.steady, HARMONICS)
        .iter()
        .map(|harmonic| {
            let frequency = f64::from(harmonic.order) * point.frequency_hz;
            let share = harmonic.rms_a() / multiplier(&reservoir_part.ripple_multipliers, frequency);
            share * share
        })
        .sum();
    let count = bench.assembly.reservoir.count;
    let imbalance = if count > 1 { bench.asked.policy.parameters.parallel_imbalance } else { 1.0 };
    squares.sqrt() / f64::from(count) * imbalance
}

/// Multiplier at a frequency: straight in the logarithm of frequency, held at the ends of the maker's table.
fn multiplier(table: &[(crate::quantity::Hertz, f64)], frequency_hz: f64) -> f64 {
    let (Some(first), Some(last)) = (table.first(), table.last()) else {
        return 1.0;
    };
    if frequency_hz <= first.0.0 {
        return first.1;
    }
    for pair in table.windows(2) {
        if let [(low, at_low), (high, at_high)] = pair
            && frequency_hz <= high.0
        {
            let share = (frequency_hz / low.0).ln() / (high.0 / low.0).ln();
            return at_low + share * (at_high - at_low);
        }
    }
    last.1
}

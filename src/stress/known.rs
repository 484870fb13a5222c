//! What several rules ask of the same points, found once.
//!
//! Knows neither rule nor part. A copy of a bench starts without: whoever copies may change what it was found from.

use std::sync::OnceLock;

use crate::circuit::supply::Body;

use super::{bench::Worst, position::Position};

/// Figures of a bench that were found already.
#[derive(Debug, Default)]
pub struct Known {
    ripple: [OnceLock<Option<Worst>>; 2],
    primary: [OnceLock<Worst>; 3],
}

impl Known {
    /// Equivalent ripple current of the most loaded capacitor of the first or the second bank.
    pub(super) fn ripple(&self, at: Position, find: impl FnOnce() -> Option<Worst>) -> Option<Worst> {
        let [first, second] = &self.ripple;
        let one = if at == Position::SectionCapacitor { second } else { first };
        *one.get_or_init(find)
    }

    /// Greatest primary current as a body sees the load.
    pub(super) fn primary(&self, body: Body, find: impl FnOnce() -> Worst) -> Worst {
        let [instant, light, heavy] = &self.primary;
        let one = match body {
            Body::Instant => instant,
            Body::Light => light,
            Body::Heavy => heavy,
        };
        *one.get_or_init(find)
    }
}

impl Clone for Known {
    fn clone(&self) -> Self {
        Self::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::{fixture::Fixture, ripple, winding};
    use approx::assert_relative_eq;

    /// A copy whose bank has twice the ESR at every point asks anew; the first bench keeps what it found.
    #[test]
    fn a_copy_of_a_bench_knows_nothing_yet() {
        let fixture = Fixture::regulated();
        let bench = fixture.bench();
        let (ripple_a, primary_a) = (
            ripple::equivalent(&bench, Position::Reservoir).unwrap().value,
            winding::greatest_primary_a(&bench, Body::Heavy).value,
        );
        let mut copy = bench.clone();
        for point in &mut copy.points {
            point.bank_rms_a *= 2.0;
            point.primary_load_rms_a *= 2.0;
        }
        assert!(ripple::equivalent(&copy, Position::Reservoir).unwrap().value > 1.2 * ripple_a);
        assert!(winding::greatest_primary_a(&copy, Body::Heavy).value > 1.5 * primary_a);
        assert_relative_eq!(ripple::equivalent(&bench, Position::Reservoir).unwrap().value, ripple_a);
    }
}

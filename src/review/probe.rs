//! A rail solved and judged again with something changed, and the edge at which what held no longer holds.
//!
//! Every trial is the exact solution at every vertex; nothing is extrapolated. Where the enclosure is given by its thermal
//! resistance the air inside follows the heat of every trial.

use super::recompute::{RailReview, Recomputed};
use crate::{
    requirement::{Rail, Requirement},
    stress::{
        assembly::Assembly,
        bench::{Asked, Bench},
        position::Position,
        registry,
        verdict::Verdict,
    },
};

/// Halvings of the interval in which an edge lies: 2⁻¹² of one step.
const HALVINGS: u32 = 12;
/// Steps in which an interval is walked before halving.
const STEPS: u32 = 8;

/// Which verdict: code, position, and which of several alike.
pub(super) type Key = (&'static str, Position, usize);

/// Verdicts with their keys, in order.
pub(super) fn keyed(verdicts: &[Verdict]) -> Vec<(Key, &Verdict)> {
    let mut keys: Vec<(Key, &Verdict)> = Vec::with_capacity(verdicts.len());
    for verdict in verdicts {
        let (code, position) = (verdict.code(), verdict.position());
        let nth = keys.iter().filter(|((one, at, _), _)| (*one, *at) == (code, position)).count();
        keys.push(((code, position, nth), verdict));
    }
    keys
}

/// The verdict of a key.
pub(super) fn verdict_of(verdicts: &[Verdict], (code, position, nth): Key) -> Option<&Verdict> {
    verdicts.iter().filter(|one| one.code() == code && one.position() == position).nth(nth)
}

/// All verdicts on a rail with other parts, the air inside with them; `None` without a steady state.
pub(super) fn judged(
    all: &Recomputed<'_>,
    review: &RailReview<'_>,
    assembly: &Assembly<'_>,
) -> Option<Vec<Verdict>> {
    let own = review.bench.asked;
    let inside_rise_k = all.rise_with(own.requirement, &review.record.rail, own.rail, assembly)?;
    let bench = Bench::build_whole(Asked { inside_rise_k, ..own }, *assembly).ok()?;
    Some(registry::judge(&bench))
}

/// What one rule says of a rail with another requirement and other parts; `None` without a steady state.
pub(super) fn one(
    all: &Recomputed<'_>,
    review: &RailReview<'_>,
    requirement: &Requirement,
    rail: &Rail,
    assembly: &Assembly<'_>,
    key: Key,
) -> Option<Verdict> {
    let inside_rise_k = all.rise_with(requirement, &review.record.rail, rail, assembly)?;
    let asked = Asked { requirement, rail, inside_rise_k, ..review.bench.asked };
    let bench = Bench::build_whole(asked, *assembly).ok()?;
    let mut verdicts = Vec::new();
    (registry::by_code(key.0)?.judge)(&bench, &mut verdicts);
    verdict_of(&verdicts, key).cloned()
}

/// Keys of what fails.
pub(super) fn failing(verdicts: &[Verdict]) -> Vec<Key> {
    keyed(verdicts).into_iter().filter(|(_, verdict)| !verdict.holds()).map(|(key, _)| key).collect()
}

/// The last value from `from` toward `to` at which `holds` is true; `None` where it is true all the way.
///
/// The interval is walked in equal steps and the first step in which it turns false is halved; `holds(from)` is taken as true.
pub(super) fn edge(from: f64, to: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let mut last = from;
    for step in 1..=STEPS {
        let at = from + (to - from) * f64::from(step) / f64::from(STEPS);
        if holds(at) {
            last = at;
            continue;
        }
        let mut beyond = at;
        for _ in 0..HALVINGS {
            let middle = 0.5 * (last + beyond);
            if holds(middle) {
                last = middle;
            } else {
                beyond = middle;
            }
        }
        return Some(last);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::edge;

    #[test]
    fn an_edge_is_found_in_either_direction_and_none_is_none() {
        let found = edge(1.0, 9.0, |value| value < 2.0f64.sqrt() * 3.0).unwrap();
        assert!((found - 2.0f64.sqrt() * 3.0).abs() < 1.0 / 4096.0 * 2.0, "{found}");
        let found = edge(1.0, 0.0, |value| value > 0.3).unwrap();
        assert!((found - 0.3).abs() < 1e-3, "{found}");
        assert_eq!(edge(1.0, 2.0, |_| true), None);
        assert!((edge(1.0, 2.0, |_| false).unwrap() - 1.0).abs() < 1e-12);
    }
}

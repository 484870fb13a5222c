//! A rail solved and judged again with something changed, and the edge at which what held no longer holds.
//!
//! Every trial is an exact solution; nothing is extrapolated. Where the enclosure is given by its thermal resistance the air
//! inside follows the heat of every trial. On the way to an edge a rail is solved at the vertices that are known to be worst,
//! at the edge itself at every vertex: a stress is never less where more vertices are solved, so what fails at some fails.

use std::cell::{Cell, RefCell};

use super::recompute::{RailReview, Recomputed};
use crate::{
    circuit::corner::Vertex,
    requirement::{Rail, Requirement},
    stress::{
        assembly::Assembly,
        bench::{Asked, Bench, Refusal},
        position::Position,
        registry,
        verdict::Verdict,
    },
};

/// Halvings of the interval in which an edge lies: 2⁻¹² of one step.
const HALVINGS: u32 = 12;
/// Steps in which an interval is walked before halving.
const STEPS: u32 = 8;

/// Rounds after which an edge is sought at every vertex all the way.
const ROUNDS_MAX: u32 = 12;

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

/// What a rail is tried with instead of what it has.
#[derive(Clone, Copy)]
pub(super) struct Trial<'t> {
    /// Another requirement.
    pub(super) requirement: &'t Requirement,
    /// Another rail asked.
    pub(super) rail: &'t Rail,
    /// Other parts.
    pub(super) assembly: Assembly<'t>,
}

/// Where a rail is solved.
#[derive(Clone, Copy)]
pub(super) enum Where<'w> {
    /// At every vertex.
    Everywhere,
    /// At the vertices watched.
    At(&'w Watch),
}

/// Verdicts of all rules, or of the one that is named, on a rail tried, the air inside with it; where there is no steady state the
/// vertex that has none, if it is known.
pub(super) fn judged(
    all: &Recomputed<'_>,
    review: &RailReview<'_>,
    trial: &Trial<'_>,
    looked: Where<'_>,
    code: Option<&str>,
) -> Result<Vec<Verdict>, Option<Vertex>> {
    let &Trial { requirement, rail, assembly } = trial;
    let inside_rise_k = all.rise_with(requirement, &review.record.rail, rail, &assembly).ok_or(None)?;
    let asked = Asked { requirement, rail, inside_rise_k, ..review.bench.asked };
    let bench = match looked {
        Where::Everywhere => Bench::build_whole(asked, assembly),
        Where::At(watch) => Bench::build(asked, assembly, watch.vertices.borrow().iter().copied()),
    };
    let bench = bench.map_err(|refusal| match refusal {
        Refusal::NoSteadyState { vertex, .. } => Some(vertex),
        Refusal::Unbuildable(_) => None,
    })?;
    let Some(code) = code else { return Ok(registry::judge(&bench)) };
    let mut verdicts = Vec::new();
    (registry::by_code(code).ok_or(None)?.judge)(&bench, &mut verdicts);
    Ok(verdicts)
}

/// The vertices at which a rail is looked at on the way to an edge.
pub(super) struct Watch {
    vertices: RefCell<Vec<Vertex>>,
    /// Nothing more can be learnt from where it fails: every look must be a whole one.
    blind: Cell<bool>,
}

impl Watch {
    /// Begins with some vertices; without any every look is a whole one.
    pub(super) fn of(vertices: impl Iterator<Item = Vertex>) -> Self {
        let mut known: Vec<Vertex> = Vec::new();
        for vertex in vertices {
            if !known.contains(&vertex) {
                known.push(vertex);
            }
        }
        let blind = known.is_empty();
        Self { vertices: RefCell::new(known), blind: Cell::new(blind) }
    }

    /// Learns where a rail failed that held at every vertex watched.
    pub(super) fn learn(&self, vertices: impl Iterator<Item = Vertex>) {
        let mut known = self.vertices.borrow_mut();
        let before = known.len();
        for vertex in vertices {
            if !known.contains(&vertex) {
                known.push(vertex);
            }
        }
        if known.len() == before {
            self.blind.set(true);
        }
    }

    /// As [`edge`], for what a whole look says; `quick` looks at the vertices watched alone, and `whole` teaches them.
    pub(super) fn edge(
        &self,
        from: f64,
        to: f64,
        quick: impl Fn(f64) -> bool,
        whole: impl Fn(f64) -> bool,
    ) -> Option<f64> {
        for _ in 0..ROUNDS_MAX {
            if self.blind.get() {
                break;
            }
            let found = edge(from, to, &quick);
            let at = found.unwrap_or(to);
            // The start holds: the review found so.
            if found == Some(from) || whole(at) {
                return found;
            }
        }
        edge(from, to, whole)
    }
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

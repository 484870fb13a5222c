//! What a search keeps of what it finds: any, the best, the best of several kinds, or everything up to a bound.
//!
//! Knows scores and part ids only.

use super::leaf::{Found, SCORE_TIE, order_of};

/// What a search is after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Whether there is anything at all.
    Any,
    /// The best.
    Best,
    /// The best of each of the best so many kinds.
    Kinds(usize),
    /// Every train up to the bound, each with its best completion; the search ends when there are more than so many.
    All(usize),
}

/// What makes two rails two kinds: transformer, topology or regulator.
pub fn kind<'f>(found: &'f Found<'_>) -> (&'f str, crate::circuit::spec::Topology, &'f str) {
    let assembly = &found.assembly;
    let regulator = assembly.regulation.as_ref().map_or("", |stage| stage.part.common.id.0.as_str());
    (&assembly.transformer.common.id.0, assembly.topology, regulator)
}

/// What is kept, best first.
#[derive(Clone, Debug)]
pub(super) struct Kept<'a> {
    wish: Wish,
    most: f64,
    found: Vec<Found<'a>>,
}

impl<'a> Kept<'a> {
    /// Nothing yet; what scores more than `most` is never kept.
    pub(super) fn new(wish: Wish, most: f64) -> Self {
        Self { wish, most, found: Vec::new() }
    }

    /// The score that a candidate must not exceed.
    pub(super) fn bound(&self) -> f64 {
        let full = match self.wish {
            Wish::Any if !self.found.is_empty() => return f64::NEG_INFINITY,
            Wish::All(count) if self.found.len() > count => return f64::NEG_INFINITY,
            Wish::Any | Wish::All(_) => None,
            Wish::Best => self.found.first(),
            Wish::Kinds(count) => count.checked_sub(1).and_then(|last| self.found.get(last)),
        };
        full.map_or(self.most, |last| last.score.min(self.most)) + SCORE_TIE
    }

    /// Keeps a rail if it is wished for.
    pub(super) fn keep(&mut self, found: Found<'a>) {
        if found.score > self.bound() {
            return;
        }
        let same = match self.wish {
            // Sorted once at the end.
            Wish::All(_) => {
                self.found.push(found);
                return;
            }
            Wish::Any | Wish::Best => self.found.first().map(|_| 0),
            Wish::Kinds(_) => self.found.iter().position(|known| kind(known) == kind(&found)),
        };
        if let Some(place) = same {
            if !self.found.get(place).is_some_and(|known| found.before(known)) {
                return;
            }
            self.found.remove(place);
        }
        let place = self.found.partition_point(|known| known.before(&found));
        self.found.insert(place, found);
        if let Wish::Kinds(count) = self.wish {
            self.found.truncate(count);
        }
    }

    /// Everything kept, best first.
    pub(super) fn into_found(mut self) -> Vec<Found<'a>> {
        if matches!(self.wish, Wish::All(_)) {
            self.found.sort_by(|a, b| {
                a.score.total_cmp(&b.score).then_with(|| order_of(&a.assembly).cmp(&order_of(&b.assembly)))
            });
            self.found.dedup_by(|a, b| order_of(&a.assembly) == order_of(&b.assembly));
        }
        self.found
    }
}

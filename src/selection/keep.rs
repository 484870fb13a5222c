//! What a search keeps of what it finds: any, the best, or everything up to a bound.
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
    /// Every train up to the bound, each with its best completion; the search ends when there are more than so many.
    All(usize),
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
        };
        full.map_or(self.most, |last| last.score.min(self.most)) + SCORE_TIE
    }

    /// Keeps a rail if it is wished for.
    pub(super) fn keep(&mut self, found: Found<'a>) {
        if found.score > self.bound() {
            return;
        }
        if matches!(self.wish, Wish::All(_)) {
            // Sorted once at the end.
            self.found.push(found);
        } else if self.found.first().is_none_or(|known| found.before(known)) {
            self.found = vec![found];
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

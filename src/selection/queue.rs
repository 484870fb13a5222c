//! Sources in the order of the least that anything behind them comes to.

use std::cmp::Ordering;

use super::bounds::Opened;

/// A source in the queue: the least it comes to, and itself once that was worked out.
pub(super) struct Waiting<'t, 'a> {
    pub(super) least: f64,
    pub(super) place: usize,
    pub(super) opened: Option<Opened<'t, 'a>>,
}

impl Ord for Waiting<'_, '_> {
    /// The least first, of equal ones the first of the list.
    fn cmp(&self, other: &Self) -> Ordering {
        other.least.total_cmp(&self.least).then_with(|| other.place.cmp(&self.place))
    }
}

impl PartialOrd for Waiting<'_, '_> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Waiting<'_, '_> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Waiting<'_, '_> {}

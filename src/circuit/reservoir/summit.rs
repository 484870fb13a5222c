//! The highest of the local maxima of a signal looked at on a grid, and whether another may be higher between the looks.
//!
//! On a grid finer than 0.4 rad of the fastest ringing a maximum between looks stands above the best look by at most an
//! eighth of that look's fall to its lower neighbour; twice that is allowed for. Knows nothing of circuits.

/// Of the fall from a look to its lower neighbour: how far a maximum beside it may stand above it.
const ABOVE: f64 = 0.25;

/// Looks seen so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Summits {
    last: [(f64, f64); 2],
    seen: u32,
    /// Value and angle of the best look.
    pub(super) best: (f64, f64),
    /// How high the two most promising local maxima may stand.
    reach: [f64; 2],
}

impl Summits {
    pub(super) const fn new() -> Self {
        Self { last: [(0.0, 0.0); 2], seen: 0, best: (f64::MIN, 0.0), reach: [f64::MIN; 2] }
    }

    /// Takes the next look. Where the one before is thereby known as a local maximum: its angle, and how high the signal
    /// may stand beside it.
    #[inline]
    pub(super) fn look(&mut self, value: f64, at: f64) -> Option<(f64, f64)> {
        if value > self.best.0 {
            self.best = (value, at);
        }
        let [before, middle] = self.last;
        self.last = [middle, (value, at)];
        self.seen += 1;
        let found = match self.seen {
            1 | 2 => return None,
            3 if before.0 > middle.0 => (before.1, before.0 + ABOVE * (before.0 - value).max(0.0)),
            _ if middle.0 >= before.0 && middle.0 >= value => {
                (middle.1, middle.0 + ABOVE * (middle.0 - before.0.min(value)))
            }
            _ => return None,
        };
        self.reach(found.1);
        Some(found)
    }

    /// The last look, where it is a local maximum, as [`Self::look`] tells of the others.
    pub(super) fn end(&self) -> Option<(f64, f64)> {
        let [before, end] = self.last;
        (end.0 > before.0).then_some((end.1, end.0 + ABOVE * (end.0 - before.0)))
    }

    /// Whether the signal may stand above the best look in more than one place.
    pub(super) fn contested(mut self) -> bool {
        if let Some((_, height)) = self.end() {
            self.reach(height);
        }
        self.reach[1] > self.best.0
    }

    fn reach(&mut self, height: f64) {
        let [first, second] = self.reach;
        self.reach = if height > first { [height, first] } else { [first, second.max(height)] };
    }
}

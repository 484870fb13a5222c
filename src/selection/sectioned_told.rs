//! What failures tell of the trains with a second section that are still to be looked at.

use std::collections::BTreeSet;

use crate::candidate::bank::BankOption;

/// A bank by the id of its part and how many there are.
pub(super) type Bank<'a> = (&'a str, u32);

/// A bank by name.
pub(super) fn name<'a>(bank: &BankOption<'a>) -> Bank<'a> {
    (bank.reservoir.part.common.id.0.as_str(), bank.reservoir.count)
}

/// Two banks and what joins them that ripple too much, whatever the rectifier.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rippling {
    /// Capacitance and ESR of the first bank.
    pub(super) first: (f64, f64),
    /// Resistance between them, or inductance.
    pub(super) link: f64,
    /// Capacitance and ESR of the second bank.
    pub(super) second: (f64, f64),
}

impl Rippling {
    /// Whether another with no more of what smooths ripples too.
    pub(super) fn tells(&self, other: &Self) -> bool {
        let weaker = |own: (f64, f64), other: (f64, f64)| other.0 <= own.0 && other.1 >= own.1;
        weaker(self.first, other.first) && other.link <= self.link && weaker(self.second, other.second)
    }
}

/// What failures have told of all that follows a source.
#[derive(Default)]
pub(super) struct Behind<'a> {
    pub(super) bare: Bare,
    pub(super) ripples: Vec<Rippling>,
    /// First bank, value between, second bank of which the second bears too much, whatever the rectifier.
    pub(super) failed: BTreeSet<(Bank<'a>, u64, Bank<'a>)>,
    /// Whether little is looked at, to find some design soon.
    pub(super) probe: bool,
    /// Trains that may still be looked at.
    pub(super) tries: u32,
}

impl Behind<'_> {
    /// Remembers what ripples; what that tells already is forgotten.
    pub(super) fn ripples(&mut self, one: Rippling) {
        self.ripples.retain(|other| !one.tells(other));
        self.ripples.push(one);
    }
}

/// What was not protected behind a source.
#[derive(Default)]
pub(super) struct Bare {
    /// Greatest resistance between the banks with which nothing was: less of it lets more through.
    pub(super) ohm: f64,
    /// Trains.
    pub(super) row: u32,
}

/// How a train with all that follows it ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ended {
    /// Another second bank may do better.
    Second,
    /// A second bank that smooths more may.
    Ripples,
    /// A second bank of less capacitance may.
    Surges,
    /// A resistor smaller by this may, Ω.
    Drops(f64),
    /// A resistor smaller by this factor may.
    Heats(f64),
    /// Another resistor or choke may.
    Link,
    /// Another first bank may.
    First,
    /// Another rectifier may.
    Rectifier,
    /// Nothing behind the source passes.
    Source,
}

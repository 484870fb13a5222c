//! What failures tell of the trains with a second section that are still to be looked at.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    candidate::{bank::BankOption, stage::StageOption},
    stress::{bench::Asked, position::Position, stage::load_high_a},
};

use super::{choked::CLEAR_MISS, fallen::Fallen};

/// By how much a stress of the transformer must miss for nothing behind it to mend that.
const SOURCE_MISS: f64 = 1.3;
/// Least by which a resistor that failed is made smaller, as a share or in Ω.
const LEAST_SHARE: f64 = 1e-3;
/// Factor by which a resistor is made smaller where that may leave a regulator enough to reject with.
const EASED: f64 = 1.05;

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
    /// First banks, and whether each ripples too much whatever follows.
    pub(super) dead: BTreeMap<Bank<'a>, bool>,
    /// Whether little is looked at, to find some design soon.
    pub(super) probe: bool,
    /// Trains that may still be looked at.
    pub(super) tries: u32,
    /// Estimates that may still be made.
    pub(super) estimates: u32,
}

impl Behind<'_> {
    /// Whether so many more estimates may be made; they count as made.
    pub(super) fn estimates_left(&mut self, count: u32) -> bool {
        self.estimates = self.estimates.saturating_sub(count);
        self.estimates > 0
    }

    /// Forgets what a stage has told; what the source has told stays.
    pub(super) fn next_stage(&mut self) {
        self.ripples.clear();
        self.failed.clear();
        self.dead.clear();
    }

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
    /// Another way of cooling the rectifier may, or another rectifier.
    Cooling,
    /// The same with another bleeder or way of cooling may.
    Mended,
    /// Another stage may.
    Stage,
    /// Nothing behind the source passes.
    Source,
}

impl Ended {
    /// Of a train that fell with every way of cooling its regulator.
    pub(super) fn of_coolings(fell: &[(usize, Fallen<'_>)]) -> Self {
        let sags = |code: &str| ["regulator-headroom", "regulator-output-ripple"].contains(&code);
        let sagged = fell.iter().any(|(_, one)| matches!(one, Fallen::Worked { code, .. } if sags(code)));
        if sagged { Self::Heats(EASED) } else { Self::Link }
    }
}

/// How a train ended that fell by a number or for want of a rating.
pub(super) fn told(asked: Asked<'_>, stage: &StageOption<'_>, fallen: &Fallen<'_>) -> Ended {
    let rail = asked.rail;
    let dropped = |short_v: f64| Ended::Drops(LEAST_SHARE.max(short_v / load_high_a(rail)));
    match *fallen {
        Fallen::Worked { code: "rectifier-surge-current", utilisation, .. } => {
            if utilisation > CLEAR_MISS {
                Ended::Rectifier
            } else {
                Ended::First
            }
        }
        Fallen::Worked { code: "rectifier-surge-i2t", .. } => Ended::Surges,
        Fallen::Worked { code: "raw-voltage-window", utilisation, .. } => {
            dropped(rail.voltage.0 * (1.0 - rail.tolerance.0) * (1.0 - 1.0 / utilisation))
        }
        // What a headroom lacks counts in parts of the output.
        Fallen::Worked { code: "regulator-headroom", utilisation, .. } => {
            dropped(rail.voltage.0 * (utilisation - 1.0))
        }
        Fallen::Worked { code: "regulator-output-ripple", .. } => Ended::Heats(EASED),
        Fallen::Worked { code: "resistor-power" | "choke-rms-current", utilisation, .. } => {
            Ended::Heats(utilisation.max(1.0 + LEAST_SHARE))
        }
        Fallen::Worked { code: "section-resistor-short", utilisation, .. } => match stage.regulation {
            Some(_) => Ended::Heats(utilisation.max(1.0 + LEAST_SHARE)),
            None => Ended::Link,
        },
        Fallen::Worked { code: "transformer-dc-magnetisation", .. } => Ended::Source,
        Fallen::Worked { code, utilisation, .. }
            if utilisation > SOURCE_MISS && code.starts_with("transformer-") =>
        {
            Ended::Source
        }
        Fallen::Worked { code: "raw-ripple", utilisation, .. } if utilisation > CLEAR_MISS => Ended::Ripples,
        Fallen::Worked {
            code: "rectifier-average-current" | "rectifier-junction-temperature",
            utilisation,
            ..
        } if utilisation > CLEAR_MISS => Ended::Cooling,
        Fallen::Lacking(position, _) => match position {
            Position::Transformer => Ended::Source,
            Position::Regulator => Ended::Stage,
            Position::Rectifier => Ended::Rectifier,
            Position::Reservoir => Ended::First,
            _ => Ended::Second,
        },
        _ => Ended::Mended,
    }
}

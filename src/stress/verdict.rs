//! What a rule says: a stress with both its numbers, a missing rating, or why it does not apply.

use crate::{circuit::corner::Vertex, policy::Known};

use super::position::Position;

/// Unit of a stress's figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Degrees Celsius.
    Celsius,
    /// Ampere-squared seconds.
    AmpsSquaredSeconds,
    /// Hours.
    Hours,
    /// Seconds.
    Seconds,
    /// Volts per hertz.
    VoltsPerHertz,
    /// Farads.
    Farads,
    /// Ohms.
    Ohms,
    /// Joules.
    Joules,
    /// A pure ratio, printed in per cent.
    Percent,
    /// A count or class.
    Count,
}

/// How applied and limit compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sense {
    /// Applied must not exceed the limit; utilisation is applied over limit.
    AtMost,
    /// Applied must not fall below the limit; utilisation is limit over applied.
    AtLeast,
    /// A temperature: utilisation is `(T − reference)/(limit − reference)`.
    Temperature {
        /// Local air, °C.
        reference_c: f64,
    },
}

/// Where the limit comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// A limit of the policy.
    Policy {
        /// Its clause.
        clause: String,
        /// How it is known.
        known: Known,
    },
    /// The rating itself: the policy names no limit for this stress.
    Rating,
    /// The requirement.
    Requirement,
    /// A published standard, named.
    Standard(&'static str),
}

/// How hard a part is worked in one respect.
#[derive(Clone, Debug, PartialEq)]
pub struct Stress {
    /// Code of the rule.
    pub code: &'static str,
    /// Where.
    pub position: Position,
    /// Value applied at the worst vertex.
    pub applied: f64,
    /// The part's own rating, where the rule has one.
    pub rating: Option<f64>,
    /// What the policy leaves of it.
    pub limit: f64,
    /// Unit of the three.
    pub unit: Unit,
    /// How they compare.
    pub sense: Sense,
    /// Worst vertex; `None` where no vertex enters.
    pub vertex: Option<Vertex>,
    /// Where the limit comes from.
    pub origin: Origin,
    /// A remark, such as a bound used instead of a figure; empty if none.
    pub note: String,
}

/// Relative tolerance within which equality passes.
pub const EQUALITY: f64 = 1e-9;

impl Stress {
    /// Utilisation; above 1 fails.
    pub fn utilisation(&self) -> f64 {
        let ratio = match self.sense {
            Sense::AtMost => {
                if self.applied <= 0.0 {
                    0.0
                } else {
                    self.applied / self.limit
                }
            }
            Sense::AtLeast => {
                if self.limit <= 0.0 {
                    0.0
                } else {
                    self.limit / self.applied
                }
            }
            Sense::Temperature { reference_c } => {
                let room = self.limit - reference_c;
                let rise = self.applied - reference_c;
                if rise <= 0.0 && room >= 0.0 { 0.0 } else { rise / room }
            }
        };
        // A limit or an applied minimum at or beyond its end leaves nothing: worse than any ratio.
        if ratio.is_nan() || ratio < 0.0 { f64::INFINITY } else { ratio }
    }

    /// Whether the stress stays within its limit.
    pub fn holds(&self) -> bool {
        self.utilisation() <= 1.0 + EQUALITY
    }
}

/// What a rule says of one rail.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// A stress, within its limit or not.
    Stress(Stress),
    /// The part states no rating that the rule needs: the part fails.
    MissingRating {
        /// Code of the rule.
        code: &'static str,
        /// Where.
        position: Position,
        /// Which rating.
        rating: &'static str,
    },
    /// A fact that fails or passes without numbers, such as an insulation class.
    Fact {
        /// Code of the rule.
        code: &'static str,
        /// Where.
        position: Position,
        /// Whether it holds.
        holds: bool,
        /// What was found against what is needed.
        text: String,
    },
    /// The rule does not apply here.
    NotApplicable {
        /// Code of the rule.
        code: &'static str,
        /// Where.
        position: Position,
        /// Why not.
        why: &'static str,
    },
}

impl Verdict {
    /// Whether nothing is wrong.
    pub fn holds(&self) -> bool {
        match self {
            Self::Stress(stress) => stress.holds(),
            Self::Fact { holds, .. } => *holds,
            Self::MissingRating { .. } => false,
            Self::NotApplicable { .. } => true,
        }
    }

    /// Code of the rule.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Stress(stress) => stress.code,
            Self::Fact { code, .. } | Self::MissingRating { code, .. } | Self::NotApplicable { code, .. } => {
                code
            }
        }
    }

    /// Position judged.
    pub fn position(&self) -> Position {
        match self {
            Self::Stress(stress) => stress.position,
            Self::Fact { position, .. }
            | Self::MissingRating { position, .. }
            | Self::NotApplicable { position, .. } => *position,
        }
    }
}

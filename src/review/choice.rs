//! What a search adds to a design: the topologies it considered, the alternatives, and what binds when nothing fits.
//!
//! Plain data, filled by whoever searched; review copies it into the dossier and believes no number of it for a verdict.

use serde::Serialize;

use super::figure::Figure;
use crate::quantity::Money;

/// What came of a topology on one rail.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The best that can be built.
    Best {
        /// Cost of one supply's share at the build quantity.
        cost: Money,
        /// Loss at nominal mains and full load.
        loss: Figure,
        /// Volume of all parts.
        volume: Figure,
        /// Rating of the transformer.
        rating: Figure,
        /// What the rectifier makes of it: dc power over transformer rating.
        utilisation: Figure,
        /// Part numbers that make it, transformer first.
        parts: Vec<String>,
        /// Whether this is the design chosen.
        chosen: bool,
    },
    /// No combination of catalog parts passes.
    Impossible {
        /// Position that cannot be filled.
        position: String,
        /// Stress that forbids it.
        stress: String,
        /// By how much the best part misses, in words and figures.
        by: String,
    },
    /// The requirement does not allow it.
    NotAllowed,
    /// It takes two rails on one transformer, and no such pair was found that scores less.
    NoPair,
    /// The tool does not build it yet.
    NotBuilt,
}

/// One topology on one rail.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TopologyRow {
    /// Rail.
    pub rail: String,
    /// Topology, as files write it.
    pub topology: String,
    /// What came of it.
    pub outcome: Outcome,
}

/// A distinct design that was not chosen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alternative {
    /// Rail on which it differs.
    pub rail: String,
    /// Where it differs from the design: `transformer: A instead of B`.
    pub differs: Vec<String>,
    /// What it would gain.
    pub gains: Vec<String>,
    /// What it would lose.
    pub losses: Vec<String>,
    /// Cost of one supply at the build quantity.
    pub cost: Money,
    /// Loss at nominal mains and full load.
    pub loss: Figure,
    /// Volume of all parts.
    pub volume: Figure,
    /// Mass of all parts; absent where a part states none.
    pub mass: Option<Figure>,
}

/// What stands in the way when nothing fits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Binding {
    /// Rail.
    pub rail: String,
    /// Position that cannot be filled.
    pub position: String,
    /// Code of the stress that binds.
    pub stress: String,
    /// The part that comes closest.
    pub best_part: String,
    /// How far it misses, in words and figures.
    pub misses_by: String,
    /// What leads there, link by link.
    pub chain: Vec<String>,
}

/// The smallest change of one requirement, found by solving.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Relaxation {
    /// Dotted key in the requirements file.
    pub key: String,
    /// Value asked.
    pub from: String,
    /// Value that would do, or the slackest tried where none does.
    pub to: String,
    /// Whether a design exists at `to`.
    pub feasible: bool,
}

/// What the reader should know of the search: a choice cut off, a bound used, a count.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SearchNote {
    /// In words.
    pub text: String,
}

/// What the search adds to a design.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Choice {
    /// Every topology on every rail.
    pub topologies: Vec<TopologyRow>,
    /// The best distinct alternatives.
    pub alternatives: Vec<Alternative>,
    /// Notes.
    pub notes: Vec<SearchNote>,
}

/// The answer when nothing fits.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Infeasible {
    /// Name of the supply.
    pub supply: String,
    /// What it is for.
    pub description: String,
    /// What binds.
    pub bindings: Vec<Binding>,
    /// Every topology on every rail.
    pub topologies: Vec<TopologyRow>,
    /// The smallest single relaxations.
    pub relaxations: Vec<Relaxation>,
    /// Notes.
    pub notes: Vec<SearchNote>,
    /// Every default the requirement assumed.
    pub assumptions: Vec<super::dossier::Assumption>,
}

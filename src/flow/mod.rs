//! The whole program on two screens: from a requirement to a record, and from a record to what is true of it.

mod buy;
pub mod corner;
mod explain;
mod refuse;

pub use buy::{Bought, buy};

use crate::{
    catalog::Catalog,
    policy::Policy,
    record::{RailChoice, Record, record},
    requirement::Requirement,
    review::{self, Choice, Dossier, Infeasible},
    selection::choose::{self, RailOutcome},
};

/// What a design starts from.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// What is asked.
    pub requirement: &'a Requirement,
    /// SHA-256 of the requirements file.
    pub requirement_digest: &'a str,
    /// What can be bought.
    pub catalog: &'a Catalog,
    /// What is allowed.
    pub policy: &'a Policy,
}

/// The answer to a design.
#[derive(Clone, Debug)]
pub enum Answer {
    /// A design, with what is true of it: it passes its own audit.
    Designed {
        /// What is handed over.
        record: Box<Record>,
        /// What is true of it.
        dossier: Box<Dossier>,
    },
    /// Nothing fits.
    Infeasible(Box<Infeasible>),
}

/// From a requirement to a record that passes its own audit, or to the reasons why there is none.
///
/// A design is a selection followed by an audit of its own record: review takes the parts from the record and none of the
/// numbers of the selection.
pub fn design(asked: Asked<'_>) -> Answer {
    let inputs =
        choose::Inputs { requirement: asked.requirement, catalog: asked.catalog, policy: asked.policy };
    let shop = choose::open(inputs);
    let rails = choose::solo(inputs, &shop, &choose::nothing_banned());
    let Some(choices) = choices(asked.requirement, &rails) else {
        return Answer::Infeasible(Box::new(refuse::infeasible(asked, &rails)));
    };
    let record = record(asked.requirement, asked.requirement_digest, asked.policy, asked.catalog, &choices);
    let choice = explain::choice(asked, &rails);
    let dossier = audit(asked, &record, Some(choice), None);
    Answer::Designed { record: Box::new(record), dossier: Box::new(dossier) }
}

/// What is true of a record, judged anew from its parts.
pub fn audit(asked: Asked<'_>, record: &Record, choice: Option<Choice>, today: Option<&str>) -> Dossier {
    let inputs = review::Inputs {
        requirement: asked.requirement,
        requirement_digest: asked.requirement_digest,
        record,
        catalog: asked.catalog,
        policy: asked.policy,
        today,
    };
    review::audit(inputs, choice)
}

/// The best of every rail; `None` where a rail has none.
fn choices<'a>(requirement: &'a Requirement, rails: &[RailOutcome<'a>]) -> Option<Vec<RailChoice<'a>>> {
    rails
        .iter()
        .map(|outcome| {
            let rail = requirement.rails.get(outcome.rail)?;
            Some(RailChoice { rail: &rail.name, assembly: outcome.best()?.assembly })
        })
        .collect()
}

//! The whole program on two screens: from a requirement to a record, and from a record to what is true of it.

mod alternatives;
mod buy;
pub mod corner;
mod coupled;
mod explain;
mod refuse;

pub use buy::{Bought, buy};

use crate::{
    catalog::Catalog,
    policy::Policy,
    record::{RailChoice, Record, record},
    requirement::Requirement,
    review::{self, Choice, Dossier, Infeasible, SearchNote},
    selection::{
        choose,
        joint::{Cut, cut_of, joint},
        leaf::Found,
    },
};

/// Combinations that verification may refuse before selection gives up.
const CUTS_MAX: usize = 20;

/// What a combination of rails may score above the least that the search has proven, as a share.
const WITHIN: f64 = 0.02;

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
    let searches = choose::Searches::of(inputs, &shop);
    let rails = searches.solo();
    let first = joint(inputs, &rails, &[], WITHIN);
    let coupled = coupled::coupled(inputs, &rails, first.as_ref());
    if let Some(shared) = coupled.best() {
        let (record, mut dossier) = verified(asked, &shared.rails);
        if dossier.passes() {
            dossier.choice = Some(explain::coupled(inputs, &searches, &rails, shared, first.as_ref()));
            return Answer::Designed { record: Box::new(record), dossier: Box::new(dossier) };
        }
    }
    let mut cuts: Vec<Cut> = Vec::new();
    let mut next = first;
    while let Some(joint) = next {
        let (record, mut dossier) = verified(asked, &joint.rails);
        if dossier.passes() {
            let mut choice = explain::choice(inputs, &searches, &rails, &joint, cuts.len());
            choice.notes.extend(coupled.note());
            dossier.choice = Some(choice);
            return Answer::Designed { record: Box::new(record), dossier: Box::new(dossier) };
        }
        // Verified anew and refused: cut off, and on with the next.
        cuts.push(joint.rails.iter().map(cut_of).collect());
        next = if cuts.len() < CUTS_MAX { self::joint(inputs, &rails, &cuts, WITHIN) } else { None };
    }
    let mut refusal = refuse::infeasible(asked, &rails);
    if !cuts.is_empty() {
        refusal.notes.push(SearchNote {
            text: format!(
                "the {} best combinations of parts that pass rail by rail fail the audit of the whole supply",
                cuts.len()
            ),
        });
    }
    Answer::Infeasible(Box::new(refusal))
}

/// The record of what was chosen, and what is true of it.
fn verified(asked: Asked<'_>, rails: &[Found<'_>]) -> (Record, Dossier) {
    let choices = choices(asked.requirement, rails);
    let record = record(asked.requirement, asked.requirement_digest, asked.policy, asked.catalog, &choices);
    let dossier = audit(asked, &record, None, None);
    (record, dossier)
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

/// What was chosen of every rail, by name.
fn choices<'a>(requirement: &'a Requirement, rails: &[Found<'a>]) -> Vec<RailChoice<'a>> {
    let named = requirement.rails.iter().zip(rails);
    named.map(|(rail, found)| RailChoice { rail: &rail.name, assembly: found.assembly }).collect()
}

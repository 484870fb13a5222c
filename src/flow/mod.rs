//! The whole program on two screens: from a requirement to a record, and from a record to what is true of it.

mod alternatives;
mod buy;
pub mod corner;
mod coupled;
mod explain;
mod inside;
mod refuse;

pub use buy::{Bought, buy};

use crate::{
    catalog::Catalog,
    policy::Policy,
    record::{RailChoice, Record, record},
    requirement::{Enclosure, Requirement},
    review::{self, Choice, Dossier, Infeasible, SearchNote},
    selection::{
        choose::{self, RailOutcome},
        joint::{Cut, cut_of, joint},
        leaf::Found,
    },
};

/// Combinations that verification may refuse before selection gives up.
const CUTS_MAX: usize = 20;

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
    match asked.requirement.ambient.enclosure {
        Enclosure::Rise(_) => match attempt(asked, asked.requirement, CUTS_MAX) {
            Ok(found) => found.answer,
            Err(refused) => refused.answer(asked),
        },
        Enclosure::Resistance(_) => inside::settle(asked),
    }
}

/// Nothing that passes, with what stood in the way.
struct Refused<'a> {
    rails: Vec<RailOutcome<'a>>,
    /// Combinations that the audit refused.
    cuts: usize,
    /// Rise of the air inside that the first of them brings about, K.
    rise_k: Option<f64>,
}

impl Refused<'_> {
    /// The reasons, under the requirement that selection went by.
    fn answer(&self, asked: Asked<'_>) -> Answer {
        let mut refusal = refuse::infeasible(asked, &self.rails);
        if self.cuts > 0 {
            refusal.notes.push(SearchNote {
                text: format!(
                    "the {} best combinations of parts that pass rail by rail fail the audit of the whole supply",
                    self.cuts
                ),
            });
        }
        Answer::Infeasible(Box::new(refusal))
    }
}

/// A design with what it was chosen by.
struct Attempt {
    answer: Answer,
    score: f64,
    /// Rise of the air inside that its loss brings about, K.
    rise_k: f64,
}

/// Selects under one requirement and audits under the one that was asked: they differ by the rise of the air inside alone.
/// `cuts_max` combinations may be refused before it gives up.
fn attempt<'a>(asked: Asked<'a>, selected: &'a Requirement, cuts_max: usize) -> Result<Attempt, Refused<'a>> {
    let inputs = choose::Inputs { requirement: selected, catalog: asked.catalog, policy: asked.policy };
    let shop = choose::open(inputs);
    let searches = choose::Searches::of(inputs, &shop);
    let rails = searches.solo();
    let within = asked.requirement.proven_within.0;
    let first = joint(inputs, &rails, &[], within);
    let coupled = coupled::coupled(inputs, &rails, first.as_ref());
    if let Some(shared) = coupled.best() {
        let (record, mut dossier) = verified(asked, &shared.rails);
        if dossier.passes() {
            dossier.choice = Some(explain::coupled(inputs, &searches, &rails, shared, first.as_ref()));
            let (rise_k, _) = inside::rise(asked, &shared.rails);
            let answer = Answer::Designed { record: Box::new(record), dossier: Box::new(dossier) };
            return Ok(Attempt { answer, score: shared.score, rise_k });
        }
    }
    let (mut cuts, mut rise_k): (Vec<Cut>, Option<f64>) = (Vec::new(), None);
    let mut next = first;
    while let Some(joint) = next {
        let (record, mut dossier) = verified(asked, &joint.rails);
        let (own_k, rests) = inside::rise(asked, &joint.rails);
        if dossier.passes() {
            let mut choice = explain::choice(inputs, &searches, &rails, &joint, cuts.len());
            choice.notes.extend(coupled.note());
            dossier.choice = Some(choice);
            let answer = Answer::Designed { record: Box::new(record), dossier: Box::new(dossier) };
            return Ok(Attempt { answer, score: joint.score, rise_k: own_k });
        }
        rise_k = rise_k.or(rests.then_some(own_k));
        // Verified anew and refused: cut off, and on with the next.
        cuts.push(joint.rails.iter().map(cut_of).collect());
        next = if cuts.len() < cuts_max { self::joint(inputs, &rails, &cuts, within) } else { None };
    }
    Err(Refused { rails, cuts: cuts.len(), rise_k })
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

//! One transformer for several rails against one for each.
//!
//! Searches nothing itself: it asks for groups and weighs whole supplies.

use crate::{
    requirement::Requirement,
    review::SearchNote,
    selection::{
        choose::{Inputs, RailOutcome},
        group::group,
        joint::Joint,
        leaf::Found,
        partners::{candidates, pieces_most},
        share::{least_added, score},
    },
};

/// A supply of which some rails share a transformer.
pub(super) struct Shared<'a> {
    /// Choice of each rail.
    pub(super) rails: Vec<Found<'a>>,
    /// Which share: first the one that lists what all share.
    pub(super) group: Vec<usize>,
    /// Score of all together.
    pub(super) score: f64,
}

/// What came of the attempt to let rails share.
pub(super) struct Coupled<'a> {
    best: Option<Shared<'a>>,
    /// Names of the groups that were tried.
    tried: Vec<String>,
}

impl<'a> Coupled<'a> {
    /// The best that scores less than a transformer for each.
    pub(super) fn best(&self) -> Option<&Shared<'a>> {
        self.best.as_ref()
    }

    /// What a design with a transformer for each should say of it.
    pub(super) fn note(&self) -> Option<SearchNote> {
        (!self.tried.is_empty()).then(|| SearchNote {
            text: format!(
                "one transformer for {} was tried: nothing was found that holds at every vertex and scores less than a \
                 transformer each",
                self.tried.join(", ")
            ),
        })
    }
}

/// The best supply of which some rails share a transformer, if one was found that scores less than `apart`.
///
/// The other rails stay as they are best, together or alone; one without a design alone leaves nothing to weigh.
pub(super) fn coupled<'a>(
    inputs: Inputs<'a>,
    rails: &[RailOutcome<'a>],
    apart: Option<&Joint<'a>>,
) -> Coupled<'a> {
    let mut all = Coupled { best: None, tried: Vec::new() };
    for some in candidates(inputs) {
        let others: Option<Vec<(usize, Found<'a>)>> = (0..rails.len())
            .filter(|rail| !some.contains(rail))
            .map(|rail| {
                let known = apart.and_then(|joint| joint.rails.get(rail));
                known.or_else(|| rails.get(rail)?.best()).map(|found| (rail, found.clone()))
            })
            .collect();
        let Some(others) = others else { continue };
        let weigh = |found: &[(usize, Found<'a>)]| {
            score(inputs.requirement, found.iter().map(|(_, one)| (one.assembly, one.loss_w)))
        };
        let known = all.best.as_ref().map(|one| one.score).or(apart.map(|joint| joint.score));
        let most = known.unwrap_or(f64::INFINITY);
        let alone = others.iter().map(|(_, one)| (one.assembly, one.loss_w));
        let room = most
            - least_added(inputs.requirement, alone, |position| pieces_most(inputs, some.len(), position));
        all.tried.push(names(inputs.requirement, &some));
        let Some(found) = group(inputs, &some, room) else { continue };
        let mut chosen = others;
        chosen.extend(found.rails.iter().copied().zip(found.found));
        chosen.sort_by_key(|(rail, _)| *rail);
        let total = weigh(&chosen);
        if total < most {
            let rails = chosen.into_iter().map(|(_, found)| found).collect();
            all.best = Some(Shared { rails, group: found.rails, score: total });
        }
    }
    all
}

/// Names of some rails in a sentence.
pub(super) fn names(requirement: &Requirement, rails: &[usize]) -> String {
    let name = |rail: &usize| requirement.rails.get(*rail).map_or("", |one| one.name.as_str());
    let all: Vec<&str> = rails.iter().map(name).collect();
    match all.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => all.join(", "),
    }
}

//! One transformer for two rails against one for each.
//!
//! Searches nothing itself: it asks for pairs and weighs whole supplies.

use crate::{
    review::SearchNote,
    selection::{
        choose::{Inputs, RailOutcome},
        joint::Joint,
        leaf::Found,
        pairs::pair,
        partners::candidates,
        share::score,
    },
};

/// A supply of which two rails share a transformer.
pub(super) struct Shared<'a> {
    /// Choice of each rail.
    pub(super) rails: Vec<Found<'a>>,
    /// Which two share: first the one that lists what both share.
    pub(super) pair: [usize; 2],
    /// Score of all together.
    pub(super) score: f64,
}

/// What came of the attempt to let rails share.
pub(super) struct Coupled<'a> {
    best: Option<Shared<'a>>,
    /// Names of the pairs that were tried.
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
                "one transformer for {} was tried: no pair was found that holds at every vertex and scores less than a \
                 transformer each",
                self.tried.join(", ")
            ),
        })
    }
}

/// The best supply of which two rails share a transformer, if one was found that scores less than `apart`.
///
/// The other rails stay as they are best, together or alone; one without a design alone leaves nothing to weigh.
pub(super) fn coupled<'a>(
    inputs: Inputs<'a>,
    rails: &[RailOutcome<'a>],
    apart: Option<&Joint<'a>>,
) -> Coupled<'a> {
    let mut all = Coupled { best: None, tried: Vec::new() };
    for two in candidates(inputs) {
        let others: Option<Vec<(usize, Found<'a>)>> = (0..rails.len())
            .filter(|rail| !two.contains(rail))
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
        // Bought with the others a pair counts no less than what its order adds to theirs, and no more than alone.
        let most = known.unwrap_or(f64::INFINITY);
        let name = |rail: usize| inputs.requirement.rails.get(rail).map_or("", |one| one.name.as_str());
        all.tried.push(format!("{} and {}", name(two[0]), name(two[1])));
        let Some(found) = pair(inputs, two, most) else { continue };
        let [first, second] = found.found;
        let mut chosen = others;
        chosen.extend([(two[0], first), (two[1], second)]);
        chosen.sort_by_key(|(rail, _)| *rail);
        let total = weigh(&chosen);
        if total < most {
            let rails = chosen.into_iter().map(|(_, found)| found).collect();
            all.best = Some(Shared { rails, pair: two, score: total });
        }
    }
    all
}

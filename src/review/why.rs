//! Why each part stands where it stands: the stress of its position that is nearest to its limit, and what that rule asks.
//!
//! Takes the verdicts; chooses nothing.

use super::{
    dossier::{Tightest, WhyLine},
    figure::{Figure, Unit},
    recompute::RailReview,
    words,
};
use crate::{
    numeric::tie::first_greatest,
    stress::{
        position::Position,
        registry,
        verdict::{Stress, Verdict},
    },
};

/// The stress with the greatest utilisation, of one position or of all; of those that tie the first.
fn tightest_of<'r>(rail: &'r RailReview<'_>, position: Option<Position>) -> Option<&'r Stress> {
    let stresses = rail.verdicts.iter().filter_map(|verdict| match verdict {
        Verdict::Stress(stress) if position.is_none_or(|position| stress.position == position) => {
            Some(stress)
        }
        _ => None,
    });
    first_greatest(stresses, |stress| stress.utilisation())
}

/// The stress of a rail nearest to its limit.
pub(super) fn tightest(rail: &RailReview<'_>) -> Option<Tightest> {
    tightest_of(rail, None).map(|stress| Tightest {
        position: stress.position.words().to_owned(),
        stress: stress.code.to_owned(),
        utilisation: Figure::new(stress.utilisation(), Unit::Percent),
    })
}

/// One line a position.
pub(super) fn why(rail: &RailReview<'_>) -> Vec<WhyLine> {
    rail.bench
        .assembly
        .lines()
        .iter()
        .map(|line| WhyLine {
            rail: rail.record.rail.clone(),
            position: line.position.words().to_owned(),
            text: reason(rail, line.position),
        })
        .collect()
}

fn reason(rail: &RailReview<'_>, position: Position) -> String {
    let judged = rail.verdicts.iter().filter(|verdict| {
        verdict.position() == position && !matches!(verdict, Verdict::NotApplicable { .. })
    });
    let count = judged.count();
    let Some(stress) = tightest_of(rail, Some(position)) else {
        return match count {
            0 => String::from("no rule judges it alone; it counts in the rules of the parts beside it"),
            _ => format!("{count} judged without numbers"),
        };
    };
    let asks = registry::by_code(stress.code).map_or("", |rule| rule.page.asks);
    let used = Figure::new(stress.utilisation(), Unit::Percent)
        .map_or_else(|| String::from("beyond any ratio"), |used| format!("{} used", used.text()));
    let vertex = stress.vertex.map_or_else(String::new, |vertex| format!(" at {}", words::vertex(&vertex)));
    format!("{}: {used}{vertex}; {asks} ({count} judged here)", stress.code)
}

//! A design whose air inside is as warm as its own loss makes it.
//!
//! Selection needs the rise before there are parts. It begins as if the rails lost what they deliver, and goes on with what the
//! design found loses: up where that is more, down as long as a better design is found.

use crate::{
    quantity::Kelvins,
    requirement::{Enclosure, Requirement},
    selection::{choose::inside_rise_k, leaf::Found},
    stress::loss,
};

use super::{Answer, Asked, Attempt, CUTS_MAX, attempt};

/// Rises that selection is tried at.
const ROUNDS_MAX: u32 = 8;
/// What a rise is taken above that of a design, relative: the next is to pass with it.
const ABOVE: f64 = 1.005;
/// What is tried next where nothing fits, relative.
const LOWER: f64 = 0.6;
/// A rise is not narrowed down further than this, relative.
const CLOSE: f64 = 0.98;

/// The best design over the rises tried; the reasons at the first where none has one.
pub(super) fn settle(asked: Asked<'_>) -> Answer {
    let first_k = inside_rise_k(asked.requirement);
    let mut rise_k = first_k;
    let (mut fails_k, mut holds_k) = (0.0, first_k);
    let mut best: Option<Attempt> = None;
    for _ in 0..ROUNDS_MAX {
        let selected = with_rise(asked.requirement, rise_k);
        match attempt(asked, &selected, 1) {
            Ok(next) => {
                holds_k = rise_k;
                let own_k = next.rise_k * ABOVE;
                rise_k = if own_k > fails_k { own_k } else { f64::midpoint(fails_k, holds_k) };
                if best.as_ref().is_none_or(|known| next.score < known.score) {
                    best = Some(next);
                }
            }
            Err(refused) if best.is_none() => {
                // Too warm for anything, or not as warm as what was chosen makes it.
                if let Some(own_k) = refused.rise_k.filter(|&own_k| own_k > rise_k) {
                    fails_k = rise_k;
                    rise_k = own_k * ABOVE;
                } else {
                    rise_k = (LOWER * rise_k).max(f64::midpoint(fails_k, rise_k));
                }
                continue;
            }
            Err(_) => {
                fails_k = rise_k;
                rise_k = f64::midpoint(fails_k, holds_k);
            }
        }
        if rise_k >= CLOSE * holds_k {
            break;
        }
    }
    if let Some(found) = best {
        return found.answer;
    }
    let first = with_rise(asked.requirement, first_k);
    match attempt(asked, &first, CUTS_MAX) {
        Ok(found) => found.answer,
        Err(refused) => refused.answer(Asked { requirement: &first, ..asked }),
    }
}

/// Rise of the air inside that some rails bring about, K, and whether it comes to rest.
pub(super) fn rise(asked: Asked<'_>, rails: &[Found<'_>]) -> (f64, bool) {
    let built: Vec<_> =
        asked.requirement.rails.iter().zip(rails.iter().map(|found| found.assembly)).collect();
    loss::inside_rise(asked.requirement, asked.policy, &built)
}

fn with_rise(requirement: &Requirement, rise_k: f64) -> Requirement {
    let mut selected = requirement.clone();
    selected.ambient.enclosure = Enclosure::Rise(Kelvins(rise_k));
    selected
}

//! Short ways for a rule to say what it found.
//!
//! Knows no rule; a stress starts plain, and a rule adds rating, vertex and note where it has them.

use super::{
    bench::{Bench, Worst},
    position::Position,
    verdict::{Origin, Sense, Stress, Unit, Verdict},
};

/// A stress with both its numbers and nothing else; the origin is a rating until told otherwise.
pub(super) fn stress(
    code: &'static str,
    position: Position,
    unit: Unit,
    sense: Sense,
    applied: f64,
    limit: f64,
) -> Stress {
    Stress {
        code,
        position,
        applied,
        rating: None,
        limit,
        unit,
        sense,
        vertex: None,
        origin: Origin::Rating,
        note: String::new(),
    }
}

/// A finding without numbers to compare.
pub(super) fn fact(code: &'static str, position: Position, holds: bool, text: String) -> Verdict {
    Verdict::Fact { code, position, holds, text }
}

/// A rating that the part does not state.
pub(super) fn missing(code: &'static str, position: Position, rating: &'static str) -> Verdict {
    Verdict::MissingRating { code, position, rating }
}

/// Nothing to judge.
pub(super) fn idle(code: &'static str, position: Position, why: &'static str) -> Verdict {
    Verdict::NotApplicable { code, position, why }
}

/// A verdict with a remark.
pub(super) fn noted(verdict: Verdict, note: &str) -> Verdict {
    match verdict {
        Verdict::Stress(stress) => Verdict::Stress(Stress { note: note.to_owned(), ..stress }),
        other => other,
    }
}

impl Bench<'_> {
    /// A stress that must not exceed what the policy leaves of a rating, at no vertex in particular.
    pub(super) fn against(
        &self,
        code: &'static str,
        position: Position,
        applied: f64,
        rating: f64,
        unit: Unit,
    ) -> Stress {
        let (limit, origin) = self.upper(code, rating);
        let plain = stress(code, position, unit, Sense::AtMost, applied, limit);
        Stress { rating: Some(rating), origin, ..plain }
    }

    /// A stress against a rating that a part may leave unstated: then the part fails.
    pub(super) fn against_stated(
        &self,
        code: &'static str,
        position: Position,
        (rating, name): (Option<f64>, &'static str),
        unit: Unit,
        worst: impl FnOnce() -> Worst,
    ) -> Verdict {
        match rating {
            Some(rating) => self.at_most(code, position, worst(), rating, unit),
            None => missing(code, position, name),
        }
    }

    /// A multiple of the EMF's peak at no load, V, with the first vertex of highest EMF.
    pub(super) fn no_load_emf(&self, multiple: f64) -> Worst {
        Worst { value: multiple * self.emf_peak_v(), ..self.greatest(|point| point.emf_peak_v) }
    }

    /// A multiple of the no-load peak of one bank, V: of a full-wave doubler half of the output's.
    pub(super) fn no_load_bank(&self, multiple: f64) -> Worst {
        self.no_load(multiple / self.supply.stack())
    }

    /// A multiple of the no-load peak, V, with the first vertex of highest EMF.
    pub(super) fn no_load(&self, multiple: f64) -> Worst {
        Worst { value: multiple * self.no_load_peak_v(), ..self.greatest(|point| point.emf_peak_v) }
    }
}

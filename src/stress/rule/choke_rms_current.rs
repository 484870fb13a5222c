//! rms current of the filter choke.

use crate::{
    circuit::supply::Body,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Unit, Verdict},
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "choke-rms-current",
        asks: "the rms current of the choke stays within its rated direct current",
        why: "direct current and ripple heat the same winding",
        worst: "load +, mains +, C +",
        limits: "core loss of the ripple is not counted; the maker's own rise test has it at the rated current",
        source: "rating: the part's row; exact steady state",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (code, at) = (RULE.page.code, Position::SectionChoke);
    let Some(choke) = bench.assembly.choke() else {
        return verdicts.push(tell::idle(code, at, "the rail has no choke"));
    };
    let worst = bench.greatest_of(Body::Heavy, |point| point.section.map_or(0.0, |one| one.rms_a));
    verdicts.push(bench.at_most(code, at, worst, choke.current.0, Unit::Amps));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    /// The mean of the choke current is the load; the ripple adds little to its rms.
    #[test]
    fn the_rms_is_a_little_above_the_load() {
        let mut fixture = Fixture::choked();
        let stress = fixture.stress(&RULE);
        assert!(stress.holds() && stress.applied > 1.5 && stress.applied < 1.05 * 1.5, "{stress:?}");
        fixture.choke.as_mut().unwrap().current = Amps(1.5);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

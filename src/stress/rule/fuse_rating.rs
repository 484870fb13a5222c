//! Rated current of the mains fuse against the transformer it protects.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
    winding,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "fuse-rating",
        asks: "the mains fuse is not rated far above the current that the transformer's rating implies",
        why: "a fuse many times too large protects the wiring and nothing else, even where a cut-out satisfies every fault",
        worst: "none",
        limits: "small fuses of high breaking capacity are not made: up to 1 A is always taken",
        source: "four times the primary current at rating, or 1 A: common practice, no source",
    },
    group: Group::Fuse,
    judge,
};

/// Greatest rating over the transformer's primary current where the policy is silent. House practice.
const MULTIPLE: f64 = 4.0;
/// Rating that is always taken, A. House practice.
const ALWAYS_A: f64 = 1.0;

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(fuse) = bench.assembly.primary_fuse else {
        return verdicts.push(tell::idle(code, Position::PrimaryFuse, "the rail has no mains fuse"));
    };
    let part = bench.assembly.transformer;
    let Some(_) = bench.assembly.winding() else {
        return verdicts.push(tell::missing(code, Position::Transformer, "secondary"));
    };
    let primary_a = winding::primary_rating_a(part, &bench.supply.source);
    let (multiple, origin) = bench.figure(code, MULTIPLE);
    let limit = (multiple * primary_a).max(ALWAYS_A);
    let stress = tell::stress(code, Position::PrimaryFuse, Unit::Amps, Sense::AtMost, fuse.rated.0, limit);
    verdicts.push(Verdict::Stress(Stress { origin, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, VoltAmps},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: 0.30385 A at rating (1.1 · 60/230 and 3/230 A in phase, 0.0483 A magnetising), four times is 1.2154 A.
    #[test]
    fn a_fuse_of_ten_amperes_is_not_for_sixty_volt_amperes() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.limit, 1.2154, max_relative = 1e-4);
        assert!(stress.holds());
        fixture.fuse.as_mut().unwrap().rated = Amps(10.0);
        assert!(!fixture.holds(&RULE));
        fixture.fuse.as_mut().unwrap().rated = Amps(0.5);
        fixture.transformer.rating = VoltAmps(3.0);
        assert!(fixture.holds(&RULE));
        fixture.fuse = None;
        assert!(fixture.idle(&RULE));
    }
}

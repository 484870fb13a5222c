//! How evenly pass transistors share.

use crate::stress::{
    bench::Bench,
    pass_point::PassNumbers,
    position::Position,
    registry::{Group, Page, Rule},
    stage, tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-sharing",
        asks: "the most loaded pass transistor carries no more over the equal share than the policy allows",
        why: "the warmest conducts best and grows warmer still; the ballast resistors must outweigh it",
        worst: "load +; base-emitter voltage and ballast of one low, of the others high",
        limits: "one lot, one sink: a difference of temperature between them is in the spread or not at all",
        source: "I_1 n/ΣI; limit: common practice, no source",
    },
    group: Group::Train,
    judge,
};

/// Most loaded over equal share where the policy names no limit: house practice.
const IMBALANCE: f64 = 1.3;

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    let Some(pass) = bench.assembly.regulation.as_ref().and_then(|one| one.pass.as_ref()) else {
        return verdicts.push(tell::idle(code, at, "the rail has no pass transistors"));
    };
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    let load = bench.greatest(|point| point.load_a);
    let (limit, origin) = bench.figure(code, IMBALANCE);
    let applied = PassNumbers::of(bench.asked, pass).imbalance(through_a);
    let stress = tell::stress(code, at, Unit::Percent, Sense::AtMost, applied, limit);
    verdicts.push(Verdict::Stress(Stress { vertex: Some(load.vertex), origin, ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Ratio, Volts},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand, resistors without tolerance: 2.685484 · 3/7.556452 A.
    #[test]
    fn the_low_transistor_takes_more_than_its_third() {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 2.685_484 * 3.0 / 7.556_452, max_relative = 1e-6);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::AtMost(1.05));
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }

    #[test]
    fn too_little_ballast_shares_badly() {
        let mut fixture = Fixture::passed();
        fixture.pass = Some((3, 0.1, 2.0));
        fixture.transistor.base_emitter_spread = Volts(0.2);
        assert!(!fixture.holds(&RULE));
    }
}

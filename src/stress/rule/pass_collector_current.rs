//! Collector current of the pass transistors, and what wakes their limit transistor.

use crate::stress::{
    bench::{Bench, Worst},
    pass_choice::SENSE_SHARE,
    pass_point::PassNumbers,
    position::Position,
    registry::{Group, Page, Rule},
    stage, tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-collector-current",
        asks: "the most loaded pass transistor stays within its derated collector current, and full load leaves the limit transistor asleep",
        why: "one of several takes more than its share, and a limit that acts at full load ends the supply's service",
        worst: "load +; base-emitter voltage and ballast of one low, of the others high",
        limits: "counts emitter current, a little above the collector's; a peak load counts as if it lasted",
        source: "V_B = (I + Σ V_BE/R_E)/(1/R_B + Σ 1/R_E); ratings: the part's row; 90 % of the least V_BE of the limit transistor, 2 mV/K: house practice",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    let Some((regulation, pass)) =
        bench.assembly.regulation.as_ref().and_then(|one| Some((one, one.pass.as_ref()?)))
    else {
        return verdicts.push(tell::idle(code, at, "the rail has no pass transistors"));
    };
    let numbers = PassNumbers::of(bench.asked, pass);
    let through_a = stage::load_high_a(bench.asked.rail) + bench.auxiliary.through_regulator_a();
    let load = bench.greatest(|point| point.load_a);
    let worst = Worst { value: numbers.most_loaded(through_a).0, ..load };
    verdicts.push(bench.at_most(code, at, worst, pass.part.collector_current.0, Unit::Amps));
    if worst.value > pass.part.gain_current.0 {
        verdicts.push(tell::missing(code, at, "current gain at the current it carries"));
    }
    // Shorted, the regulator draws its greatest limit through the limit transistor.
    let limiter = Position::LimitTransistor;
    let plain = |applied, limit, unit| tell::stress(code, limiter, unit, Sense::AtMost, applied, limit);
    let rating = pass.limiter.collector_current.0;
    let shorted = plain(regulation.part.limit_max.0, rating, Unit::Amps);
    verdicts.push(Verdict::Stress(Stress {
        rating: Some(rating),
        note: "output shorted".to_owned(),
        ..shorted
    }));
    let least_v = numbers.least_sense_v();
    let asleep = plain(numbers.sensed_v(through_a), SENSE_SHARE * least_v, Unit::Volts);
    verdicts.push(Verdict::Stress(Stress {
        rating: Some(least_v),
        vertex: Some(load.vertex),
        note: "across the ballast resistor that it senses".to_owned(),
        ..asleep
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Amps, Ratio, Volts},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    fn first(fixture: &Fixture) -> Stress {
        match fixture.judged(&RULE).first() {
            Some(Verdict::Stress(stress)) => stress.clone(),
            other => panic!("no stress: {other:?}"),
        }
    }

    /// By hand, resistors without tolerance: 2.685484 A of 8 A, see the stage's own test.
    #[test]
    fn the_most_loaded_transistor_is_held_to_its_rating() {
        let mut fixture = Fixture::passed();
        fixture.resistors.tolerance = Ratio(0.0);
        fixture.resistors.temperature_coefficient = Ratio(0.0);
        let stress = first(&fixture);
        assert_relative_eq!(stress.applied, 2.685_484, max_relative = 1e-6);
        assert_relative_eq!(stress.limit, 10.0, max_relative = 1e-12);
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.25)));
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: 13.25/15.5 − 0.35 + 0.05 = 0.555 V across the ballast exceed 90 % of 0.56 V (0.6 V less 2 mV/K to 45 °C); with 0.1 Ω
    /// 18.5/30.5 − 0.3 = 0.307 V do not.
    #[test]
    fn a_limit_that_acts_at_full_load_fails() {
        let mut fixture = Fixture::passed();
        assert!(!fixture.holds(&RULE));
        fixture.pass = Some((3, 0.1, 2.0));
        assert!(fixture.holds(&RULE));
        fixture.regulator.as_mut().unwrap().limit_max = Amps(11.0);
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_gain_stated_for_less_current_is_a_missing_rating_and_no_transistor_is_idle() {
        let mut fixture = Fixture::passed();
        fixture.pass = Some((3, 0.1, 2.0));
        fixture.transistor.gain_current = Amps(1.0);
        assert!(fixture.judged(&RULE).iter().any(|one| matches!(one, Verdict::MissingRating { .. })));
        assert!(Fixture::regulated().idle(&RULE));
        fixture.transistor.base_emitter_min = Volts(0.3);
        assert!(!fixture.holds(&RULE));
    }
}

//! Switch-on again with the limiter still hot.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    surge::{self, Limiter},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "inrush-hot-restart",
        asks: "when the mains returns at once the rectifier still bears the first peak",
        why: "a hot thermistor limits nothing until it has cooled, and the mains does return",
        worst: "worst phase, mains +, EMF +, C +, windings cold, limiter hot, reservoir empty",
        limits: "the reservoir is taken as empty; the fuse's melting integral is judged with the limiter cold",
        source: "Ohm at the peak of the mains; rating: the rectifier's row",
    },
    group: Group::Surge,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if bench.assembly.limiter.is_none() {
        return verdicts.push(tell::idle(code, Position::InrushLimiter, "no inrush limiter"));
    }
    let peak = surge::first_half_cycle(bench, Limiter::Hot, |_| true).peak_a;
    let rating = surge::rating_a(bench);
    let stress = bench.against(code, Position::InrushLimiter, peak, rating, Unit::Amps);
    verdicts.push(Verdict::Stress(stress));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    #[test]
    fn a_hot_limiter_leaves_the_rectifier_to_its_own_rating() {
        let mut fixture = Fixture::regulated().limited();
        let stress = fixture.stress(&RULE);
        assert!(stress.holds() && stress.applied > 40.0 && stress.applied < 75.0, "{stress:?}");
        fixture.bridge.element.surge = Amps(40.0);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

//! Steady current of the inrush limiter.

use crate::circuit::supply::Body;
use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
    winding,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "inrush-steady-current",
        asks: "the greatest steady rms current of the primary stays within the derated greatest current of the limiter",
        why: "a thermistor is held hot by the very current it passes",
        worst: "load +, mains +, f −",
        limits: "the maker's loss of rating in warm air is not stated and not counted",
        source: "rating: the part's row",
    },
    group: Group::Surge,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    verdicts.push(match bench.assembly.limiter {
        None => tell::idle(code, Position::InrushLimiter, "no inrush limiter"),
        Some(part) => {
            let worst = winding::greatest_primary_a(bench, Body::Light);
            bench.at_most(code, Position::InrushLimiter, worst, part.current_max.0, Unit::Amps)
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    #[test]
    fn the_limiter_carries_the_primary() {
        let mut fixture = Fixture::regulated().limited();
        let stress = fixture.stress(&RULE);
        assert!(stress.holds() && stress.applied > 0.1 && stress.applied < 0.4);
        fixture.limiter.as_mut().unwrap().current_max = Amps(0.1);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

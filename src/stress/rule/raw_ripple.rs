//! Ripple of an unregulated rail against the requirement.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Origin, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "raw-ripple",
        asks: "the peak-to-peak ripple at the reservoir's terminals, series resistance included, stays within the requirement",
        why: "without a regulator the load sees it all",
        worst: "load +, mains +, f −, C − at end of life, either end of ESR, windings cold",
        limits: "regulated rails are judged at their output; wiring to the load is not counted",
        source: "exact steady state; limit: the requirement",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if bench.assembly.regulation.is_some() {
        verdicts.push(tell::idle(code, Position::Reservoir, "the rail is regulated"));
        return;
    }
    let worst = bench.greatest(|point| point.crest_v - point.valley_v);
    let asked = bench.asked.rail.ripple.0.0;
    let verdict = bench.at_most(code, Position::Reservoir, worst, asked, Unit::Volts);
    verdicts.push(match verdict {
        Verdict::Stress(mut stress) => {
            stress.rating = None;
            if matches!(stress.origin, Origin::Rating) {
                stress.origin = Origin::Requirement;
            }
            Verdict::Stress(stress)
        }
        other => other,
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, requirement::Ripple, stress::fixture::Fixture};

    /// Textbook bound I/(2fC) (never optimistic without series resistance): 1.512 A over 99 Hz and 6400 µF · 0.7 when
    /// cold is 3.4 V; the series resistance adds at most its drop at the charging peak.
    #[test]
    fn the_ripple_lies_below_the_textbook_bound_and_the_drop_of_the_series_resistance() {
        let fixture = Fixture::raw();
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let drop = bench.greatest(|point| point.esr_ohm * point.diode_peak_a).value;
        let bound = 1.512 / (2.0 * 49.5 * 0.0064 * 0.7);
        assert!(stress.applied > 0.4 * bound && stress.applied < bound + drop, "{}", stress.applied);
        assert_eq!(stress.origin, Origin::Requirement);
    }

    #[test]
    fn a_tight_requirement_fails_and_a_regulated_rail_is_not_judged_here() {
        let mut fixture = Fixture::raw();
        fixture.requirement.rails[0].ripple = Ripple(Volts(10.0));
        assert!(fixture.holds(&RULE));
        fixture.requirement.rails[0].ripple = Ripple(Volts(0.5));
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

//! Average current of the rectifier against its rating at the temperature it has there.

use crate::circuit::supply::Body;
use crate::numeric::tie;
use crate::stress::{
    assembly::RectifierPart,
    bench::{Bench, Worst},
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-average-current",
        asks: "the average current stays within the derated rating at the temperature of the rating's own reference",
        why: "the headline rating holds at one temperature and for a resistive load",
        worst: "load +, ambient +",
        limits: "a lead counts as warm as its junction, a bound; pulses are judged by rms, repetitive peak and junction temperature",
        source: "of diodes I_F(AV) of one; of a bridge its output current times the maker's capacitive-load factor; curve: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (curve, factor, elements) = match bench.assembly.rectifier {
        RectifierPart::Bridge(part) => (&part.output, part.capacitive_factor.unwrap_or(1.0), 2.0),
        RectifierPart::Diodes(part) => (&part.average, 1.0, 1.0),
    };
    let shares = bench.points_of(Body::Light).iter().map(|point| {
        let applied = elements * point.diode_avg_a;
        let rating = factor * junction::left_at(curve, junction::reference_c(bench, point, curve.reference));
        // Nothing left of the rating is worse than any share of it.
        let share = if rating > 0.0 { applied / rating } else { f64::INFINITY };
        (share, (rating, Worst { value: applied, vertex: point.vertex }))
    });
    let found = tie::greatest(shares);
    let code = RULE.page.code;
    let Some(found) = found else {
        verdicts.push(tell::idle(code, Position::Rectifier, "no point was solved"));
        return;
    };
    let (rating, worst) = found.exactly;
    let worst = Worst { vertex: found.first.1.vertex, ..worst };
    let verdict = bench.at_most(code, Position::Rectifier, worst, rating, Unit::Amps);
    let unstated =
        matches!(bench.assembly.rectifier, RectifierPart::Bridge(part) if part.capacitive_factor.is_none());
    verdicts.push(if unstated {
        tell::noted(verdict, "no factor for a capacitive load stated: 1 taken")
    } else {
        verdict
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        catalog::family::rectifier::Reference,
        quantity::Celsius,
        stress::{assembly::Wiring, fixture::Fixture},
    };
    use approx::assert_relative_eq;

    /// By hand: 1.517 A out of a bridge of 4 A · 0.8, whole up to 50 °C in air of 45 °C.
    #[test]
    fn a_bridge_is_held_to_its_output_current_times_the_capacitive_factor() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 1.517, max_relative = 1e-9);
        assert_relative_eq!(stress.limit, 3.2, max_relative = 1e-9);
        assert!(stress.holds());
    }

    /// By hand: half the load in each diode; in air of 100 °C half of the 3 A is left.
    #[test]
    fn a_diode_carries_half_of_a_full_wave_load_and_its_curve_takes_its_share() {
        let mut fixture = Fixture::regulated().two_windings(Wiring::CentreTap);
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 1.517 / 2.0, max_relative = 1e-9);
        assert_relative_eq!(stress.limit, 3.0, max_relative = 1e-9);
        fixture.diode.average.full_to = Celsius(0.0);
        fixture.diode.average.zero_at = Celsius(90.0);
        assert_relative_eq!(fixture.stress(&RULE).limit, 1.5, max_relative = 1e-9);
        fixture.diode.average.zero_at = Celsius(45.0);
        assert!(!fixture.holds(&RULE));
    }

    /// Law: the case lies between air and junction, so its rating lies between theirs.
    #[test]
    fn a_case_rating_lies_between_those_of_air_and_lead() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.output.full_to = Celsius(0.0);
        let mut limit = |reference| {
            fixture.bridge.output.reference = reference;
            fixture.stress(&RULE).limit
        };
        let (air, case, lead) = (limit(Reference::Ambient), limit(Reference::Case), limit(Reference::Lead));
        assert!(air > case && case > lead, "{air} {case} {lead}");
    }
}

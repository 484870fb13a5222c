//! Mean winding temperature against the limit of its thermal class.

use crate::{
    circuit::{operate::RUNAWAY_C, supply::Body},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::Verdict,
        winding,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-winding-temperature",
        asks: "the mean winding temperature stays below the class limit for normal use less the policy's margin",
        why: "insulation halves its life every few kelvin beyond its class",
        worst: "load +, mains +, f −, ambient +, warmed up",
        limits: "mean, not hot spot; rise taken as proportional to the total loss",
        source: "T = T_air + rated rise · (P_cu(T) + P_fe)/P_rated; class limits: IEC 61558-1 (from memory)",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let worst =
        bench.greatest_of(Body::Heavy, |point| if winding::warm(point) { point.winding_c } else { f64::NAN });
    let code = RULE.page.code;
    verdicts.push(if worst.value.is_nan() {
        tell::idle(code, Position::Transformer, "no warm point was solved")
    } else if worst.value >= RUNAWAY_C {
        let text = format!("the windings run away thermally at {}", worst.vertex.text());
        tell::fact(code, Position::Transformer, false, text)
    } else {
        let limit = winding::normal_limit(bench.assembly.transformer.thermal_class);
        bench.temperature(code, Position::Transformer, worst, limit.0, bench.supply.air.hot_c)
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        policy::LimitKind,
        quantity::{Amps, Kelvins, KelvinsPerWatt},
        stress::fixture::Fixture,
    };
    use approx::assert_relative_eq;

    /// By hand: air 45 °C, 55 K at 9 W; the loss found times 55 / 9 K/W.
    #[test]
    fn the_rise_is_the_rated_rise_in_proportion_to_the_loss() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let by_hand = 45.0 + 55.0 / 9.0 * (point.copper_w + point.iron_w);
        assert_relative_eq!(stress.applied, by_hand, max_relative = 1e-6);
        assert_relative_eq!(stress.limit, 120.0, max_relative = 1e-12);
        assert!(stress.holds());
    }

    #[test]
    fn a_margin_of_60_k_fails_and_a_poor_rise_runs_away() {
        let mut fixture = Fixture::raw();
        fixture.limit(RULE.page.code, LimitKind::BelowMaximum(Kelvins(60.0)));
        assert!(!fixture.holds(&RULE));
        fixture.policy.limits.clear();
        fixture.bridge.thermal.junction_air = Some(KelvinsPerWatt(1.0));
        fixture.transformer.rated_rise = Kelvins(500.0);
        fixture.requirement.rails[0].current_max = Amps(3.0);
        assert!(matches!(fixture.judged(&RULE).as_slice(), [Verdict::Fact { holds: false, .. }]));
    }
}

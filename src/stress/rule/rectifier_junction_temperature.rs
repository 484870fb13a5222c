//! Junction temperature of the rectifier, leakage included, against its maximum.

use crate::circuit::supply::Body;
use crate::numeric::tie;
use crate::stress::{
    bench::{Bench, Worst},
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-junction-temperature",
        asks: "the junction comes to rest below its maximum less the policy's margin",
        why: "life of the die and of its solder falls with temperature; a leaky junction may never come to rest",
        worst: "load +, mains +, ambient +, warmed up",
        limits: "mean over the period; leakage doubles every 10 K, common practice, and counts at rated reverse voltage",
        source: "P = V_0 · I_avg + r_d · I_rms² and leakage at the fixed point with temperature; maximum: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let element = junction::element(bench);
    if element.schottky && element.leakage_hot.is_none() {
        verdicts.push(tell::missing(code, Position::Rectifier, "leakage at greatest junction temperature"));
        return;
    }
    let mut found = Vec::new();
    for point in bench.points_of(Body::Light) {
        let Some(value) = junction::junction_c(bench, point) else {
            let text = format!("the junction runs away thermally at {}", point.vertex.text());
            verdicts.push(tell::fact(code, Position::Rectifier, false, text));
            return;
        };
        found.push((value, (point.vertex, point.air_c)));
    }
    verdicts.push(match tie::greatest(found) {
        Some(found) => {
            let (worst, air_c) = (Worst { value: found.figure, vertex: found.first.0 }, found.exactly.1);
            let rating = junction::thermal(bench).junction_max.0;
            bench.temperature(code, Position::Rectifier, worst, rating, air_c)
        }
        None => tell::idle(code, Position::Rectifier, "no point was solved"),
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

    /// By hand: air 45 °C and 15 K/W times the loss of four elements; 100 µA at 150 °C adds less than 0.1 K.
    #[test]
    fn the_junction_is_the_air_and_its_own_heat() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let point = bench.points.iter().find(|point| Some(point.vertex) == stress.vertex).unwrap();
        let by_hand = 45.0 + 15.0 * point.diode_w;
        assert!(stress.applied >= by_hand - 1e-5 && stress.applied < by_hand + 0.1);
        assert_relative_eq!(stress.limit, 150.0, max_relative = 1e-12);
        assert!(stress.holds());
    }

    #[test]
    fn a_wide_margin_fails() {
        let mut fixture = Fixture::regulated();
        fixture.limit(RULE.page.code, LimitKind::BelowMaximum(Kelvins(90.0)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn a_leaky_barrier_on_a_poor_mounting_runs_away_and_an_unstated_leakage_is_missing() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.schottky = true;
        fixture.bridge.element.leakage_hot = Some(Amps(0.3));
        fixture.bridge.thermal.junction_air = Some(KelvinsPerWatt(30.0));
        assert!(matches!(fixture.judged(&RULE).as_slice(), [Verdict::Fact { holds: false, .. }]));
        fixture.bridge.element.leakage_hot = None;
        assert!(fixture.misses(&RULE));
    }
}

//! Winding temperature with the output shorted.

use crate::stress::{
    bench::{Bench, Worst},
    fault, overload,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-overload-temperature",
        asks: "at the regulator's greatest current limit, or through a shorted second section, the windings stay within the overload limit of their class, or a named means acts first",
        why: "the regulator protects itself, and the transformer burns at a current no fuse opens on",
        worst: "output shorted, mains +, f −, ambient +",
        limits: "a lasting overload below the limit is cooler; thermal cycling of the regulator is not counted in the transformer's favour",
        source: "exact engine at the current limit; overload limit: the part's row",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(found) = overload::shorted_output(bench) else {
        let why = "no regulator limits the current: a shorted output is a shorted reservoir";
        return verdicts.push(tell::idle(code, Position::Transformer, why));
    };
    let limit = bench.assembly.transformer.overload_limit.0;
    let stress = found.point.as_ref().map(|point| {
        let worst = Worst { value: point.winding_c, vertex: point.vertex };
        bench.temperature(code, Position::Transformer, worst, limit, bench.supply.air.hot_c)
    });
    let state = match found.point {
        Some(point) => format!("at {:.2} A the windings would reach {:.0} °C", found.load_a, point.winding_c),
        None => format!("at {:.2} A the windings run away, or the source gives no more", found.load_a),
    };
    verdicts.push(match (stress, fault::means(bench, found.fault)) {
        (Some(stress), _) if stress.holds() => stress,
        (_, Some(means)) => {
            tell::fact(code, Position::Transformer, true, format!("{state}; {}", means.text()))
        }
        (Some(stress), None) => stress,
        (None, None) => {
            tell::fact(code, Position::Transformer, false, format!("{state}, and nothing else acts"))
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Celsius},
        stress::fixture::Fixture,
    };

    /// Second method: at the rail's own greatest current the rule's point is the hottest of the bench.
    #[test]
    fn at_the_rails_own_current_it_is_the_winding_temperature() {
        let mut fixture = Fixture::regulated();
        fixture.regulator.as_mut().unwrap().limit_max = Amps(1.5);
        fixture.auxiliary.bleeder_a = 0.0;
        let bench = fixture.bench();
        let hottest = regulator_hottest(&bench);
        let Verdict::Stress(stress) = &fixture.judged(&RULE)[0] else { panic!("a stress") };
        assert!((stress.applied - hottest).abs() < 1e-6 && stress.holds());
    }

    fn regulator_hottest(bench: &Bench<'_>) -> f64 {
        crate::stress::regulator_point::greatest_hot(bench, crate::circuit::supply::Body::Heavy, |point| {
            point.winding_c
        })
        .unwrap()
        .value
    }

    #[test]
    fn a_limit_of_four_amperes_overheats_a_small_class_and_a_cut_out_saves_it() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.overload_limit = Celsius(120.0);
        fixture.fuse = None;
        assert!(!fixture.holds(&RULE));
        let mut with = fixture.with_cut_out();
        with.cut_out.as_mut().unwrap().opens_at = Celsius(110.0);
        assert!(with.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }

    #[test]
    fn a_source_that_cannot_give_the_limit_fails_without_a_means() {
        let mut fixture = Fixture::regulated();
        fixture.regulator.as_mut().unwrap().limit_max = Amps(200.0);
        fixture.fuse = None;
        assert!(!fixture.holds(&RULE));
        assert!(fixture.with_cut_out().holds(&RULE));
    }
}

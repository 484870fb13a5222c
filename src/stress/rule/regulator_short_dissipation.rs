//! What protects the regulator while its output is shorted.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "regulator-short-dissipation",
        asks: "the part turns itself off when too hot",
        why: "shorted, the whole input stands across the part at its current limit: several times the heat of service",
        worst: "mains +",
        limits: "says nothing of the transformer meanwhile; see transformer-overload-temperature",
        source: "P = V_in · I_lim; common practice, no source",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    verdicts.push(match &bench.assembly.regulation {
        None => tell::idle(code, Position::Regulator, "the rail has no regulator"),
        Some(stage) => {
            let part = stage.part;
            let text = if part.thermal_shutdown {
                "shorted, the part turns itself off by its thermal shutdown".to_owned()
            } else {
                let watts = bench.no_load_peak_v() * part.limit_max.0;
                format!("shorted, it may take {watts:.0} W and has no thermal shutdown")
            };
            tell::fact(code, Position::Regulator, part.thermal_shutdown, text)
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;

    /// By hand: 26.44 V times 4 A.
    #[test]
    fn a_part_without_thermal_shutdown_fails_and_its_heat_is_named() {
        let mut fixture = Fixture::regulated();
        assert!(fixture.holds(&RULE));
        if let Some(part) = &mut fixture.regulator {
            part.thermal_shutdown = false;
        }
        let [Verdict::Fact { holds: false, text, .. }] = &fixture.judged(&RULE)[..] else {
            panic!("a fact that fails");
        };
        assert!(text.contains("106 W"), "{text}");
        assert!(Fixture::raw().idle(&RULE));
    }
}

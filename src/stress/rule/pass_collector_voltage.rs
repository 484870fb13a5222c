//! Collector-emitter voltage of the pass transistors.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "pass-collector-voltage",
        asks: "the no-load peak of the reservoir stays within the derated collector-emitter voltage, base open",
        why: "shorted or starting, the whole input stands across the transistors",
        worst: "mains +, load −, windings cold, output shorted",
        limits: "transients of the mains are not added; the operating area is judged by pass-operating-area",
        source: "V_pk = √2 k V_rated; rating: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let at = Position::PassTransistor;
    verdicts.push(match bench.assembly.regulation.as_ref().and_then(|one| one.pass.as_ref()) {
        None => tell::idle(code, at, "the rail has no pass transistors"),
        Some(pass) => {
            let rating = pass.part.collector_emitter_max.0;
            bench.at_most(code, at, bench.no_load(1.0), rating, Unit::Volts)
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{policy::LimitKind, quantity::Ratio, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: √2 · 20 V · 1.1 (no load) · 1.1 (mains) · 1.03 (winding).
    #[test]
    fn a_short_puts_the_whole_input_across_the_transistors() {
        let mut fixture = Fixture::passed();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 2.0_f64.sqrt() * 20.0 * 1.21 * 1.03, max_relative = 1e-9);
        assert!(stress.holds());
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(0.5)));
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::regulated().idle(&RULE));
    }
}

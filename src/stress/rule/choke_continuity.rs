//! Whether the current of the filter choke ever pauses.

use crate::{
    physics::choke::least_current,
    quantity::{Henries, Hertz, Volts},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "choke-continuity",
        asks: "the current of the choke never pauses at the least load",
        why: "where it pauses the output rises from the mean of the rectified voltage towards its peak",
        worst: "load −, mains +, EMF +, L − at the end of C −, frequency −",
        limits: "the least load must stay connected: without any the output rises to the peak, which the parts bear",
        source: "exact steady state; rule of thumb: I ≥ V_dc/(6 π f L)",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (code, at) = (RULE.page.code, Position::SectionChoke);
    if bench.assembly.choke_input().is_none() {
        return verdicts.push(tell::idle(code, at, "the rail has no choke"));
    }
    let least =
        bench.least(|point| point.section.and_then(|one| one.choke_a).map_or(0.0, |[least, _]| least));
    let needed_a = needed_a(bench);
    let text = if least.value > 0.0 {
        format!(
            "the current of the choke never falls below {:.3} A; about {needed_a:.3} A of load are needed",
            least.value
        )
    } else {
        format!(
            "the current of the choke pauses at {:.3} A of load ({}); about {needed_a:.3} A are needed",
            bench.supply.load_a.low,
            least.vertex.text()
        )
    };
    verdicts.push(tell::fact(code, at, least.value > 0.0, text));
}

/// Load below which the current pauses at high mains, by the rule for a large capacitor, A.
fn needed_a(bench: &Bench<'_>) -> f64 {
    let supply = &bench.supply;
    let henry = supply.choke_input().map_or(f64::INFINITY, |choke| choke.henry.low);
    least_current(Volts(bench.emf_peak_v()), Henries(henry), Hertz(supply.frequency_hz.low)).0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    /// Second method: the rule for a large capacitor tells within a tenth where the exact current begins to pause.
    #[test]
    fn the_edge_lies_where_the_rule_for_a_large_capacitor_has_it() {
        let mut fixture = Fixture::choked();
        assert!(fixture.holds(&RULE));
        let edge_a = needed_a(&fixture.bench());
        fixture.rail().current_min = Amps(1.1 * edge_a);
        assert!(fixture.holds(&RULE));
        fixture.rail().current_min = Amps(0.9 * edge_a);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

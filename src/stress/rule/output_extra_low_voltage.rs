//! Output and reservoir against the extra-low-voltage limit: a caution, never a failure.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// Greatest direct voltage of energy source class 1, V. Source: IEC 62368-1 (from memory).
const ES1_V: f64 = 60.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "output-extra-low-voltage",
        asks: "whether output and reservoir stay below the direct voltage that a dry hand may touch",
        why: "above it the output needs guarding, and the builder needs to know before touching",
        worst: "mains +, EMF +, no load",
        limits: "a caution, never a failure; wet places, and several supplies in series, have lower limits: local codes decide",
        source: "energy source class 1, 60 V dc: IEC 62368-1 (from memory)",
    },
    group: Group::Whole,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let raw = bench.no_load_peak_v();
    let output = bench.output.map_or(raw, |output| output.high_v);
    let caution = if output > ES1_V {
        "; caution: the output exceeds 60 V dc"
    } else if raw > ES1_V {
        "; caution: the reservoir exceeds 60 V dc, the output does not unless the regulator fails"
    } else {
        ""
    };
    let text = format!("output up to {output:.1} V, reservoir up to {raw:.1} V{caution}");
    verdicts.push(tell::fact(RULE.page.code, Position::Reservoir, true, text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, stress::fixture::Fixture};

    fn text(fixture: &Fixture) -> String {
        match fixture.judged(&RULE).as_slice() {
            [Verdict::Fact { holds: true, text, .. }] => text.clone(),
            other => panic!("not one fact that holds: {other:?}"),
        }
    }

    /// By hand: 26.438 V behind 15 V; behind 48 V 84.6 V.
    #[test]
    fn low_rails_are_told_and_high_ones_cautioned() {
        let mut fixture = Fixture::regulated();
        assert_eq!(text(&fixture), "output up to 12.2 V, reservoir up to 26.4 V");
        fixture.transformer.secondaries[0].rated = Volts(48.0);
        fixture.transformer.secondaries[0].current = crate::quantity::Amps(1.25);
        assert!(text(&fixture).contains("the reservoir exceeds 60 V dc"));
        let mut raw = Fixture::raw();
        raw.transformer.secondaries[0].rated = Volts(48.0);
        assert!(text(&raw).contains("84.6 V; caution: the output exceeds"));
    }
}

//! Mains at its upper end against the primary's greatest voltage.

use crate::stress::{
    bench::{Bench, Worst},
    position::Position,
    registry::{Group, Page, Rule},
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-primary-voltage",
        asks: "the mains at its upper end stays within the greatest voltage of the primary connection",
        why: "flux, magnetising current and the stress on the insulation rise with it",
        worst: "mains +",
        limits: "says nothing of transients; see rectifier-transient-voltage",
        source: "rating: the part's row",
    },
    group: Group::Transformer,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let Some(primary) = bench.assembly.transformer.primaries.get(bench.assembly.primary) else {
        return;
    };
    let worst = Worst { value: bench.supply.mains_v.high, ..bench.greatest(|point| point.mains_v) };
    verdicts.push(bench.at_most(RULE.page.code, Position::Transformer, worst, primary.max.0, Unit::Volts));
}

//! Volts per hertz at the primary against what its connection carries.

use crate::stress::{
    bench::{Bench, Worst},
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-flux",
        asks: "mains voltage over frequency stays within that of the connection at its greatest voltage and least frequency",
        why: "flux is volts per hertz: a 60 Hz core on 50 Hz saturates, draws a multiple of its current and burns",
        worst: "mains +, f −",
        limits: "says nothing of dc in the core; see transformer-dc-magnetisation",
        source: "V = 4.44 f N B A; greatest voltage and least frequency: the part's row",
    },
    group: Group::Transformer,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let part = bench.assembly.transformer;
    let Some(primary) = part.primaries.get(bench.assembly.primary) else {
        verdicts.push(tell::missing(RULE.page.code, Position::Transformer, "primary connection"));
        return;
    };
    let value = bench.supply.mains_v.high / bench.supply.frequency_hz.low;
    let worst = Worst { value, ..bench.greatest(|point| point.mains_v / point.frequency_hz) };
    let rating = primary.max.0 / primary.frequency_min.0;
    verdicts.push(bench.at_most(RULE.page.code, Position::Transformer, worst, rating, Unit::VoltsPerHertz));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Hertz, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 230 V + 10 % at 50 Hz − 1 %: 253 / 49.5 = 5.111 V/Hz; the connection carries 253 / 47 = 5.383 V/Hz.
    #[test]
    fn a_50_hz_core_carries_high_mains_at_low_frequency() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.applied, 5.1111, max_relative = 1e-4);
        assert_relative_eq!(stress.limit, 5.3830, max_relative = 1e-4);
        assert!(stress.holds());
    }

    #[test]
    fn a_60_hz_core_is_refused_at_50_hz() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.primaries[0].frequency_min = Hertz(57.0);
        assert!(!fixture.holds(&RULE));
        fixture.requirement.mains.frequency = Hertz(60.0);
        assert!(fixture.holds(&RULE));
    }
}

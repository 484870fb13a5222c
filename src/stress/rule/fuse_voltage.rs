//! Voltage of the fuses.

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
        code: "fuse-voltage",
        asks: "the nominal voltage of the circuit that a fuse breaks stays within its rated voltage",
        why: "a fuse that cannot break its voltage goes on burning as an arc",
        worst: "nominal mains; secondary: open-circuit EMF at nominal mains",
        limits: "rated voltages of fuses are voltages of a system, its tolerance included: common practice, no source; a secondary fuse stands on the ac side",
        source: "rating: the part's row",
    },
    group: Group::Fuse,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let mut put = |position, volts, rating| {
        verdicts.push(Verdict::Stress(bench.against(code, position, volts, rating, Unit::Volts)));
    };
    if let Some(fuse) = bench.assembly.primary_fuse {
        put(Position::PrimaryFuse, bench.supply.mains_v.nominal, fuse.voltage.0);
    }
    if let Some(fuse) = bench.assembly.secondary_fuse {
        put(Position::SecondaryFuse, bench.supply.source.emf_rms_v, fuse.voltage.0);
    }
    if bench.assembly.primary_fuse.is_none() && bench.assembly.secondary_fuse.is_none() {
        verdicts.push(tell::idle(code, Position::PrimaryFuse, "the rail has no fuse"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Volts;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// Common practice: fuses of 250 V serve mains of 230 V and 240 V with their tolerances; 125 V does not.
    #[test]
    fn a_fuse_of_250_volts_serves_230_volts() {
        let mut fixture = Fixture::regulated().with_secondary_fuse(4.0);
        assert!(fixture.holds(&RULE));
        let found = fixture.judged(&RULE);
        let [Verdict::Stress(primary), Verdict::Stress(secondary)] = &found[..] else { panic!("{found:?}") };
        assert_relative_eq!(primary.applied, 230.0, max_relative = 1e-12);
        assert_relative_eq!(secondary.applied, 16.5, max_relative = 1e-12);
        fixture.fuse.as_mut().unwrap().voltage = Volts(125.0);
        assert!(!fixture.holds(&RULE));
        fixture.fuse = None;
        fixture.secondary_fuse = None;
        assert!(fixture.idle(&RULE));
    }
}

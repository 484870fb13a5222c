//! Steady current of the fuses.

use crate::{
    catalog::{Fuse, family::protection::FuseSystem},
    circuit::supply::Body,
    stress::{
        bench::{Bench, Worst},
        fuse_limit,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::{Stress, Unit, Verdict},
        winding,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: fuse_limit::IEC_CODE,
        asks: "the greatest steady rms current stays within the derated rating at the air inside, in the rating system of the fuse",
        why: "a fuse worked near its rating ages and opens in service",
        worst: "load +, mains +, f −, windings cold; ambient +",
        limits: "the two rating systems are never mixed; the heat of the holder is not counted",
        source: "I_n c with the maker's loss per kelvin above 23 °C; ratio: common practice, no source",
    },
    group: Group::Fuse,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    if let Some(fuse) = bench.assembly.primary_fuse {
        let worst = winding::greatest_primary_a(bench, Body::Light);
        one(bench, fuse, Position::PrimaryFuse, worst, verdicts);
    }
    if let Some(fuse) = bench.assembly.secondary_fuse {
        let worst = bench.greatest_of(Body::Light, |point| point.path_rms_a);
        one(bench, fuse, Position::SecondaryFuse, worst, verdicts);
    }
    if bench.assembly.primary_fuse.is_none() && bench.assembly.secondary_fuse.is_none() {
        verdicts.push(tell::idle(code, Position::PrimaryFuse, "the rail has no fuse"));
    }
}

fn one(bench: &Bench<'_>, fuse: &Fuse, position: Position, worst: Worst, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let ul = fuse.system == FuseSystem::Ul248;
    if ul == bench.asked.requirement.preferences.iec_fuses {
        let text = "the fuse's rating system is not the one asked for".to_owned();
        return verdicts.push(tell::fact(code, position, false, text));
    }
    let rating = fuse_limit::warm_rating_a(bench, fuse);
    let stress = bench.against(fuse_limit::code_of(fuse), position, worst.value, rating, Unit::Amps);
    verdicts.push(Verdict::Stress(Stress { code, vertex: Some(worst.vertex), ..stress }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use crate::{
        policy::LimitKind,
        quantity::{Amps, Ratio, Seconds},
        requirement::PeakLoad,
    };
    use approx::assert_relative_eq;

    /// By hand: 0.63 A less 0.1 % for each of 22 K above 23 °C.
    #[test]
    fn the_rating_falls_with_the_air_inside() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.preferences.iec_fuses = true;
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.limit, 0.63 * (1.0 - 0.022), max_relative = 1e-9);
        assert!(stress.holds() && stress.applied > 0.1);
        fixture.limit(RULE.page.code, LimitKind::Ratio(Ratio(stress.applied / stress.limit * 0.9)));
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: the fuse wire (1 s) under 1.9 A for 0.1 s in each second on 1.0 A sees √(1 + 0.1505450 · 2.61) = 1.180221 A.
    #[test]
    fn a_short_peak_does_not_ask_for_a_greater_fuse() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.preferences.iec_fuses = true;
        fixture.rail().current_max = Amps(1.0);
        let calm = fixture.stress(&RULE).applied;
        let peak =
            |seconds: f64| PeakLoad { current: Amps(1.9), duration: Seconds(seconds), share: Ratio(0.1) };
        fixture.rail().peak = Some(peak(0.1));
        let short = fixture.stress(&RULE).applied;
        fixture.rail().peak = None;
        fixture.rail().current_max = Amps(1.180_221);
        assert_relative_eq!(short, fixture.stress(&RULE).applied, max_relative = 1e-4);
        assert!(short > calm * 1.1);
        // An hour counts in full.
        fixture.rail().current_max = Amps(1.0);
        fixture.rail().peak = Some(peak(3600.0));
        let long = fixture.stress(&RULE).applied;
        fixture.rail().peak = None;
        fixture.rail().current_max = Amps(1.9);
        assert_relative_eq!(long, fixture.stress(&RULE).applied, max_relative = 1e-9);
    }

    #[test]
    fn the_two_rating_systems_never_mix() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.preferences.iec_fuses = false;
        assert!(!fixture.holds(&RULE));
        fixture.fuse.as_mut().unwrap().system = FuseSystem::Ul248;
        assert!(fixture.holds(&RULE));
        fixture.limit(fuse_limit::UL_CODE, LimitKind::Ratio(Ratio(0.1)));
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn the_secondary_fuse_carries_the_winding_and_no_fuse_is_idle() {
        let mut fixture = Fixture::regulated().with_secondary_fuse(6.3);
        fixture.requirement.preferences.iec_fuses = true;
        assert_eq!(fixture.judged(&RULE).len(), 2);
        assert!(fixture.holds(&RULE));
        fixture.fuse = None;
        fixture.secondary_fuse = None;
        assert!(fixture.idle(&RULE));
    }
}

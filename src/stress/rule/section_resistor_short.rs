//! What a section resistor does with the output shorted.

use crate::stress::{
    assembly::Section,
    bench::Bench,
    overload,
    position::Position,
    registry::{Group, Page, Rule},
    resistor, tell,
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "section-resistor-short",
        asks: "a section resistor bears a lasting short of the output, or its maker states that it fails open without flame",
        why: "it takes many times its load's power for as long as nothing opens, and a coated film may burn",
        worst: "output shorted, mains +, EMF +, R −; behind a regulator at its greatest limit R +",
        limits: "how long it lasts and what it chars meanwhile is not judged; behind a regulator a shorted second bank is cautioned of, not judged; a choke's windings have their own rules",
        source: "exact steady state of the shorted rail; accidental overload test of IEC 60115-1 (from memory); rating: the series' row",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (code, at) = (RULE.page.code, Position::SectionResistor);
    let Some(choice) = bench.assembly.section.and_then(Section::resistor) else {
        return verdicts.push(tell::idle(code, at, "the rail has no section resistor"));
    };
    let watts = overload::shorted_section_w(bench).unwrap_or(0.0);
    let rating = resistor::power_rating(bench.asked, choice.series);
    verdicts.push(if choice.series.flameproof {
        let text = format!("shorted output: {watts:.1} W for {rating:.2} W; its maker states that it fails open without flame");
        tell::fact(code, at, true, text)
    } else {
        Verdict::Stress(bench.against(code, at, watts, rating, Unit::Watts))
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    use crate::{
        quantity::{Amps, Watts},
        stress::fixture::Fixture,
    };

    /// By hand: at most the no-load peak, 26.44 V, over 10 Ω less 1.125 %: 70.7 W; at least nine tenths of what the loaded rail has.
    #[test]
    fn a_plain_resistor_must_bear_the_short_and_a_flameproof_one_need_not() {
        let mut fixture = Fixture::smoothed(10.0);
        let stress = fixture.stress(&RULE);
        assert!(stress.applied < 26.44_f64.powi(2) / (10.0 * 0.98875) && stress.applied > 35.0);
        assert!(!stress.holds());
        fixture.resistors.flameproof = true;
        assert!(matches!(fixture.judged(&RULE).as_slice(), [Verdict::Fact { holds: true, .. }]));
        fixture.resistors.flameproof = false;
        fixture.resistors.power = Watts(200.0);
        assert!(fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }

    /// By hand: 4 A of limit, 5 mA and 12 mA of the supply's own through 2 Ω and 1.125 %: 32.63 W; behind 20 Ω the reservoir gives
    /// less than the limit, at most its no-load peak of 26.44 V over 20 Ω less 1.125 %: 35.4 W.
    #[test]
    fn behind_a_regulator_its_limit_flows_or_what_the_resistor_lets_through() {
        let short = |ohms| {
            let mut fixture = Fixture { crc: Some(ohms), ..Fixture::regulated() };
            fixture.rail().current_max = Amps(0.2);
            fixture.stress(&RULE).applied
        };
        assert_relative_eq!(short(2.0), 4.017_f64.powi(2) * 2.0225, max_relative = 1e-9);
        assert!(short(20.0) < 26.44_f64.powi(2) / (20.0 * 0.98875) && short(20.0) > 17.0);
    }
}

//! Air inside against what sinks and small parts may see.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "sink-air",
        asks: "the air inside stays within the stated temperatures of every part that no other rule holds to its air",
        why: "a part outside its stated temperatures has no ratings",
        worst: "ambient + with the rise inside; ambient −",
        limits: "transformer, reservoir, rectifier and regulator have their own rules; hot spots beside a hot part are for the layout",
        source: "ratings: each part's row",
    },
    group: Group::Around,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let air = bench.supply.air;
    let mut tightest: Option<(Position, f64)> = None;
    for line in bench.assembly.lines() {
        if matches!(
            line.position,
            Position::Transformer
                | Position::Reservoir
                | Position::SectionCapacitor
                | Position::Rectifier
                | Position::Regulator
        ) {
            continue;
        }
        let (least, most) = (line.common.temperature_min.0, line.common.temperature_max.0);
        if air.cold_c < least {
            let text = format!("air of {:.0} °C is below the {least:.0} °C that the part allows", air.cold_c);
            verdicts.push(tell::fact(code, line.position, false, text));
        }
        if tightest.is_none_or(|(_, so_far)| most < so_far) {
            tightest = Some((line.position, most));
        }
    }
    verdicts.push(match tightest {
        None => tell::idle(code, Position::RegulatorSink, "no part to judge"),
        Some((position, most)) => {
            let stress = tell::stress(code, position, Unit::Celsius, Sense::AtMost, air.hot_c, most);
            Verdict::Stress(Stress { rating: Some(most), ..stress })
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Celsius, stress::fixture::Fixture};

    /// By hand: 40 °C and 5 K inside against 150 °C; 0 °C against −25 °C.
    #[test]
    fn the_part_that_allows_least_is_judged() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert!((stress.applied - 45.0).abs() < 1e-9 && stress.holds());
        fixture.small.common.temperature_max = Celsius(40.0);
        let stress = fixture.stress(&RULE);
        assert!(!stress.holds() && stress.position == Position::InputCapacitor);
    }

    #[test]
    fn air_colder_than_a_part_allows_fails() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.ambient.min = Celsius(-40.0);
        assert!(!fixture.holds(&RULE));
    }
}

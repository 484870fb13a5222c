//! Least room temperature against the reservoir's least temperature.

use crate::stress::{
    bench::Bench,
    registry::{Group, Page, Rule},
    tell,
    verdict::{Sense, Stress, Unit, Verdict},
};

/// Temperature from which utilisation counts downward, °C: that at which the part's values are stated.
const REFERENCE_C: f64 = 20.0;

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "reservoir-low-temperature",
        asks: "the least room temperature is not below the part's least temperature",
        why: "a cold electrolyte loses capacitance and gains series resistance without bound",
        worst: "ambient −",
        limits: "utilisation counts downward from 20 °C; what the cold does to drop-out is in regulator-headroom",
        source: "the requirement; least temperature: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    for (at, bank) in bench.assembly.banks() {
        let rating = bank.part.t_min.0;
        let (above_k, origin) = bench.figure(code, 0.0);
        let limit = rating + above_k;
        let applied = bench.asked.requirement.ambient.min.0;
        // A reference above both keeps the ratio a share of the way down.
        let reference_c = REFERENCE_C.max(applied).max(limit + 1.0);
        let sense = Sense::Temperature { reference_c };
        let plain = tell::stress(code, at, Unit::Celsius, sense, applied, limit);
        verdicts.push(Verdict::Stress(Stress { rating: Some(rating), origin, ..plain }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{policy::LimitKind, quantity::Celsius, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: 0 °C is a third of the way from 20 °C down to −40 °C.
    #[test]
    fn freezing_point_is_a_third_of_the_way_to_minus_40() {
        let stress = Fixture::regulated().stress(&RULE);
        assert_relative_eq!(stress.utilisation(), 1.0 / 3.0, max_relative = 1e-12);
    }

    #[test]
    fn colder_than_the_part_fails_equal_passes_and_warm_rooms_do_not_matter() {
        let mut fixture = Fixture::regulated();
        for (room, holds) in [(-40.0, true), (-41.0, false), (25.0, true), (20.0, true)] {
            fixture.requirement.ambient.min = Celsius(room);
            assert_eq!(fixture.holds(&RULE), holds, "{room} °C");
        }
        fixture.requirement.ambient.min = Celsius(-35.0);
        fixture.limit(RULE.page.code, LimitKind::AtLeast(10.0));
        assert!(!fixture.holds(&RULE));
        fixture.requirement.ambient.min = Celsius(15.0);
        fixture.capacitor.t_min = Celsius(25.0);
        assert!(!fixture.holds(&RULE));
    }
}

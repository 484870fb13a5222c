//! Air at the transformer against the greatest the maker allows.

use crate::stress::{
    bench::Bench,
    position::Position,
    registry::{Group, Page, Rule},
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-ambient",
        asks: "the air inside the equipment stays within the part's greatest ambient temperature",
        why: "rating, rise and short-circuit behaviour are stated up to it",
        worst: "ambient +",
        limits: "utilisation counts from 0 °C, since the air itself is what is judged",
        source: "room plus rise of the enclosure; greatest ambient: the part's row",
    },
    group: Group::Transformer,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let rating = bench.assembly.transformer.max_ambient.0;
    let air = bench.supply.air.hot_c;
    let stress = bench.against(RULE.page.code, Position::Transformer, air, rating, Unit::Celsius);
    verdicts.push(Verdict::Stress(stress));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stress::fixture::Fixture;
    use approx::assert_relative_eq;

    /// By hand: 40 °C in the room and 5 K in the enclosure; the maker allows 50 °C.
    #[test]
    fn the_air_is_the_room_and_the_rise_inside() {
        let mut fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        assert_relative_eq!(stress.applied, 45.0, max_relative = 1e-12);
        assert!(stress.holds());
        fixture.inside_rise_k = 10.1;
        assert!(!fixture.holds(&RULE));
    }
}

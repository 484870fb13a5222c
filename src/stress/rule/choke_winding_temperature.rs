//! Winding temperature of the filter choke.

use crate::{
    circuit::supply::Body,
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::Verdict,
        winding::choke_winding_c,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "choke-winding-temperature",
        asks: "the winding of the choke stays below what its insulation bears",
        why: "insulation ages faster the warmer it is",
        worst: "load +, mains +, ambient +",
        limits: "mean of the winding; core loss of the ripple and a short behind the choke are not counted",
        source: "ΔT = ΔT_rated (I/I_rated)² R(T)/R(T_rated): derived; R(T): copper; ratings: the part's row",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let (code, at) = (RULE.page.code, Position::SectionChoke);
    let Some(choke) = bench.assembly.choke() else {
        return verdicts.push(tell::idle(code, at, "the rail has no choke"));
    };
    let worst = bench.greatest_of(Body::Heavy, |point| {
        point.section.map_or(point.air_c, |one| choke_winding_c(choke, one.rms_a, point.air_c))
    });
    verdicts.push(bench.temperature(code, at, worst, choke.winding_max.0, bench.supply.air.hot_c));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Celsius, stress::fixture::Fixture};
    use approx::assert_relative_eq;

    /// By hand: at its rated current in air of 40 °C a choke rises by what its row states; without current not at all.
    #[test]
    fn the_stated_rise_comes_out_at_the_stated_current() {
        let fixture = Fixture::choked();
        let choke = fixture.choke.as_ref().unwrap();
        assert_relative_eq!(
            choke_winding_c(choke, choke.current.0, 40.0),
            40.0 + choke.rise.0,
            max_relative = 1e-9
        );
        assert_relative_eq!(choke_winding_c(choke, 0.0, 25.0), 25.0, max_relative = 1e-12);
        assert!(choke_winding_c(choke, 4.0 * choke.current.0, 40.0).is_infinite());
    }

    #[test]
    fn a_class_too_low_fails() {
        let mut fixture = Fixture::choked();
        assert!(fixture.holds(&RULE));
        fixture.choke.as_mut().unwrap().winding_max = Celsius(55.0);
        assert!(!fixture.holds(&RULE));
        assert!(Fixture::raw().idle(&RULE));
    }
}

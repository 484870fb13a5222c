//! Steady peak current of one diode against its repetitive rating.

use crate::stress::{
    bench::Bench,
    junction,
    position::Position,
    registry::{Group, Page, Rule},
    verdict::{Unit, Verdict},
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-repetitive-peak",
        asks: "the peak of the charging pulse in the steady state stays within the derated I_FRM",
        why: "a large reservoir behind a stiff winding is charged in pulses many times the load current",
        worst: "load +, mains +, C +, ESR −, windings cold",
        limits: "steady state only; see rectifier-surge-current for switch-on",
        source: "exact steady state; rating: the part's row. A part that states none fails, as for every rating",
    },
    group: Group::Train,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let stated =
        (junction::element(bench).peak_repetitive.map(|amps| amps.0), "repetitive peak forward current");
    let worst = || bench.greatest(|point| point.diode_peak_a);
    verdicts.push(bench.against_stated(RULE.page.code, Position::Rectifier, stated, Unit::Amps, worst));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Amps, stress::fixture::Fixture};

    /// Law: the peak of a pulse lies above its rms over the whole period, below the driving voltage over all resistance.
    #[test]
    fn the_peak_lies_between_rms_and_what_ohm_allows() {
        let fixture = Fixture::regulated();
        let stress = fixture.stress(&RULE);
        let bench = fixture.bench();
        let rms = bench.greatest(|point| point.diode_rms_a).value;
        let ohm = bench.greatest(|point| point.emf_peak_v / point.source_ohm).value;
        assert!(stress.applied > rms && stress.applied < ohm);
        assert!(stress.holds());
    }

    #[test]
    fn a_small_rating_fails_and_none_is_missing() {
        let mut fixture = Fixture::regulated();
        fixture.bridge.element.peak_repetitive = Some(Amps(2.0));
        assert!(!fixture.holds(&RULE));
        fixture.bridge.element.peak_repetitive = None;
        assert!(fixture.misses(&RULE));
    }
}

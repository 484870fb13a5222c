//! Laws that every rule keeps, on the fixture's rails.
//!
//! Knows no single rule.

use std::collections::BTreeSet;

use crate::{
    circuit::{operate::OperatingPoint, spec::Topology},
    stress::{assembly::Wiring, bench::Bench, fixture::Fixture, registry::rules, verdict::Verdict},
};

fn rails() -> Vec<Fixture> {
    let mut small = Fixture::raw().half_wave();
    small.requirement.rails[0].current_max = crate::quantity::Amps(0.3);
    let mut doubler = Fixture::raw();
    doubler.topology = Topology::FullWaveDoubler;
    doubler.requirement.rails[0].current_max = crate::quantity::Amps(0.1);
    vec![
        doubler,
        Fixture::regulated(),
        Fixture::raw(),
        Fixture::regulated().two_windings(Wiring::CentreTap),
        Fixture::raw().two_windings(Wiring::Parallel),
        small,
    ]
}

#[test]
fn codes_are_unique_and_every_page_is_written() {
    let codes: BTreeSet<&str> = rules().iter().map(|rule| rule.page.code).collect();
    assert_eq!(codes.len(), rules().len());
    for rule in rules() {
        let page = &rule.page;
        assert!(
            page.code.contains('-')
                && page.code.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        );
        for text in [page.asks, page.why, page.worst, page.limits, page.source] {
            assert!(text.len() > 3 && !text.ends_with('.'), "{}: {text:?}", page.code);
        }
    }
}

/// Fewer vertices never show more stress: selection may refuse on a few what verification would refuse on all. The harmonics
/// are judged at one vertex, that of greatest power, and are no part of selection.
#[test]
fn fewer_vertices_never_show_more_stress() {
    for fixture in rails() {
        let full = fixture.bench();
        for step in [1, 7, 60, 255] {
            let few = Bench { points: full.points.iter().step_by(step).cloned().collect(), ..full.clone() };
            for rule in rules().iter().filter(|rule| rule.page.code != "grid-harmonic") {
                let (mut of_few, mut of_all) = (Vec::new(), Vec::new());
                (rule.judge)(&few, &mut of_few);
                (rule.judge)(&full, &mut of_all);
                let worst = |verdicts: &[Verdict]| {
                    verdicts
                        .iter()
                        .map(|verdict| match verdict {
                            Verdict::Stress(stress) => stress.utilisation(),
                            other if other.holds() => 0.0,
                            _ => f64::INFINITY,
                        })
                        .fold(0.0, f64::max)
                };
                let (some, all) = (worst(&of_few), worst(&of_all));
                assert!(some <= all * (1.0 + 1e-12), "{}: {some} above {all}", rule.page.code);
            }
        }
    }
}

#[test]
fn no_rule_panics_or_stays_silent_without_points() {
    for fixture in rails() {
        let empty = Bench { points: Vec::new(), ..fixture.bench() };
        for rule in rules() {
            let mut verdicts = Vec::new();
            (rule.judge)(&empty, &mut verdicts);
            assert!(!verdicts.is_empty(), "{} is silent", rule.page.code);
        }
    }
}

/// All figures of a point that a change of the engine's arithmetic could move in their last digits.
fn figures(point: &mut OperatingPoint) -> [&mut f64; 16] {
    [
        &mut point.turn_on_v,
        &mut point.valley_v,
        &mut point.crest_v,
        &mut point.mean_v,
        &mut point.diode_avg_a,
        &mut point.diode_rms_a,
        &mut point.diode_peak_a,
        &mut point.path_rms_a,
        &mut point.primary_load_rms_a,
        &mut point.bank_rms_a,
        &mut point.conduction_deg,
        &mut point.winding_c,
        &mut point.junction_c,
        &mut point.copper_w,
        &mut point.diode_w,
        &mut point.bank_w,
    ]
}

/// Every figure of every vertex is moved by up to 1e-12 of itself, each its own way: the names in the verdicts stay.
#[test]
fn rounding_names_no_other_vertex() {
    let named = |bench: &Bench<'_>| {
        let mut verdicts = Vec::new();
        for rule in rules() {
            (rule.judge)(bench, &mut verdicts);
        }
        let names: Vec<_> = verdicts
            .iter()
            .map(|verdict| {
                let vertex = if let Verdict::Stress(stress) = verdict { stress.vertex } else { None };
                (verdict.code(), verdict.position(), vertex)
            })
            .collect();
        names
    };
    let mut fixtures = rails();
    let regulated = Fixture { crc: Some(1.0), ..Fixture::regulated() };
    fixtures.extend([Fixture::passed(), Fixture::smoothed(4.0)]);
    fixtures.push(regulated);
    for fixture in fixtures {
        let bench = fixture.bench();
        let before = named(&bench);
        assert!(before.iter().filter(|(.., vertex)| vertex.is_some()).count() > 10);
        let mut step = 0_u32;
        for _ in 0..5 {
            let mut moved = bench.clone();
            for figure in moved.points.iter_mut().flat_map(figures) {
                // The golden ratio's multiples fall evenly between −1/2 and 1/2.
                step += 1;
                let part = (f64::from(step) * 0.618_033_988_749_895).fract() - 0.5;
                *figure *= 1.0 + 2e-12 * part;
            }
            for (was, is) in before.iter().zip(named(&moved)) {
                assert_eq!(*was, is);
            }
        }
    }
}

//! Faults of the trade: what no fuse opens on, and whether the demo catalog can protect its own transformers.
//!
//! The figures of the cases are facts of the trade: common practice, no source.

use railwright::catalog::{Catalog, Fuse, Transformer, family::transformer::ShortCircuitClass};
use railwright::circuit::corner::Vertex;
use railwright::requirement::Requirement;
use railwright::stress::assembly::Wiring;
use railwright::stress::bench::Bench;
use railwright::stress::registry::{self, Group};
use railwright::stress::verdict::Verdict;

use crate::traps::{Train, asked, bench, house};

fn holds(bench: &Bench<'_>, code: &str) -> bool {
    let mut verdicts = Vec::new();
    (registry::by_code(code).expect("a rule of that code").judge)(bench, &mut verdicts);
    verdicts.iter().all(Verdict::holds)
}

/// Every vertex with all at its low end, all at its high end, and the two ends of the mains with the rest hot and worn.
const VERTICES: [u32; 4] = [0, 255, 191, 239];

/// A transformer with half its rated current as direct current, a large bridge, and a reservoir of about 10 % ripple.
fn half_loaded<'a>(catalog: &'a Catalog, part: &'a Transformer) -> Option<(Requirement, Train<'a>)> {
    let one = part.secondaries.first()?;
    let wiring = if part.secondaries.len() == 1 { Wiring::Single } else { Wiring::Series };
    // Of unlike secondaries each feeds a rail of its own, and a transformer is judged with both.
    if !part.has_equal_windings() {
        return None;
    }
    let (amps, volts) = (0.5 * one.current.0, 1.2 * one.rated.0 * part.secondaries.len() as f64);
    let farad = amps * 0.008 / (0.1 * volts);
    let fits = catalog.electrolytics.iter().filter(|c| c.rated.0 >= 1.7 * volts && c.capacitance.0 >= farad);
    let capacitor = fits.min_by(|a, b| a.capacitance.0.total_cmp(&b.capacitance.0))?;
    let bridge = catalog.bridges.iter().max_by(|a, b| a.element.surge.0.total_cmp(&b.element.surge.0))?;
    Some((asked(volts, amps), Train { transformer: part, wiring, bridge, capacitor, count: 1 }))
}

fn vertices() -> impl Iterator<Item = Vertex> {
    VERTICES.into_iter().map(Vertex::at)
}

/// The smallest fuse of one rating system that carries service and switch-on by house practice.
fn smallest_fuse<'a>(bench: &mut Bench<'a>, fuses: &[&'a Fuse]) -> Option<&'a Fuse> {
    fuses.iter().copied().find(|fuse| {
        bench.assembly.primary_fuse = Some(fuse);
        holds(bench, "fuse-steady-current") && holds(bench, "fuse-inrush")
    })
}

/// A fuse that carries inrush does not open on one shorted bridge diode, which draws 2 to 3 times its rating: of the plain
/// transformers up to 60 VA none is protected by a fuse of high breaking capacity alone, and each is by a cut-out.
#[test]
fn a_fuse_that_carries_inrush_leaves_one_shorted_diode_to_a_cut_out() {
    let (catalog, policy) = (crate::catalog::demo(), house());
    let mut fuses: Vec<&Fuse> = catalog.fuses.iter().filter(|fuse| fuse.breaking.0 >= 1500.0).collect();
    fuses.sort_by(|a, b| a.rated.0.total_cmp(&b.rated.0));
    let cut_out = catalog.cut_outs.iter().find(|part| (part.opens_at.0 - 130.0).abs() < 1e-9).unwrap();
    let mut seen = 0;
    for part in catalog.transformers.iter().filter(|part| {
        (part.primaries[0].rated.0 - 230.0).abs() < 1e-9
            && part.rating.0 <= 60.0
            && part.short_circuit == ShortCircuitClass::NotProof
            && part.overload_limit.0 >= 140.0
    }) {
        let Some((requirement, train)) = half_loaded(&catalog, part) else { continue };
        let mut bench = bench(&requirement, &policy, &train, vertices()).expect("a circuit that is solved");
        let fuse = smallest_fuse(&mut bench, &fuses).expect("a fuse that carries switch-on");
        bench.assembly.primary_fuse = Some(fuse);
        assert!(!holds(&bench, "fuse-clears-diode"), "{} with {}", part.common.id, fuse.common.id);
        bench.assembly.cut_out = Some(cut_out);
        assert!(holds(&bench, "fuse-clears-diode") && holds(&bench, "fuse-clears-short"));
        seen += 1;
    }
    assert!(seen >= 5, "{seen} transformers were judged");
}

/// The rules leave sensible supplies: each transformer of like secondaries of the demo catalog for 230 V, half loaded, finds a
/// fuse, and where it needs them a limiter and a cut-out, that pass every rule of protection.
#[test]
fn every_transformer_of_the_demo_catalog_can_be_protected() {
    let (catalog, policy) = (crate::catalog::demo(), house());
    let (mut seen, mut bare) = (0, Vec::new());
    for part in catalog.transformers.iter().filter(|part| (part.primaries[0].rated.0 - 230.0).abs() < 1e-9) {
        let Some((requirement, train)) = half_loaded(&catalog, part) else { continue };
        let mut bench = bench(&requirement, &policy, &train, vertices()).expect("a circuit that is solved");
        let mut scratch = Vec::new();
        let found = std::iter::once(None).chain(catalog.cut_outs.iter().map(Some)).any(|cut_out| {
            std::iter::once(None).chain(catalog.limiters.iter().map(Some)).any(|limiter| {
                catalog.fuses.iter().any(|fuse| {
                    bench.assembly.cut_out = cut_out;
                    bench.assembly.limiter = limiter;
                    bench.assembly.primary_fuse = Some(fuse);
                    registry::holds(&bench, Group::Protection, &mut scratch)
                })
            })
        });
        seen += 1;
        if !found {
            bare.push(part.common.id.0.clone());
        }
    }
    assert!(bare.is_empty(), "unprotected: {bare:?}");
    assert!(seen >= 150, "{seen} transformers were judged");
}

/// 48 V regulated: a secondary that holds 48 V and a low drop-out at low mains stands at 77 V without load and high mains, which
/// most regulators of the demo catalog do not bear.
#[test]
fn forty_eight_volts_regulated_meets_the_input_limit_of_most_regulators() {
    let catalog = crate::catalog::demo();
    // 48 V, 2 % of accuracy, 1 V of drop-out and headroom, 4 V of ripple, two diodes, at 0.9 of mains; 12 % of regulation.
    let peak_low = 48.0 * 1.02 + 1.0 + 4.0 + 1.8;
    let no_load = peak_low / 0.9 * 1.1 * 1.12;
    assert!((no_load - 77.0_f64).abs() < 2.0, "{no_load}");
    let bears = |part: &railwright::catalog::Regulator| {
        part.input_max.or(part.differential_max).is_some_and(|rating| rating.0 * 0.85 >= no_load)
    };
    let count = catalog.regulators.iter().filter(|part| bears(part)).count();
    assert!(count >= 1 && 4 * count < catalog.regulators.len(), "{count} of {}", catalog.regulators.len());
}

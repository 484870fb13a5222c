//! Both doublers: the search against every combination of a few parts.

use railwright::{
    candidate::shop::{Shop, View},
    circuit::spec::Topology,
    selection::{choose::Inputs, leaf::identity, search::Search},
    stress::assembly::Assembly,
};

use super::all::All;
use crate::{doubler::requirement, support::world};

/// Keeps some parts by id, and every `every`-th of the others.
fn thin<T>(parts: &mut Vec<T>, id: impl Fn(&T) -> &str, keep: &[String], every: usize) {
    let mut nth = 0;
    parts.retain(|part| {
        nth += 1;
        keep.iter().any(|one| one == id(part)) || nth % every == 0
    });
}

/// Identity of a rail by its parts, free of the catalog.
fn owned(assembly: &Assembly<'_>) -> Vec<(String, u64, u32)> {
    identity(assembly).into_iter().flatten().map(|(id, bits, count)| (id.to_owned(), bits, count)).collect()
}

#[test]
fn the_search_finds_the_doubler_that_brute_force_finds() {
    compared(Topology::FullWaveDoubler);
}

#[test]
fn the_search_finds_the_cascade_that_brute_force_finds() {
    compared(Topology::HalfWaveDoubler);
}

/// Second method: every combination of what is left of the demo catalog about the parts of its own answer, each judged by
/// every rule at every vertex.
fn compared(topology: Topology) {
    let (demo, house) = (world::demo(), world::policy("house"));
    let requirement = requirement(48.0, 40, "none");
    let searched = |catalog: &railwright::catalog::Catalog| {
        let inputs = Inputs { requirement: &requirement, catalog, policy: &house };
        let asked = inputs.asked(0).expect("one rail");
        let shop = Shop::open(catalog, &requirement, View::Alone);
        let found = Search::new(asked, &shop, topology).run(f64::INFINITY);
        let best = found.found.into_iter().next().expect("a doubler");
        (best.score, owned(&best.assembly))
    };
    let keep: Vec<String> = searched(&demo).1.into_iter().map(|(id, ..)| id).collect();
    let mut small = demo.clone();
    thin(&mut small.transformers, |part| part.common.id.0.as_str(), &keep, 40);
    thin(&mut small.diodes, |part| part.common.id.0.as_str(), &keep, 40);
    thin(&mut small.electrolytics, |part| part.common.id.0.as_str(), &keep, 60);
    thin(&mut small.resistors, |part| part.common.id.0.as_str(), &keep, 40);
    thin(&mut small.fuses, |part| part.common.id.0.as_str(), &keep, 40);
    thin(&mut small.cut_outs, |part| part.common.id.0.as_str(), &keep, 1000);
    small.bridges.clear();
    small.regulators.clear();
    small.sinks.clear();
    small.limiters.clear();
    let inputs = Inputs { requirement: &requirement, catalog: &small, policy: &house };
    let asked = inputs.asked(0).expect("one rail");
    let expected = All { asked, catalog: &small, topology }.best().expect("a doubler");
    let found = searched(&small);
    assert!(
        (found.0 - expected.score).abs() < 1e-8 * found.0,
        "search {}, brute force {}",
        found.0,
        expected.score
    );
    assert_eq!(found.1, owned(&expected.assembly));
}

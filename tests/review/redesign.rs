//! A substitute against a design forced to it: the search, left nothing else to take, must agree.

use railwright::catalog::Catalog;
use railwright::flow::{Answer, Asked, design};
use railwright::record::Record;
use railwright::review::substitute::{family, place, substitute};

use super::bench::{Bench, designed};

/// The catalog with only the parts of a record, and `part` instead of those of one position.
fn forced(bench: &Bench, position: &str, part: &str) -> Catalog {
    let parts = bench.record.rails.iter().flat_map(|rail| &rail.parts);
    let mut kept: Vec<&str> =
        parts.filter(|one| one.position != position).map(|one| one.part.as_str()).collect();
    kept.push(part);
    let mut catalog = bench.catalog.clone();
    macro_rules! keep {
        ($($list:ident),*) => {$(catalog.$list.retain(|one| kept.contains(&one.common.id.0.as_str()));)*};
    }
    keep!(
        transformers,
        diodes,
        bridges,
        electrolytics,
        small_capacitors,
        regulators,
        sinks,
        pads,
        fuses,
        cut_outs,
        limiters,
        resistors
    );
    catalog
}

/// Whether two records differ in that one part alone: same topology, wiring, counts and values.
fn alike(one: &Record, other: &Record, position: &str) -> bool {
    one.rails.len() == other.rails.len()
        && one.rails.iter().zip(&other.rails).all(|(a, b)| {
            (&a.topology, &a.wiring, &a.primary) == (&b.topology, &b.wiring, &b.primary)
                && a.parts.len() == b.parts.len()
                && a.parts.iter().zip(&b.parts).all(|(x, y)| {
                    x.position == y.position
                        && x.count == y.count
                        && x.value == y.value
                        && (x.part == y.part || x.position == position)
                })
        })
}

/// Parts of a family near the one recorded: those that fit first, then the nearest misses.
fn near(bench: &Bench, position: &str, most: usize) -> Vec<(String, bool)> {
    let at = place(&bench.record, position).expect("named");
    let parts = family(&bench.catalog, &bench.record, &at);
    let trials = substitute(bench.inputs(), &[], &at, &parts).trials;
    let fit = trials.iter().filter(|trial| trial.fits).take(most);
    let miss = trials.iter().filter(|trial| !trial.fits && trial.solved()).take(most);
    fit.chain(miss).map(|trial| (trial.part.clone(), trial.fits)).collect()
}

/// Second method: the search. A part that fits leaves a design to be found with it; where the search comes to the very same
/// circuit, substitution must say that it fits; where it finds none, that it does not.
fn agrees(name: &str, positions: &[&str], least: (usize, usize)) {
    let bench = designed(name);
    let (mut fitting, mut refused) = (0, 0);
    for position in positions {
        for (part, fits) in near(&bench, position, 3) {
            let catalog = forced(&bench, position, &part);
            let asked = Asked {
                requirement: &bench.requirement,
                requirement_digest: &bench.digest,
                catalog: &catalog,
                policy: &bench.policy,
            };
            match design(asked) {
                Answer::Designed { record, dossier } => {
                    assert!(dossier.passes(), "{name}: {part} as {position}");
                    let same = alike(&record, &bench.record, position);
                    assert!(
                        fits || !same,
                        "{name}: a design has {part} as {position}, substitution refuses it"
                    );
                    fitting += usize::from(fits);
                }
                Answer::Infeasible(_) => {
                    assert!(!fits, "{name}: {part} fits as {position}, and no design is found with it");
                    refused += 1;
                }
            }
        }
    }
    assert!(fitting >= least.0 && refused >= least.1, "{name}: {fitting} fitting, {refused} refused");
}

#[test]
fn a_design_forced_to_a_part_agrees_with_its_substitution_at_the_workshop() {
    let positions = ["transformer", "rectifier", "reservoir", "regulator", "regulator-sink", "primary-fuse"];
    agrees("workshop-12v", &positions, (5, 3));
}

#[test]
fn a_design_forced_to_a_part_agrees_with_its_substitution_in_the_clock() {
    agrees(
        "tea-kettle-clock",
        &["transformer", "reservoir", "regulator", "bleeder", "output-capacitor"],
        (4, 2),
    );
}

#[test]
fn a_design_forced_to_a_part_agrees_with_its_substitution_on_a_raw_rail() {
    agrees("practice-amplifier", &["transformer", "rectifier", "reservoir", "primary-fuse"], (3, 2));
}

//! The search against brute force on small catalogs: least score and chosen parts.

mod all;
mod dice;
mod doubler;
mod plain;
mod small;

use rayon::prelude::*;

use railwright::candidate::{
    shop::{Shop, View},
    source::circuit_topology,
};
use railwright::policy::Policy;
use railwright::selection::{
    choose::Inputs,
    leaf::{Found, identity},
    search::Search,
};

use crate::support::world;
use all::All;
use dice::Dice;

/// Small catalogs compared.
const ROUNDS: u64 = 220;
/// Of these, at least so many with a rail that can be built.
const FEASIBLE: usize = 55;

/// What brute force and the search make of one small catalog, all its topologies together.
struct Round {
    feasible: bool,
    disagreement: Option<String>,
}

fn round(number: u64, seeds: &[small::Seed], whole: &railwright::catalog::Catalog, policy: &Policy) -> Round {
    let mut dice = Dice(number.wrapping_mul(7919) + 1);
    let seed = &seeds[usize::try_from(number).expect("small") % seeds.len()];
    let requirement = seed.requirement(&mut dice);
    let catalog = seed.catalog(whole, &requirement, &mut dice);
    let inputs = Inputs { requirement: &requirement, catalog: &catalog, policy };
    let asked = inputs.asked(0).expect("one rail");
    let shop = Shop::open(&catalog, &requirement, View::Alone);
    let mut feasible = false;
    for &topology in &requirement.topologies {
        let topology = circuit_topology(topology);
        let expected = All { asked, catalog: &catalog, topology }.best();
        let found = Search::new(asked, &shop, topology).run(f64::INFINITY).found.into_iter().next();
        let told = |expected: Option<all::Best<'_>>, found: Option<&Found<'_>>| {
            format!(
                "round {number}, {} {:?}, {topology:?}, {:?}:\n brute force {:?}\n search {:?}",
                requirement.name,
                requirement.rails[0].name,
                requirement.objective,
                expected.map(|one| (one.score, identity(&one.assembly), one.assembly.wiring)),
                found.map(|one| (one.score, identity(&one.assembly), one.assembly.wiring)),
            )
        };
        let agree = match (&expected, &found) {
            (None, None) => true,
            (Some(one), Some(other)) => {
                feasible = true;
                (one.score - other.score).abs() <= 1e-8 * one.score.abs().max(1.0)
                    && identity(&one.assembly) == identity(&other.assembly)
                    && (one.assembly.primary, one.assembly.wiring)
                        == (other.assembly.primary, other.assembly.wiring)
            }
            _ => false,
        };
        if !agree {
            return Round { feasible, disagreement: Some(told(expected, found.as_ref())) };
        }
    }
    Round { feasible, disagreement: None }
}

/// Second method: every combination of parts, judged by every rule at every vertex.
#[test]
fn the_search_finds_what_brute_force_finds_on_two_hundred_small_catalogs() {
    let (whole, policy, seeds) = (small::whole(), world::policy("house"), small::seeds());
    let rounds: Vec<Round> =
        (0..ROUNDS).into_par_iter().map(|number| round(number, &seeds, &whole, &policy)).collect();
    let wrong: Vec<&str> = rounds.iter().filter_map(|one| one.disagreement.as_deref()).collect();
    assert!(wrong.is_empty(), "{} of {ROUNDS} rounds disagree\n{}", wrong.len(), wrong.join("\n"));
    let feasible = rounds.iter().filter(|one| one.feasible).count();
    assert!(feasible >= FEASIBLE, "only {feasible} of {ROUNDS} small catalogs let a rail be built");
}

//! Catalogs thinned to a few parts a family, and the least of all their combinations that passes every rule.

use railwright::selection::vertices::named;
use railwright::stress::assembly::Assembly;
use railwright::stress::bench::{Asked, Bench};
use railwright::stress::registry::judge;
use railwright::stress::verdict::Verdict;
use rayon::prelude::*;

/// Keeps of each family named the parts named.
macro_rules! keep {
    ($catalog:ident, $($family:ident: $ids:expr),+ $(,)?) => {$(
        $catalog.$family.retain(|part| $ids.contains(&part.common.id.0.as_str()));
    )+};
}

pub(crate) use keep;

/// Whether every rule holds at every vertex; what fails at a few vertices fails.
fn holds<'a>(asked: Asked<'a>, assembly: &Assembly<'a>) -> bool {
    let leaks = assembly.transformer.secondaries.iter().any(|winding| winding.leakage.is_some());
    let at_few = Bench::build(asked, *assembly, named(leaks, false));
    at_few.is_ok_and(|bench| judge(&bench).iter().all(Verdict::holds))
        && Bench::build_whole(asked, *assembly).is_ok_and(|bench| judge(&bench).iter().all(Verdict::holds))
}

/// The first of some combinations for which every rule holds at every vertex.
pub(crate) fn first_that_holds<'a>(
    asked: Asked<'a>,
    all: Vec<(f64, Assembly<'a>)>,
) -> Option<(f64, Assembly<'a>)> {
    all.into_par_iter().find_first(|(_, assembly)| holds(asked, assembly))
}

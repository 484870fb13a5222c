//! What is tried where Newton's steps do not lead straight to a steady state: other circuits on the way.

use super::network::Network;
use super::propagate::Place;
use super::steady::{RUNS_MAX, Search};
use crate::circuit::figures::NoSteadyState;

/// Runs of the cycle map on the way to less and less load.
const LEAKING_RUNS: u32 = 200;

/// Ends a search without constant power, by detours where the way straight ahead fails.
pub(super) fn settle(mut search: Search) -> Result<Search, NoSteadyState> {
    let Err(error) = search.converge() else { return Ok(search) };
    if search.cache.singular || search.net.diode_slope.contains(&0.0) {
        match past_ideal_diodes(&search) {
            Ok(found) => return Ok(found),
            Err(refused) if search.cache.singular => return Err(refused),
            Err(_) => {}
        }
    }
    leak_less_and_less(&search.net).ok_or(error)
}

/// Leaks, as multiples of the last capacitor's reactance, on the way to what is drawn or stands for no load.
const LEAKS: [f64; 4] = [1e2, 1e4, 1e6, 1e8];

/// Where next to nothing is drawn a capacitor above the peak hardly falls and one below it is filled at once, so that steps go to
/// and fro between both: a load comes first, less and less of it.
fn leak_less_and_less(net: &Network) -> Option<Search> {
    let mut place: Option<Place> = None;
    let mut fallbacks = 0;
    let less = LEAKS.into_iter().filter_map(|leak| net.with_leak(leak)).map(|part| (part, LEAKING_RUNS));
    for (part, runs_max) in less.chain([(net.clone(), RUNS_MAX)]) {
        let mut search = Search::new(part);
        search.place = place.take().unwrap_or(search.place);
        search.runs_max = runs_max;
        search.fallbacks = fallbacks + 1;
        let found = search.converge().is_ok();
        fallbacks = search.fallbacks;
        if found && runs_max == RUNS_MAX {
            return Some(search);
        }
        place = found.then_some(search.place);
    }
    None
}

/// First with a trace of resistance in every diode, then from there without.
fn past_ideal_diodes(search: &Search) -> Result<Search, NoSteadyState> {
    let refused = |_| NoSteadyState::NotACircuit {
        why: "ideal diodes close a loop without resistance: give the diodes a slope",
    };
    let mut soft = search.net.clone();
    soft.soften();
    let mut near = Search::new(soft);
    near.converge().map_err(refused)?;
    let mut ideal = Search::new(search.net.clone());
    ideal.place = near.place;
    ideal.fallbacks = near.fallbacks + 1;
    ideal.converge().map_err(refused)?;
    Ok(ideal)
}

//! Steady states of loads of constant power.
//!
//! Newton by itself is easily led astray here: above the peak of the EMF a constant power drains a capacitor the less the higher
//! it stands, so its steps lead up and up. A resistance that takes as much shows where to begin; where it cannot be made to take
//! as much, or Newton fails from there, the power is raised from a small share; where that ends the load has collapsed.

use super::collapse;
use super::detour::settle;
use super::network::Network;
use super::power;
use super::propagate::Place;
use super::steady::{Search, Steady};
use super::tally::{Wish, gather};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::{Load, Topology};
use crate::quantity::Ohms;

/// Runs and falls back of one attempt: from near by Newton needs a dozen at most.
const ATTEMPT: (u32, u32) = (40, 0);
/// The same of the last one, which is made where the power came up to this share.
const LAST: (u32, u32) = (150, 6);
const NEARLY: f64 = 0.95;
/// Runs and rounds of the resistances that stand in for the powers, and the relative change at which they end.
const STAND_IN_RUNS: u32 = 200;
const ROUNDS_MAX: u32 = 60;
const STAND_IN_ENDS: f64 = 1e-3;
/// A resistance that makes its voltage fall below this share of the first has passed the most that can be drawn.
const SUNK: f64 = 0.1;
/// A power that resistances fall short of by more has no steady state. A constant power draws most in the valleys of its
/// ripple, where least is left: it does not come near what a resistance takes. Measured, not
/// proven: none of 4000 random circuits that has a steady state lies beyond.
const BEYOND: f64 = 0.75;
/// First step of the power, as a share of the whole, and the step at which its end is reached.
const STEP: f64 = 0.25;
const STEP_LEAST: f64 = 2e-3;

/// Seeks the steady state, from a place near it where one is known.
pub(super) fn seek(net: &Network, near: Option<&Place>) -> Result<Search, NoSteadyState> {
    if let Some(near) = near
        && let Ok(found) = attempt(net, near.clone(), ATTEMPT)
    {
        return Ok(found);
    }
    match stand_in(net) {
        StandIn::Beyond => Err(NoSteadyState::Collapsed),
        StandIn::At(place) => attempt(net, place.clone(), ATTEMPT)
            .or_else(|_| raise(net))
            .or_else(|error| attempt(net, place, LAST).map_err(|_| error)),
        StandIn::Unknown => raise(net),
    }
}

fn attempt(net: &Network, place: Place, (runs, fallbacks): (u32, u32)) -> Result<Search, NoSteadyState> {
    let mut search = Search::new(net.clone());
    search.place = place;
    search.runs_max = runs;
    search.fallbacks_max = fallbacks;
    search.converge().map(|()| search)
}

/// Where resistances in place of the powers led.
enum StandIn {
    /// They take as much: the steady state with them.
    At(Place),
    /// They fall short by far.
    Beyond,
    /// Neither.
    Unknown,
}

/// Resistances that take as much as the powers, found by `R ← R P_R/P`, which cannot overshoot on the side of the higher voltage.
fn stand_in(net: &Network) -> StandIn {
    let watts = powers(net);
    let mut place = Search::new(net.clone()).place;
    // From no load down: the greatest resistance that takes as much is the steady state of the higher voltage.
    let mut ohms: Vec<f64> = no_load_volts(net).iter().zip(&watts).map(|(v, p)| v * v / p).collect();
    let mut most = vec![0.0_f64; watts.len()];
    let mut first: Option<Vec<f64>> = None;
    for _ in 0..ROUNDS_MAX {
        let mut search = Search::new(resistive(net, &ohms));
        search.place = place;
        search.runs_max = STAND_IN_RUNS;
        let Ok(found) = settle(search) else { return StandIn::Unknown };
        let found = found.finish();
        let squares = mean_squares(&found);
        let first = first.get_or_insert_with(|| squares.clone());
        let mut change = 0.0_f64;
        for o in (0..watts.len()).filter(|&o| watts[o] > 0.0) {
            let taken = squares[o] / ohms[o];
            most[o] = most[o].max(taken);
            change = change.max((taken / watts[o] - 1.0).abs());
            if taken.is_nan() || squares[o] <= SUNK * SUNK * first[o] {
                return if most[o] < BEYOND * watts[o] { StandIn::Beyond } else { StandIn::Unknown };
            }
            ohms[o] *= taken / watts[o];
        }
        if change < STAND_IN_ENDS {
            return StandIn::At(found.place);
        }
        place = found.place;
    }
    StandIn::At(place)
}

/// Mean square of each load voltage, V².
fn mean_squares(steady: &Steady) -> Vec<f64> {
    let net = &steady.net;
    let outputs: Vec<usize> = (0..net.outputs.len()).collect();
    let rows = |mode: usize| collapse::rows(steady, mode, &outputs);
    let wish = Wish { rows: &rows, integrals: &outputs, extremes: &[], products: &[] };
    let square = gather(&steady.cache, net.omega, &steady.stretches, &wish).square;
    square.into_iter().map(|square| square / steady.span).collect()
}

/// Power of each output, W; zero for other loads.
fn powers(net: &Network) -> Vec<f64> {
    (0..net.outputs.len()).map(|output| power::watts(net, output)).collect()
}

/// What each output comes to without load, thresholds not taken off, V.
fn no_load_volts(net: &Network) -> Vec<f64> {
    let mut volts = vec![net.emf_peak; net.outputs.len()];
    for rail in &net.rails {
        let emf = rail.windings.first().map_or(1.0, |&one| net.windings[one].gain.abs()) * net.emf_peak;
        let stacked = matches!(rail.topology, Topology::FullWaveDoubler | Topology::HalfWaveDoubler);
        for &output in &rail.outputs {
            volts[output] = if stacked { 2.0 * emf } else { emf };
        }
    }
    volts
}

/// The same network with a resistance in place of each power.
fn resistive(net: &Network, ohms: &[f64]) -> Network {
    let mut other = net.clone();
    for (output, &ohm) in other.outputs.iter_mut().zip(ohms) {
        if let Load::Power(_) = output.load {
            output.load = Load::Resistance(Ohms(ohm));
        }
    }
    other
}

/// Share of the EMF that next to no load drops across its windings, and of the charge that it takes in a period.
const NEXT_TO_NONE: (f64, f64) = (1e-3, 1e-2);

/// What it means that no more than a share is found: next to no load draws no voltage down, so of that nothing is known.
fn ended(net: &Network) -> NoSteadyState {
    let next_to_none = |o: usize| {
        let (output, square) = (&net.outputs[o], net.emf_peak * net.emf_peak);
        let ohm = output.section.as_ref().map_or(0.0, |(ohm, _)| *ohm)
            + output.diodes.iter().map(|&d| net.path_resistance(d)).fold(0.0, f64::max);
        let all = output.first_caps.iter().chain(&output.load_caps);
        let farads = all.map(|&c| net.capacitors[c].farads).fold(f64::INFINITY, f64::min);
        let watts = power::watts(net, o);
        watts * ohm < NEXT_TO_NONE.0 * square && watts * net.period() < NEXT_TO_NONE.1 * farads * square
    };
    if (0..net.outputs.len()).all(next_to_none) {
        NoSteadyState::NotFound { residual: f64::INFINITY, iterations: 0 }
    } else {
        NoSteadyState::Collapsed
    }
}

/// Follows the steady state from a small power to the full one; where it ends on the way, the load has no steady state.
fn raise(net: &Network) -> Result<Search, NoSteadyState> {
    let (mut share, mut step) = (0.0, STEP);
    let mut place: Option<Place> = None;
    let mut fallbacks = 0;
    let mut again = false;
    loop {
        let next = (share + step).min(1.0);
        let part = net.with_power(next);
        let from = place.clone().or_else(|| match stand_in(&part) {
            StandIn::At(place) => Some(place),
            _ => None,
        });
        fallbacks += 1;
        let tried = from.ok_or(NoSteadyState::Collapsed).and_then(|from| attempt(&part, from, ATTEMPT));
        if let Ok(mut found) = tried {
            if next >= 1.0 {
                found.fallbacks = fallbacks;
                return Ok(found);
            }
            step *= if again { 2.0 } else { 1.0 };
            again = true;
            share = next;
            place = Some(found.place);
        } else {
            again = false;
            step *= 0.5;
            if step < STEP_LEAST {
                // So near the end the circuit itself may find the way.
                let last = place.filter(|_| share > NEARLY).ok_or_else(|| ended(net))?;
                let afresh = Search::new(net.clone()).place;
                return attempt(net, last, LAST)
                    .or_else(|_| attempt(net, afresh, LAST))
                    .map_err(|_| NoSteadyState::Collapsed);
            }
        }
    }
}

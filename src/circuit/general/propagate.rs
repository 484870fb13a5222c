//! From one instant to another through every mode on the way.
//!
//! Knows nothing of what is sought.

use super::cache::{Cache, Instant, expand, reduce};
use super::event::{self, Watch};
use super::few::Few;
use super::modal::Amplitudes;
use super::mode::Key;
use super::network::Network;
use super::power;

/// A time during which one mode holds.
#[derive(Clone, Debug)]
pub(super) struct Stretch {
    /// The mode's place in the cache.
    pub(super) mode: usize,
    pub(super) key: Key,
    /// When it starts, s from the zero of the EMF.
    pub(super) start: f64,
    pub(super) length: f64,
    pub(super) amplitudes: Amplitudes,
    /// The guard that ended it.
    pub(super) event: Option<usize>,
    /// Free state of the mode at its start and at its end.
    pub(super) from: Few,
    pub(super) to: Few,
    /// The mode's basis at its end.
    pub(super) basis: Few,
}

/// What an earlier run from nearly the same place met: modes and events in their order.
#[derive(Clone, Copy, Debug)]
pub(super) struct Met {
    key: Key,
    event: Option<usize>,
    length: f64,
}

impl Met {
    pub(super) fn of(stretches: &[Stretch]) -> Vec<Self> {
        stretches.iter().map(|s| Self { key: s.key, event: s.event, length: s.length }).collect()
    }

    /// Whether the stretches are those that were met, in the same order.
    pub(super) fn again(met: &[Self], stretches: &[Stretch]) -> bool {
        met.len() == stretches.len()
            && met.iter().zip(stretches).all(|(met, now)| met.key == now.key && met.event == now.event)
    }
}

/// State of everything at one instant.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// Inductor currents, then capacitor voltages.
    pub(super) full: Vec<f64>,
    /// The mode that held last.
    pub(super) key: Key,
}

/// Events in one run beyond which it is given up.
const EVENTS_MAX: usize = 3_000;

/// A stretch shorter than this share of a period is an instant; so many in a row lead nowhere.
const INSTANT: f64 = 1e-9;
const INSTANTS_MAX: u32 = 100;

/// After a few instants in a row two modes contradict each other within rounding: a moment, as a share of a period, during
/// which events are not looked for, lets the circuit itself decide. It grows until it does.
fn blind(instants: u32) -> f64 {
    if instants < 8 { 0.0 } else { 1e-15 * f64::from(2_u32.pow((instants - 8).min(20))) }
}

/// Runs from `start` to `end` (s), hands every stretch to `visit`. `None` where no mode is right or the events never end.
///
/// Where something was `met` before, its events are where roots are sought from. To `follow` it means that its modes and events
/// are taken as they come, each event only brought to its new instant, for as long as that works: nothing is looked for then,
/// so such a run shows the way and is no answer.
pub(super) fn run(
    net: &Network,
    cache: &mut Cache,
    place: &mut Place,
    (start, end): (f64, f64),
    (met, follow): (&[Met], bool),
    mut visit: impl FnMut(Stretch),
) -> Option<()> {
    let mut time = start;
    let inductors = net.inductors.len();
    let mut fresh = None;
    let mut instant = 0;
    let power = net.draws_power();
    let mut departures = Vec::new();
    let mut holds = None;
    let mut stride = net.period();
    let (mut short, mut hold) = (0_u32, 0_u32);
    let mut trail = if follow && !power { met } else { &[] };
    for nth in 0..EVENTS_MAX {
        let at = match (holds, trail.get(nth)) {
            (Some(at), _) => at,
            (None, Some(met)) if nth > 0 => cache.find(net, met.key)?,
            _ => {
                if power {
                    let Some(found) = power::departures(net, cache, place, time) else {
                        cache.collapsed = true;
                        return None;
                    };
                    departures = found;
                }
                let now = Instant { full: &place.full, time, departures: &departures };
                cache.select(net, place.key, now, fresh)?
            }
        };
        cache.prepare(net, at)?;
        let entry = cache.entry(at);
        place.key = entry.key;
        let equations = &entry.equations;
        let from = reduce(equations, &place.full, inductors);
        let ready = cache.ready(at)?;
        let theta = net.omega * time;
        let mut amplitudes = ready.modal.start(&from, theta);
        let mut left = end - time;
        let loads = &equations.departing;
        if !loads.is_empty() {
            let widen = if hold == 0 { 2.0 } else { 1.0 };
            hold = hold.saturating_sub(1);
            stride = (widen * stride).min(power::panel(net, ready, &amplitudes, theta));
            let start = amplitudes.clone();
            short = if stride < power::PANEL_SHORT * net.period() { short + 1 } else { 0 };
            if short > power::SHORT_MAX {
                cache.collapsed = true;
                return None;
            }
            loop {
                let length = left.min(stride);
                let Some(off) = power::fit(net, cache, loads, ready, &mut amplitudes, (theta, length)) else {
                    cache.collapsed = true;
                    return None;
                };
                if off <= power::OFF || stride < power::PANEL_LEAST * net.period() {
                    left = length;
                    break;
                }
                stride = 0.5 * length;
                hold = power::HOLD;
                amplitudes.clone_from(&start);
            }
        }
        let known = met.get(nth).filter(|met| met.key == entry.key);
        let expected = known.and_then(|met| met.event.map(|guard| (met.length, guard)));
        let followed = known.filter(|_| nth < trail.len()).and_then(|met| match met.event {
            None => Some(None),
            Some(guard) => {
                let watch = Watch::new(&ready.modal, ready.guard.row(guard), &amplitudes, (theta, net.omega));
                watch.near(met.length, left).map(|when| Some((when, guard)))
            }
        });
        let event = followed.unwrap_or_else(|| {
            trail = &[];
            event::first((&ready.modal, &ready.guard), &amplitudes, (theta, net.omega), left, expected)
        });
        let length = event.map_or(left, |(when, _)| when.max(blind(instant) * net.period()).min(left));
        let mut basis = Few::zeros(ready.modal.basis_len());
        ready.modal.basis(length, theta + net.omega * length, &mut basis);
        let to = ready.modal.arrive(&ready.state, &amplitudes, &from, &basis);
        expand(equations, &to, &mut place.full);
        if place.full.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let loads_empty = loads.is_empty();
        let event = event.map(|(_, guard)| guard);
        visit(Stretch { mode: at, key: place.key, start: time, length, amplitudes, event, from, to, basis });
        time += length;
        let Some(guard) = event else {
            if time >= end || loads_empty {
                return Some(());
            }
            holds = Some(at);
            continue;
        };
        holds = None;
        instant = if length > INSTANT * net.period() { 0 } else { instant + 1 };
        if time >= end {
            return Some(());
        }
        if instant > INSTANTS_MAX {
            return None;
        }
        fresh = Some(guard);
        if guard < net.diodes.len() {
            place.key = place.key.toggled(guard);
        } else if let Some(output) = cache.knee_of_guard(net, guard) {
            place.key.below_knee ^= 1 << output;
        }
    }
    cache.restless = true;
    None
}

//! The modes of one network, each set up when first met, and the choice of the mode that is right at an instant.
//!
//! Knows nothing of periods.

use super::angle::sin_cos;
use super::few::Few;
use super::matrix::{Matrix, axpy, dot};
use super::modal::Modal;
use super::mode::{Drive, Equations, Key, equations, mesh_resistance};
use super::network::Network;
use super::power;
use super::propagate::Place;
use super::signal;
use crate::circuit::spec::Load;

/// A sum this small against its terms is rounding.
const ROUNDING: f64 = 1e-13;

/// How far the state itself may be off, in tolerances.
const DOUBT: f64 = 0.05;
/// The same of a guard itself.
const VALUE_ROUNDING: f64 = 1e-14;

/// A mode that is followed: closed form, guards and state as rows over the basis.
#[derive(Clone, Debug)]
pub(super) struct Ready {
    pub(super) modal: Modal,
    pub(super) guard: Matrix,
    /// Guards over the state, before the turn.
    pub(super) gradient: Matrix,
    pub(super) state: Matrix,
    /// Load voltages of the outputs whose current departs.
    pub(super) departing: Matrix,
    /// The same over the state alone.
    pub(super) departing_gradient: Vec<Vec<f64>>,
}

#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: Key,
    pub(super) equations: Equations,
    ready: Option<Ready>,
}

/// All modes met so far.
#[derive(Clone, Debug)]
pub(super) struct Cache {
    base: Matrix,
    /// Knee voltage of each output's load; zero where there is none.
    knees: Vec<f64>,
    /// Current about which a constant-power load departs, one an output.
    reference: Vec<f64>,
    entries: Vec<Entry>,
    nodes: power::Nodes,
    /// Whether a load of constant power drew its voltage down to nothing.
    pub(super) collapsed: bool,
    /// Whether a run met more events than are followed.
    pub(super) restless: bool,
    /// Whether a mode was met whose equations are singular.
    pub(super) singular: bool,
    /// What counts as no current and as no voltage.
    pub(super) current_tolerance: f64,
    pub(super) voltage_tolerance: f64,
}

/// An instant: full state (inductor currents, capacitor voltages), time and departures of the loads.
#[derive(Clone, Copy, Debug)]
pub(super) struct Instant<'a> {
    pub(super) full: &'a [f64],
    pub(super) time: f64,
    pub(super) departures: &'a [f64],
}

impl Cache {
    pub(super) fn new(net: &Network, knees: Vec<f64>, reference: Vec<f64>) -> Self {
        let path = (0..net.diodes.len()).map(|d| net.path_resistance(d)).fold(f64::INFINITY, f64::min);
        Self {
            base: mesh_resistance(net),
            knees,
            reference,
            entries: Vec::new(),
            nodes: if net.draws_power() { power::Nodes::new() } else { power::Nodes::default() },
            collapsed: false,
            restless: false,
            singular: false,
            current_tolerance: 1e-12 * net.load_scale() + 4e-15 * net.emf_peak / path,
            voltage_tolerance: 1e-13 * net.emf_peak,
        }
    }

    pub(super) fn knee(&self, output: usize) -> f64 {
        self.knees.get(output).copied().unwrap_or(0.0)
    }

    fn drives(&self, net: &Network, key: Key) -> Vec<Drive> {
        let of = |(index, load): (usize, Load)| {
            let below = key.below_knee >> index & 1 == 1;
            let knee = self.knee(index);
            match load {
                Load::Resistance(ohm) => Drive::Resistive(ohm.0),
                Load::Current(amps) if below && amps.0 > 0.0 => Drive::Resistive(knee / amps.0),
                Load::Power(watts) if below && watts.0 > 0.0 => Drive::Resistive(knee * knee / watts.0),
                Load::Current(amps) => Drive::Fixed(amps.0),
                Load::Power(_) => Drive::Departing(self.reference(index)),
            }
        };
        net.outputs.iter().map(|output| output.load).enumerate().map(of).collect()
    }

    /// The place of a mode in the cache; `None` where its equations are singular.
    pub(super) fn find(&mut self, net: &Network, key: Key) -> Option<usize> {
        if let Some(at) = self.entries.iter().position(|entry| entry.key == key) {
            return Some(at);
        }
        let Some(equations) = equations(net, &self.base, key, &self.drives(net, key)) else {
            self.singular = true;
            return None;
        };
        self.entries.push(Entry { key, equations, ready: None });
        Some(self.entries.len() - 1)
    }

    pub(super) fn entry(&self, at: usize) -> &Entry {
        &self.entries[at]
    }

    /// Where panels of constant power are fitted.
    pub(super) fn nodes(&self) -> &power::Nodes {
        &self.nodes
    }

    /// Current about which the load of an output departs.
    pub(super) fn reference(&self, output: usize) -> f64 {
        self.reference.get(output).copied().unwrap_or(0.0)
    }

    /// Makes a mode ready to be followed.
    pub(super) fn prepare(&mut self, net: &Network, at: usize) -> Option<()> {
        if self.entries[at].ready.is_none() {
            let entry = &self.entries[at];
            let modal = Modal::of(&entry.equations, net.omega)?;
            let gradient = self.guards_of(net, entry);
            let guard = modal.turn(&gradient);
            let state = modal.turn(&signal::state(&entry.equations));
            let mut voltages = Matrix::zeros(entry.equations.departing.len(), entry.equations.rate.cols);
            for (i, &output) in entry.equations.departing.iter().enumerate() {
                let row = signal::load_voltage(net, &entry.equations, &net.outputs[output]);
                voltages.row_mut(i).copy_from_slice(&row);
            }
            let departing = modal.turn(&voltages);
            let order = entry.equations.order();
            let departing_gradient = (0..voltages.rows).map(|i| voltages.row(i)[..order].to_vec()).collect();
            self.entries[at].ready =
                Some(Ready { modal, guard, gradient, state, departing, departing_gradient });
        }
        Some(())
    }

    pub(super) fn ready(&self, at: usize) -> Option<&Ready> {
        self.entries[at].ready.as_ref()
    }

    /// Guards of the diodes, then of the knees.
    fn guards_of(&self, net: &Network, entry: &Entry) -> Matrix {
        let own = &entry.equations.guard;
        let kneed: Vec<usize> = (0..net.outputs.len()).filter(|&i| self.knee(i) > 0.0).collect();
        let mut all = Matrix::zeros(own.rows + kneed.len(), own.cols);
        for i in 0..own.rows {
            all.row_mut(i).copy_from_slice(own.row(i));
        }
        for (i, &output) in kneed.iter().enumerate() {
            let mut row = signal::load_voltage(net, &entry.equations, &net.outputs[output]);
            row[entry.equations.order() + 1] -= self.knee(output);
            let sign = if entry.key.below_knee >> output & 1 == 1 { -1.0 } else { 1.0 };
            for value in &mut row {
                *value *= sign;
            }
            all.row_mut(own.rows + i).copy_from_slice(&row);
        }
        all
    }

    /// The output whose knee the guard watches, for guards beyond the diodes.
    pub(super) fn knee_of_guard(&self, net: &Network, guard: usize) -> Option<usize> {
        let nth = guard.checked_sub(net.diodes.len())?;
        (0..net.outputs.len()).filter(|&i| self.knee(i) > 0.0).nth(nth)
    }

    /// The conducting set that is right just after an instant, sought from `start`.
    ///
    /// A path whose guard has just crossed zero (`fresh`) has told by that what it does next: at zero it is believed.
    pub(super) fn select(
        &mut self,
        net: &Network,
        start: Key,
        now: Instant,
        fresh: Option<usize>,
    ) -> Option<usize> {
        let mut key = start;
        let mut seen: Vec<u32> = Vec::new();
        loop {
            let at = self.find(net, key)?;
            let Some(wrong) = self.worst(net, at, now, fresh) else { return Some(at) };
            seen.push(key.diodes);
            key = key.toggled(wrong);
            if seen.contains(&key.diodes) {
                return self.select_among_all(net, key, now);
            }
        }
    }

    /// Puts every load on its side of the knee: across a series resistance the load voltage may jump at switch-on.
    pub(super) fn place_loads(&mut self, net: &Network, start: Key, now: Instant) -> Option<Key> {
        let mut key = start;
        for _ in 0..=2 * net.outputs.len() {
            let place = Place { full: now.full.to_vec(), key };
            let departures = power::departures(net, self, &place, now.time)?;
            let now = Instant { departures: &departures, ..now };
            let at = self.select(net, key, now, None)?;
            let entry = &self.entries[at];
            key = entry.key;
            let sin = sin_cos(net.omega * now.time).0;
            let z = inputs(&entry.equations, now.full, net.inductors.len(), sin, &departures);
            let guards = self.guards_of(net, entry);
            let wrong =
                (net.diodes.len()..guards.rows).find(|&i| dot(guards.row(i), &z) < -self.voltage_tolerance);
            let Some(output) = wrong.and_then(|guard| self.knee_of_guard(net, guard)) else { break };
            key.below_knee ^= 1 << output;
        }
        Some(key)
    }

    fn select_among_all(&mut self, net: &Network, key: Key, now: Instant) -> Option<usize> {
        let count = net.diodes.len();
        if count > 12 {
            return None;
        }
        let mut best: Option<(f64, usize)> = None;
        for diodes in 0..1_u32 << count {
            let Some(at) = self.find(net, Key { diodes, ..key }) else { continue };
            let apart = self.misfit(net, at, now);
            if apart > 1.0 {
                continue;
            }
            let fault =
                self.faults(net, at, now, None).into_iter().fold(0.0_f64, |top, fault| top.max(fault.1));
            if best.is_none_or(|(least, _)| fault < least) {
                best = Some((fault, at));
            }
        }
        best.filter(|&(fault, _)| fault < 1e6).map(|(_, at)| at)
    }

    /// How far the inductor currents are from what the mode allows, in tolerances.
    fn misfit(&self, net: &Network, at: usize, now: Instant) -> f64 {
        let equations = &self.entries[at].equations;
        let free: Vec<f64> = equations.free.iter().map(|&i| now.full[i]).collect();
        let tolerance = 1e3 * self.current_tolerance;
        equations
            .embed
            .apply(&free)
            .iter()
            .zip(&now.full[..net.inductors.len()])
            .map(|(allowed, found)| (allowed - found).abs() / tolerance)
            .fold(0.0, f64::max)
    }

    fn worst(&self, net: &Network, at: usize, now: Instant, fresh: Option<usize>) -> Option<usize> {
        let faults = self.faults(net, at, now, fresh);
        // A path that ought to conduct comes first: adding one never contradicts the inductor currents.
        let key = self.entries[at].key;
        faults
            .iter()
            .filter(|(diode, _)| !key.conducts(*diode))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .or_else(|| faults.iter().max_by(|a, b| a.1.total_cmp(&b.1)))
            .map(|fault| fault.0)
    }

    /// Paths whose guard is negative, or zero and about to be, with the size of the fault in tolerances.
    fn faults(&self, net: &Network, at: usize, now: Instant, fresh: Option<usize>) -> Vec<(usize, f64)> {
        let entry = &self.entries[at];
        let equations = &entry.equations;
        let n = equations.order();
        let (sin, cos) = sin_cos(net.omega * now.time);
        let z = inputs(equations, now.full, net.inductors.len(), sin, now.departures);
        // Slopes and bends are judged against the rounding of the terms they are sums of.
        let doubt = |i: usize| match i {
            _ if i < equations.free.len() => DOUBT * self.current_tolerance,
            _ if i < n => DOUBT * self.voltage_tolerance,
            _ => 4.0 * f64::EPSILON,
        };
        // Time derivative of (state part of row) · state + sin_part sin + cos_part cos, and its rounding.
        let turn = |row: &[f64], sin_part: f64, cos_part: f64| -> (Few, f64, f64) {
            let mut forced = Few::zeros(equations.rate.cols);
            for (i, &share) in row[..n].iter().enumerate() {
                if share != 0.0 {
                    axpy(&mut forced, share, equations.rate.row(i));
                }
            }
            forced[n] -= net.omega * cos_part;
            let cosine = net.omega * sin_part;
            let size = forced.iter().zip(&*z).map(|(a, b)| (a * b).abs()).sum::<f64>() + (cosine * cos).abs();
            let unsure: f64 = forced[..=n].iter().enumerate().map(|(i, a)| (a * doubt(i)).abs()).sum();
            (forced, cosine, ROUNDING * size + unsure)
        };
        let mut faults = Vec::new();
        for diode in 0..net.diodes.len() {
            let row = equations.guard.row(diode);
            let tolerance =
                if entry.key.conducts(diode) { self.current_tolerance } else { self.voltage_tolerance };
            let value = dot(row, &z);
            if value > tolerance {
                continue;
            }
            let terms: f64 = row.iter().zip(&*z).map(|(a, b)| (a * b).abs()).sum();
            if value < -tolerance.max(VALUE_ROUNDING * terms) {
                faults.push((diode, -value / tolerance));
                continue;
            }
            if fresh == Some(diode) {
                continue;
            }
            let (slope_row, cosine, size) = turn(row, row[n], 0.0);
            let slope = dot(&slope_row, &z) + cosine * cos;
            if slope.abs() > size {
                if slope < 0.0 {
                    faults.push((diode, 0.5));
                }
                continue;
            }
            let (bend_row, cosine, size) = turn(&slope_row, slope_row[n], cosine);
            if dot(&bend_row, &z) + cosine * cos < -size {
                faults.push((diode, 0.25));
            }
        }
        faults
    }
}

/// The free state of a mode out of the full one.
pub(super) fn reduce(equations: &Equations, full: &[f64], inductors: usize) -> Few {
    equations.free.iter().map(|&i| full[i]).chain(full[inductors..].iter().copied()).collect()
}

/// The inputs of a mode at an instant: state, sine, one, departures; what departs no more is nothing.
pub(super) fn inputs(
    equations: &Equations,
    full: &[f64],
    inductors: usize,
    sin: f64,
    departures: &[f64],
) -> Few {
    let free = equations.free.iter().map(|&i| full[i]);
    let charges = full[inductors..].iter().copied();
    let departs = departures.iter().copied().chain(std::iter::repeat(0.0)).take(equations.departing.len());
    free.chain(charges).chain([sin, 1.0]).chain(departs).collect()
}

/// The full state out of the free one.
pub(super) fn expand(equations: &Equations, state: &[f64], full: &mut Vec<f64>) {
    let nq = equations.free.len();
    full.clear();
    full.extend((0..equations.embed.rows).map(|i| dot(equations.embed.row(i), &state[..nq])));
    full.extend_from_slice(&state[nq..]);
}

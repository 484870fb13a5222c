//! Where each signal of a network stands, and the rows that give them all in one mode.
//!
//! Knows nothing of time.

use super::cache::Entry;
use super::matrix::Matrix;
use super::network::Network;
use super::signal;

/// Where each signal stands among the rows.
pub(super) struct Places {
    pub(super) diode: usize,
    pub(super) reverse: usize,
    pub(super) winding: usize,
    pub(super) terminal: usize,
    pub(super) emf: usize,
    pub(super) primary: usize,
    pub(super) capacitor: usize,
    pub(super) output: usize,
    pub(super) count: usize,
}

/// Signals of one output, from `Places::output` on.
pub(super) const LOAD_V: usize = 0;
pub(super) const LOAD_I: usize = 1;
pub(super) const RESERVOIR_V: usize = 2;
pub(super) const SECTION_I: usize = 3;
pub(super) const PER_OUTPUT: usize = 4;

impl Places {
    pub(super) fn of(net: &Network) -> Self {
        let (d, w, c) = (net.diodes.len(), net.windings.len(), net.capacitors.len());
        let output = 2 * d + 2 * w + 2 + c;
        Self {
            diode: 0,
            reverse: d,
            winding: 2 * d,
            terminal: 2 * d + w,
            emf: 2 * d + 2 * w,
            primary: 2 * d + 2 * w + 1,
            capacitor: 2 * d + 2 * w + 2,
            output,
            count: output + PER_OUTPUT * net.outputs.len(),
        }
    }

    pub(super) fn rows(&self, net: &Network, entry: &Entry) -> Matrix {
        let equations = &entry.equations;
        let mut rows = Matrix::zeros(self.count, equations.mesh.cols);
        let one = equations.order() + 1;
        for (d, path) in net.diodes.iter().enumerate() {
            let reverse = rows.row_mut(self.reverse + d);
            let (share, from) = if entry.key.conducts(d) {
                (-net.diode_slope[d], equations.mesh.row(d))
            } else {
                (1.0, equations.guard.row(d))
            };
            for (into, value) in reverse.iter_mut().zip(from) {
                *into = share * value / path.in_series;
            }
            reverse[one] -= path.threshold_v / path.in_series;
            if entry.key.conducts(d) {
                rows.row_mut(self.diode + d).copy_from_slice(equations.mesh.row(d));
            }
        }
        for (w, winding) in net.windings.iter().enumerate() {
            rows.row_mut(self.winding + w).copy_from_slice(&signal::current(equations, &winding.row));
            rows.row_mut(self.terminal + w).copy_from_slice(&signal::winding_voltage(net, equations, w));
        }
        rows[(self.emf, equations.order())] = net.emf_peak;
        rows.row_mut(self.primary).copy_from_slice(&signal::current(equations, &net.primary_row));
        for (c, capacitor) in net.capacitors.iter().enumerate() {
            rows.row_mut(self.capacitor + c).copy_from_slice(&signal::current(equations, &capacitor.row));
        }
        for (o, output) in net.outputs.iter().enumerate() {
            let at = self.output + PER_OUTPUT * o;
            rows.row_mut(at + LOAD_V).copy_from_slice(&signal::load_voltage(net, equations, output));
            rows.row_mut(at + LOAD_I).copy_from_slice(&signal::load_current(equations, output));
            if !output.reservoir_caps.is_empty() {
                let row = signal::stack_voltage(net, equations, &output.reservoir_caps);
                rows.row_mut(at + RESERVOIR_V).copy_from_slice(&row);
            }
            if let Some((_, through)) = &output.section {
                rows.row_mut(at + SECTION_I).copy_from_slice(&signal::current(equations, through));
            }
        }
        rows
    }

    /// What each signal was half a period ago in terms of the signals now, for a network with a mirror.
    pub(super) fn mirrored(&self, net: &Network) -> Vec<(usize, f64)> {
        let mut map: Vec<(usize, f64)> = (0..self.count).map(|signal| (signal, 1.0)).collect();
        let Some(mirror) = &net.mirror else { return map };
        for (d, &other) in mirror.diodes.iter().enumerate() {
            map[self.diode + d].0 = self.diode + other;
            map[self.reverse + d].0 = self.reverse + other;
        }
        for (c, &other) in mirror.capacitors.iter().enumerate() {
            map[self.capacitor + c].0 = self.capacitor + other;
        }
        for rail in &net.rails {
            for at in [self.winding, self.terminal] {
                match rail.windings[..] {
                    [only] => map[at + only].1 = -1.0,
                    [one, other] => map.swap(at + one, at + other),
                    _ => {}
                }
            }
        }
        map[self.emf].1 = -1.0;
        map[self.primary].1 = -1.0;
        map
    }
}

//! What heats the parts: means and rms values of diodes, windings and primary alone, at a fraction of the cost of all figures.
//!
//! Definitions are those of [`crate::circuit::figures`]. Knows nothing of temperatures.

use super::matrix::Matrix;
use super::network::{Output, Rail};
use super::signal;
use super::steady::Steady;
use super::tally::{Tally, Wish, gather};

/// What heats a core and the rectifiers of its rails.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heating {
    /// rms of the primary current referred to one half of the first rail's winding, its mean removed, A.
    pub primary_rms_a: f64,
    /// The rails.
    pub rails: Vec<RailHeating>,
}

/// What heats one rail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RailHeating {
    /// rms current of one winding (one half where there are two), A.
    pub winding_rms_a: f64,
    /// Mean and rms current of one diode of each output, A.
    pub diode_a: Vec<(f64, f64)>,
}

impl Steady {
    pub(super) fn heating(&self) -> Heating {
        let net = &self.net;
        let (diodes, windings) = (net.diodes.len(), net.windings.len());
        let primary = diodes + windings;
        let rows = |mode: usize| {
            let entry = self.cache.entry(mode);
            let mut rows = Matrix::zeros(primary + 1, entry.equations.mesh.cols);
            for d in (0..diodes).filter(|&d| entry.key.conducts(d)) {
                rows.row_mut(d).copy_from_slice(entry.equations.mesh.row(d));
            }
            for (w, winding) in net.windings.iter().enumerate() {
                rows.row_mut(diodes + w).copy_from_slice(&signal::current(&entry.equations, &winding.row));
            }
            rows.row_mut(primary).copy_from_slice(&signal::current(&entry.equations, &net.primary_row));
            rows
        };
        let integrals: Vec<usize> = (0..=primary).collect();
        let wish = Wish { rows: &rows, integrals: &integrals, extremes: &[], products: &[] };
        let tally = gather(&self.cache, net.omega, &self.stretches, &wish);
        let reading = Reading { steady: self, tally: &tally };
        // Half of a mirrored current is the other half reversed: no mean.
        let mean = if net.mirror.is_some() { 0.0 } else { reading.mean(primary) - tally.centre[primary] };
        let square = if net.mirror.is_some() { &tally.square } else { &tally.departure_square };
        let primary_rms_a = (square[primary] / self.span - mean * mean).max(0.0).sqrt();
        Heating { primary_rms_a, rails: net.rails.iter().map(|rail| reading.rail(rail)).collect() }
    }
}

struct Reading<'a> {
    steady: &'a Steady,
    tally: &'a Tally,
}

impl Reading<'_> {
    fn mean(&self, signal: usize) -> f64 {
        self.tally.sum[signal] / self.steady.span
    }

    fn mean_square(&self, signal: usize) -> f64 {
        self.tally.square[signal] / self.steady.span
    }

    fn rail(&self, rail: &Rail) -> RailHeating {
        let net = &self.steady.net;
        let at = net.diodes.len();
        let winding = match rail.windings[..] {
            // Where half a period was followed, one half of the winding carries in the other what its twin did.
            [one, other] if net.mirror.is_some() => {
                0.5 * (self.mean_square(at + one) + self.mean_square(at + other))
            }
            [first, ..] => self.mean_square(at + first),
            [] => 0.0,
        };
        let outputs = rail.outputs.iter().filter_map(|&output| net.outputs.get(output));
        RailHeating {
            winding_rms_a: winding.max(0.0).sqrt(),
            diode_a: outputs.map(|out| self.diode(out)).collect(),
        }
    }

    /// Mean and rms of the diode that carries most.
    fn diode(&self, out: &Output) -> (f64, f64) {
        let paired = |of: &dyn Fn(usize) -> f64, diode: usize| {
            let twin = self.steady.net.mirror.as_ref().map_or(diode, |mirror| mirror.diodes[diode]);
            0.5 * (of(diode) + of(twin))
        };
        let most = |of: &dyn Fn(usize) -> f64| out.diodes.iter().map(|&d| paired(of, d)).fold(0.0, f64::max);
        (most(&|d| self.mean(d)), most(&|d| self.mean_square(d)).sqrt())
    }
}

//! Half a period later a full-wave network sees the EMF reversed: everything reappears, mirrored.
//!
//! Half of every period then tells all of it. Knows nothing of modes.

use super::matrix::Matrix;
use super::mode::Key;
use super::network::Network;
use super::propagate::Place;
use crate::circuit::spec::Topology;

/// What half a period does to a full-wave network: everything reappears, mirrored.
#[derive(Clone, Debug)]
pub(super) struct Mirror {
    pub(super) diodes: Vec<usize>,
    pub(super) inductors: Vec<(usize, f64)>,
    pub(super) capacitors: Vec<usize>,
}

/// The mirror of a network; only where every rail is full-wave.
pub(super) fn find(net: &Network) -> Option<Mirror> {
    let mut diodes: Vec<usize> = (0..net.diodes.len()).collect();
    let mut capacitors: Vec<usize> = (0..net.capacitors.len()).collect();
    let mut inductors: Vec<(usize, f64)> = (0..net.inductors.len()).map(|i| (i, 1.0)).collect();
    for rail in &net.rails {
        if matches!(rail.topology, Topology::HalfWave | Topology::HalfWaveDoubler) {
            return None;
        }
        for &output in &rail.outputs {
            let out = &net.outputs[output];
            if let [one, other] = out.diodes[..] {
                diodes.swap(one, other);
            }
            if let [one, other] = out.first_caps[..] {
                capacitors.swap(one, other);
            }
        }
        match rail.windings[..] {
            [only] => {
                if let Some(leakage) = net.windings[only].inductor {
                    inductors[leakage].1 = -1.0;
                }
            }
            [one, other] => {
                if let (Some(a), Some(b)) = (net.windings[one].inductor, net.windings[other].inductor) {
                    inductors.swap(a, b);
                }
            }
            _ => return None,
        }
    }
    Some(Mirror { diodes, inductors, capacitors })
}

impl Mirror {
    /// The place half a period later, seen in the mirror: the same as now in the steady state.
    pub(super) fn place(&self, place: &Place) -> Place {
        let nl = self.inductors.len();
        let full = self
            .inductors
            .iter()
            .map(|&(from, sign)| sign * place.full[from])
            .chain(self.capacitors.iter().map(|&from| place.full[nl + from]))
            .collect();
        let mut diodes = 0;
        for (diode, &from) in self.diodes.iter().enumerate() {
            diodes |= u32::from(place.key.conducts(from)) << diode;
        }
        Place { full, key: Key { diodes, ..place.key } }
    }

    /// The same for the rows of a jacobian.
    pub(super) fn rows(&self, jacobian: &Matrix) -> Matrix {
        let nl = self.inductors.len();
        let mut turned = Matrix::zeros(jacobian.rows, jacobian.cols);
        for (i, &(from, sign)) in self.inductors.iter().enumerate() {
            turned.add_to_row(i, sign, jacobian.row(from));
        }
        for (i, &from) in self.capacitors.iter().enumerate() {
            turned.row_mut(nl + i).copy_from_slice(jacobian.row(nl + from));
        }
        turned
    }
}

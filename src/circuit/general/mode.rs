//! One mode: the linear equations of a network while a given set of diode paths conducts.
//!
//! Mesh analysis: inductor currents that the conducting meshes leave free are state variables, every other mesh current
//! follows from them and from the capacitor voltages. Derivation: `DEVELOPERS.md`, "General engine".

use super::matrix::{Matrix, axpy, dot};
use super::network::{LoadPlace, Network};

/// What a load does in one mode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Drive {
    /// A resistance, ohm.
    Resistive(f64),
    /// A current, A.
    Fixed(f64),
    /// A current, A, that departs from this value; the departure is a further input of the mode.
    Departing(f64),
}

/// Which mode: the conducting paths and the loads that are below their knee, one bit each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Key {
    pub(super) diodes: u32,
    pub(super) below_knee: u32,
}

impl Key {
    pub(super) fn conducts(self, diode: usize) -> bool {
        self.diodes >> diode & 1 == 1
    }
    pub(super) fn toggled(self, diode: usize) -> Self {
        Self { diodes: self.diodes ^ (1 << diode), ..self }
    }
}

/// Linear equations of a mode. Columns of every row: state, `sin ωt`, one, then one a load current that departs.
#[derive(Clone, Debug)]
pub(super) struct Equations {
    /// Free inductor currents, as indices of inductors.
    pub(super) free: Vec<usize>,
    /// All inductor currents from the free ones.
    pub(super) embed: Matrix,
    /// Mesh currents.
    pub(super) mesh: Matrix,
    /// Time derivative of the state.
    pub(super) rate: Matrix,
    /// Time derivative of every inductor current.
    pub(super) inductor_rate: Matrix,
    /// Positive while the mode is right: path current where it conducts, else threshold less path voltage.
    pub(super) guard: Matrix,
    /// Square roots of the stored-energy weights of the state.
    pub(super) weight: Vec<f64>,
    /// Outputs whose load current may depart from its fixed value.
    pub(super) departing: Vec<usize>,
}

impl Equations {
    /// State variables.
    pub(super) fn order(&self) -> usize {
        self.weight.len()
    }
}

/// Resistance matrix of all meshes, loads on meshes left out.
pub(super) fn mesh_resistance(net: &Network) -> Matrix {
    let mut r = Matrix::zeros(net.meshes, net.meshes);
    let mut add = |ohm: f64, row: &[f64]| {
        if ohm > 0.0 {
            for (i, &share) in row.iter().enumerate() {
                if share != 0.0 {
                    r.add_to_row(i, ohm * share, row);
                }
            }
        }
    };
    for winding in &net.windings {
        add(winding.resistance, &winding.row);
    }
    add(net.common, &net.primary_row);
    for capacitor in &net.capacitors {
        add(capacitor.esr, &capacitor.row);
    }
    for output in &net.outputs {
        if let Some((ohm, row)) = &output.section {
            add(*ohm, row);
        }
    }
    for (diode, &slope) in net.diode_slope.iter().enumerate() {
        r[(diode, diode)] += slope;
    }
    r
}

/// Sets up a mode; `None` where its equations are singular.
pub(super) fn equations(net: &Network, base: &Matrix, key: Key, drives: &[Drive]) -> Option<Equations> {
    let mut active: Vec<usize> = (0..net.diodes.len()).filter(|&d| key.conducts(d)).collect();
    let mut known = vec![0.0; net.meshes];
    let mut departing = Vec::new();
    let mut departing_mesh = Vec::new();
    let mut is_load = vec![false; net.meshes];
    let mut r = base.clone();
    for (index, (output, drive)) in net.outputs.iter().zip(drives).enumerate() {
        let LoadPlace::Mesh(mesh) = output.place else { continue };
        is_load[mesh] = true;
        match *drive {
            Drive::Resistive(ohm) => {
                r[(mesh, mesh)] += ohm;
                active.push(mesh);
            }
            Drive::Fixed(amps) => known[mesh] = amps,
            Drive::Departing(amps) => {
                known[mesh] = amps;
                departing.push(index);
                departing_mesh.push(mesh);
            }
        }
    }
    active.extend((net.diodes.len()..net.meshes).filter(|&mesh| !is_load[mesh]));
    active.sort_unstable();

    let (free, keep, null) = split(net, &active)?;
    let (nq, nc) = (free.len(), net.capacitors.len());
    let order = nq + nc;
    let cols = order + 2 + departing.len();
    let (sin, one) = (order, order + 1);

    // Right side of every mesh: EMF, thresholds, capacitor voltages, known load currents.
    let mut drive = Matrix::zeros(net.meshes, cols);
    for mesh in 0..net.meshes {
        let emf: f64 = net.windings.iter().map(|w| w.gain * w.row[mesh]).sum();
        drive[(mesh, sin)] = emf * net.emf_peak;
        drive[(mesh, one)] = -dot(r.row(mesh), &known);
        if let Some(path) = net.diodes.get(mesh) {
            drive[(mesh, one)] -= path.threshold_v;
        }
        for (i, capacitor) in net.capacitors.iter().enumerate() {
            drive[(mesh, nq + i)] = -capacitor.row[mesh];
        }
        for (i, &load) in departing_mesh.iter().enumerate() {
            drive[(mesh, one + 1 + i)] = -r[(mesh, load)];
        }
    }
    let count = active.len();
    let mut ra = Matrix::zeros(count, count);
    let mut wa = Matrix::zeros(count, cols);
    for (i, &mesh) in active.iter().enumerate() {
        for (j, &other) in active.iter().enumerate() {
            ra[(i, j)] = r[(mesh, other)];
        }
        wa.row_mut(i).copy_from_slice(drive.row(mesh));
    }
    // H = Z (ZᵀRZ)⁻¹ Zᵀ and T = (1 − H R) K.
    let null_t = null.transpose();
    let h = if null.cols == 0 {
        Matrix::zeros(count, count)
    } else {
        null.times(&null_t.times(&ra.times(&null)).solve_positive(&null_t)?)
    };
    let mut t = keep.clone();
    let hrk = h.times(&ra.times(&keep));
    for i in 0..count {
        let kept = t.row(i).to_vec();
        t.add_to_row(i, -1.0, hrk.row(i));
        for ((value, kept), taken) in t.row_mut(i).iter_mut().zip(kept).zip(hrk.row(i)) {
            clean(value, kept.abs() + taken.abs());
        }
    }
    let mut currents = h.times(&wa);
    for i in 0..count {
        for j in 0..nq {
            currents[(i, j)] += t[(i, j)];
        }
    }
    let mut mesh = Matrix::zeros(net.meshes, cols);
    for (i, &m) in active.iter().enumerate() {
        mesh.row_mut(m).copy_from_slice(currents.row(i));
    }
    for (m, &amps) in known.iter().enumerate() {
        mesh[(m, one)] += amps;
    }
    for (i, &m) in departing_mesh.iter().enumerate() {
        mesh[(m, one + 1 + i)] += 1.0;
    }

    // Free inductor currents: (QᵀLQ) q' = Tᵀ (w − R T q).
    let nl = net.inductors.len();
    let mut embed = Matrix::zeros(nl, nq);
    for (i, inductor) in net.inductors.iter().enumerate() {
        for j in 0..nq {
            embed[(i, j)] = active.iter().enumerate().map(|(k, &m)| inductor.row[m] * keep[(k, j)]).sum();
        }
    }
    let mut mass = Matrix::zeros(nq, nq);
    for (i, inductor) in net.inductors.iter().enumerate() {
        for a in 0..nq {
            for b in 0..nq {
                mass[(a, b)] += inductor.henries * embed[(i, a)] * embed[(i, b)];
            }
        }
    }
    let mut rest = wa;
    let rt = ra.times(&t);
    for i in 0..count {
        for j in 0..nq {
            rest[(i, j)] -= rt[(i, j)];
        }
    }
    let free_rate = mass.solve_positive(&t.transpose().times(&rest))?;
    let mut rate = Matrix::zeros(order, cols);
    for i in 0..nq {
        rate.row_mut(i).copy_from_slice(free_rate.row(i));
    }
    for (i, capacitor) in net.capacitors.iter().enumerate() {
        for (m, &share) in capacitor.row.iter().enumerate() {
            if share != 0.0 {
                rate.add_to_row(nq + i, share / capacitor.farads, mesh.row(m));
            }
        }
    }
    let inductor_rate = embed.times(&free_rate);

    let mut guard = Matrix::zeros(net.diodes.len(), cols);
    for diode in 0..net.diodes.len() {
        if key.conducts(diode) {
            guard.row_mut(diode).copy_from_slice(mesh.row(diode));
            continue;
        }
        // Known load currents are inside `drive`, so only active meshes are added.
        let row = guard.row_mut(diode);
        let mut terms = vec![0.0; cols];
        let mut add = |factor: f64, from: &[f64]| {
            axpy(row, factor, from);
            for (term, value) in terms.iter_mut().zip(from) {
                *term += (factor * value).abs();
            }
        };
        add(-1.0, drive.row(diode));
        if let Some(along) = spanned(net, diode, &active, &free, &keep) {
            for (&m, &share) in active.iter().zip(&along) {
                add(share, drive.row(m));
            }
            for &m in &active {
                let around: f64 = active.iter().zip(&along).map(|(&a, &share)| share * r[(a, m)]).sum();
                add(r[(diode, m)] - around, mesh.row(m));
            }
        } else {
            for &m in &active {
                add(r[(diode, m)], mesh.row(m));
            }
            for (i, inductor) in net.inductors.iter().enumerate() {
                add(inductor.henries * inductor.row[diode], inductor_rate.row(i));
            }
        }
        for (value, term) in guard.row_mut(diode).iter_mut().zip(terms) {
            clean(value, term);
        }
    }
    let weight = (0..nq)
        .map(|i| mass[(i, i)].sqrt())
        .chain(net.capacitors.iter().map(|capacitor| capacitor.farads.sqrt()))
        .collect();
    Some(Equations { free, embed, mesh, rate, inductor_rate, guard, weight, departing })
}

/// A mesh that goes through the inductors as a sum of active ones does, and the shares of that sum: the voltages of those meshes
/// are nothing, and less them no voltage of an inductor is in its own, nor the rounding of one.
fn spanned(net: &Network, mesh: usize, active: &[usize], free: &[usize], keep: &Matrix) -> Option<Vec<f64>> {
    let through: Vec<f64> = free.iter().map(|&i| net.inductors[i].row[mesh]).collect();
    let shares = keep.apply(&through);
    let alike = |row: &[f64]| {
        let sum: f64 = active.iter().zip(&shares).map(|(&m, share)| row[m] * share).sum();
        (sum - row[mesh]).abs() < 1e-9
    };
    net.inductors.iter().all(|inductor| alike(&inductor.row)).then_some(shares)
}

/// A sum that cancels to rounding is zero: the sign of a guard at zero hangs on it.
fn clean(value: &mut f64, terms: f64) {
    if value.abs() < 16.0 * f64::EPSILON * terms {
        *value = 0.0;
    }
}

/// Free inductors, and the active mesh currents as `K q + Z y`: `q` free inductor currents, `y` without inductance.
fn split(net: &Network, active: &[usize]) -> Option<(Vec<usize>, Matrix, Matrix)> {
    let count = active.len();
    let mut free = Vec::new();
    let mut reduced: Vec<(usize, Vec<f64>)> = Vec::new();
    // The largest first: the small ones then stand beside them as differences, and neither rounds the other away.
    let mut by_size: Vec<usize> = (0..net.inductors.len()).collect();
    by_size.sort_by(|&a, &b| net.inductors[b].henries.total_cmp(&net.inductors[a].henries));
    for index in by_size {
        let inductor = &net.inductors[index];
        let mut row: Vec<f64> = active.iter().map(|&m| inductor.row[m]).collect();
        for (pivot, other) in &reduced {
            let factor = -row[*pivot] / other[*pivot];
            axpy(&mut row, factor, other);
        }
        // Entries are small whole numbers, so the elimination is exact.
        if let Some(pivot) = row.iter().position(|&share| share != 0.0) {
            reduced.push((pivot, row));
            free.push(index);
        }
    }
    let pivots: Vec<usize> = reduced.iter().map(|(pivot, _)| *pivot).collect();
    let others: Vec<usize> = (0..count).filter(|i| !pivots.contains(i)).collect();
    let rank = free.len();
    let mut square = Matrix::zeros(rank, rank);
    let mut side = Matrix::zeros(rank, others.len());
    for (i, &index) in free.iter().enumerate() {
        let row = &net.inductors[index].row;
        for (j, &pivot) in pivots.iter().enumerate() {
            square[(i, j)] = row[active[pivot]];
        }
        for (j, &other) in others.iter().enumerate() {
            side[(i, j)] = row[active[other]];
        }
    }
    let inverse = square.inverse()?;
    let bound = inverse.times(&side);
    let mut keep = Matrix::zeros(count, rank);
    let mut null = Matrix::zeros(count, others.len());
    for (i, &pivot) in pivots.iter().enumerate() {
        keep.row_mut(pivot).copy_from_slice(inverse.row(i));
        for j in 0..others.len() {
            null[(pivot, j)] = -bound[(i, j)];
        }
    }
    for (j, &other) in others.iter().enumerate() {
        null[(other, j)] = 1.0;
    }
    Some((free, keep, null))
}

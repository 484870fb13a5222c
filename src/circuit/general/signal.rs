//! Rows of a mode that give the voltages and currents a reader asks for.
//!
//! Every row is over the columns of the mode: state, sine, one, departing load currents.

use super::matrix::{Matrix, axpy};
use super::mode::Equations;
use super::network::{LoadPlace, Network, Output};

/// A sum of mesh currents.
pub(super) fn current(equations: &Equations, through: &[f64]) -> Vec<f64> {
    let mut row = vec![0.0; equations.mesh.cols];
    for (mesh, &share) in through.iter().enumerate() {
        if share != 0.0 {
            axpy(&mut row, share, equations.mesh.row(mesh));
        }
    }
    row
}

/// The voltage at the terminals of a capacitor, its series resistance included.
pub(super) fn capacitor_voltage(net: &Network, equations: &Equations, index: usize) -> Vec<f64> {
    let capacitor = &net.capacitors[index];
    let mut row = vec![0.0; equations.mesh.cols];
    row[equations.free.len() + index] = 1.0;
    if capacitor.esr > 0.0 {
        axpy(&mut row, capacitor.esr, &current(equations, &capacitor.row));
    }
    row
}

/// The sum of several capacitors' terminal voltages.
pub(super) fn stack_voltage(net: &Network, equations: &Equations, stack: &[usize]) -> Vec<f64> {
    let mut row = vec![0.0; equations.mesh.cols];
    for &index in stack {
        axpy(&mut row, 1.0, &capacitor_voltage(net, equations, index));
    }
    row
}

/// The voltage across the load of an output.
pub(super) fn load_voltage(net: &Network, equations: &Equations, output: &Output) -> Vec<f64> {
    match (&output.section, output.place) {
        (Some((ohm, through)), LoadPlace::OnRectifier) => {
            let mut row = current(equations, through);
            for value in &mut row {
                *value *= ohm;
            }
            row
        }
        _ => stack_voltage(net, equations, &output.load_caps),
    }
}

/// The current of the load of an output.
pub(super) fn load_current(equations: &Equations, output: &Output) -> Vec<f64> {
    match (output.place, &output.section) {
        (LoadPlace::Mesh(mesh), _) => equations.mesh.row(mesh).to_vec(),
        (LoadPlace::OnRectifier, Some((_, through))) => current(equations, through),
        (LoadPlace::OnRectifier, None) => vec![0.0; equations.mesh.cols],
    }
}

/// The voltage at the terminals of a winding: EMF less the drops of the common branch, of its resistance and its leakage.
pub(super) fn winding_voltage(net: &Network, equations: &Equations, index: usize) -> Vec<f64> {
    let winding = &net.windings[index];
    let mut row = vec![0.0; equations.mesh.cols];
    row[equations.order()] = winding.gain * net.emf_peak;
    axpy(&mut row, -winding.resistance, &current(equations, &winding.row));
    if net.common > 0.0 {
        axpy(&mut row, -winding.gain * net.common, &current(equations, &net.primary_row));
    }
    if let Some(leakage) = winding.inductor {
        axpy(&mut row, -net.inductors[leakage].henries, equations.inductor_rate.row(leakage));
    }
    row
}

/// The state itself, one row each.
pub(super) fn state(equations: &Equations) -> Matrix {
    let n = equations.order();
    let mut rows = Matrix::zeros(n, equations.mesh.cols);
    for i in 0..n {
        rows[(i, i)] = 1.0;
    }
    rows
}

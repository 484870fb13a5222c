//! Whether every load of constant current still has a voltage to draw from.
//!
//! A bound on how far a load voltage can fall answers for most circuits; where it does not, the least voltage is found exactly.

use super::matrix::{Matrix, dot};
use super::modal::Modal;
use super::network::Network;
use super::signal;
use super::steady::Steady;
use super::tally::{Wish, gather};
use crate::circuit::figures::NoSteadyState;
use crate::circuit::spec::Load;

/// Share of the EMF's peak that a load voltage must exceed: below it the voltage is the rounding of nothing.
const STANDS: f64 = 1e-12;
/// Parts of a stretch that are bounded one by one where it is not bounded as a whole.
const PARTS: u32 = 4;
/// Share of the EMF's peak that is left to rounding of the bound.
const ROUNDING: f64 = 1e-9;

/// A constant current that draws its output to zero or below has collapsed: no regulator draws there.
pub(super) fn settled(steady: Steady) -> Result<Steady, NoSteadyState> {
    let net = &steady.net;
    let drawn: Vec<usize> =
        (0..net.outputs.len()).filter(|&o| matches!(net.outputs[o].load, Load::Current(_))).collect();
    if drawn.is_empty() || surely_stands(&steady, &drawn) {
        return Ok(steady);
    }
    let extremes: Vec<usize> = (0..drawn.len()).collect();
    let rows = |mode: usize| rows(&steady, mode, &drawn);
    let wish = Wish { rows: &rows, integrals: &[], extremes: &extremes, products: &[] };
    let least = gather(&steady.cache, net.omega, &steady.stretches, &wish).min;
    let none = STANDS * net.emf_peak;
    if least.iter().any(|&least| least <= none) { Err(NoSteadyState::Collapsed) } else { Ok(steady) }
}

/// Load voltages of some outputs in one mode.
pub(super) fn rows(steady: &Steady, mode: usize, outputs: &[usize]) -> Matrix {
    let (net, equations) = (&steady.net, &steady.cache.entry(mode).equations);
    let mut rows = Matrix::zeros(outputs.len(), equations.mesh.cols);
    for (i, &output) in outputs.iter().enumerate() {
        rows.row_mut(i).copy_from_slice(&signal::load_voltage(net, equations, &net.outputs[output]));
    }
    rows
}

/// Whether no part of any stretch can bring one of the load voltages down to nothing.
fn surely_stands(steady: &Steady, outputs: &[usize]) -> bool {
    let net: &Network = &steady.net;
    let none = (STANDS + ROUNDING) * net.emf_peak;
    let mut known: Vec<(usize, Matrix)> = Vec::new();
    for stretch in &steady.stretches {
        let Some(ready) = steady.cache.ready(stretch.mode) else { return false };
        let modal = &ready.modal;
        if modal.basis_len() > modal.order() + 3 {
            // Loads of constant power stand beside: their currents are no sums of motions.
            return false;
        }
        let at = known.iter().position(|(mode, _)| *mode == stretch.mode).unwrap_or_else(|| {
            known.push((stretch.mode, modal.turn(&rows(steady, stretch.mode, outputs))));
            known.len() - 1
        });
        let mut curves = Matrix::zeros(outputs.len(), modal.basis_len());
        for i in 0..outputs.len() {
            modal.curve(known[at].1.row(i), &stretch.amplitudes, curves.row_mut(i));
        }
        let mut now = vec![0.0; modal.basis_len()];
        modal.outset(&stretch.amplitudes, &mut now);
        let stands = |now: &[f64], later: &[f64], phase: f64| {
            (0..outputs.len()).all(|i| floor(modal, curves.row(i), (now, later), phase) > none)
        };
        if stands(&now, &stretch.basis, net.omega * stretch.length) {
            continue;
        }
        let part = stretch.length / f64::from(PARTS);
        let theta = net.omega * stretch.start;
        let mut later = now.clone();
        for nth in 1..=PARTS {
            let s = f64::from(nth) * part;
            modal.basis(s, theta + net.omega * s, &mut later);
            if !stands(&now, &later, net.omega * part) {
                return false;
            }
            std::mem::swap(&mut now, &mut later);
        }
    }
    true
}

/// What a signal cannot fall below between two instants, `phase` of the mains apart: decays are monotone, ringing and the
/// sinusoid fall by no more than they could.
fn floor(modal: &Modal, curve: &[f64], (now, later): (&[f64], &[f64]), phase: f64) -> f64 {
    let n = modal.order();
    let fall = modal.fall(curve, now, later) + curve[n].hypot(curve[n + 1]) * phase.min(2.0);
    dot(curve, now) - fall
}

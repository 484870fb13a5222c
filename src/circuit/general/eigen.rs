//! The natural motions of a small linear system: real decays and damped ringing, with their shapes.
//!
//! Knows nothing of circuits. Uncoupled parts are taken apart first, so that equal rails cannot confuse it.

use super::eigenvector::{
    EigenPair, conjugate, eigenvalues, inverse_iteration, rayleigh, square_root, symmetric,
};
use super::matrix::{Matrix, dot};
use crate::numeric::complex::Complex;

/// One natural motion; `at` is its first column in [`Motions::shapes`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Motion {
    /// `exp(rate · t)`.
    Decay { at: usize, rate: f64 },
    /// Two columns: `a' = [rate ring; −ring rate] a`.
    Ring { at: usize, rate: f64, ring: f64 },
}

/// `A = W B W⁻¹` with `B` of blocks of one and two.
#[derive(Clone, Debug)]
pub(super) struct Motions {
    pub(super) list: Vec<Motion>,
    pub(super) shapes: Matrix,
    pub(super) inverse: Matrix,
}

/// Shapes worse conditioned than this lose more digits than a perturbation of [`NUDGE`] does.
const CONDITION_MAX: f64 = 1e6;
/// What the rebuilt matrix may miss, as a share of it.
const REST_MAX: f64 = 1e-9;
/// Shapes better conditioned than this improve the rates.
const POLISH_BELOW: f64 = 1e3;
/// Relative change of the matrix where two motions coincide (critical damping to the last digit): the error it makes is as
/// large as itself, and the coincidence is gone.
const NUDGE: f64 = 2e-12;

/// Takes a matrix apart; `None` where even a nudged one resists.
pub(super) fn motions(matrix: &Matrix) -> Option<Motions> {
    if let Some(found) = take_apart(matrix) {
        return Some(found);
    }
    let mut trial = matrix.clone();
    for attempt in 0..5_u32 {
        let size = NUDGE * f64::from(4_u32.pow(attempt));
        for i in 0..matrix.rows {
            for j in 0..matrix.cols {
                let pattern = 1.0 + ((i * 7 + j * 3) % 5) as f64;
                trial[(i, j)] = matrix[(i, j)] * (1.0 + size * pattern);
            }
        }
        if let Some(found) = take_apart(&trial) {
            return Some(found);
        }
    }
    None
}

fn condition(found: &Motions) -> f64 {
    let norm = |m: &Matrix| (0..m.rows).map(|i| dot(m.row(i), m.row(i))).sum::<f64>().sqrt();
    norm(&found.shapes) * norm(&found.inverse) / (found.shapes.rows.max(1) as f64)
}

fn take_apart(a: &Matrix) -> Option<Motions> {
    let n = a.rows;
    let mut shapes = Matrix::zeros(n, n);
    let mut list = Vec::with_capacity(n);
    let mut at = 0;
    for part in components(a) {
        let size = part.len();
        let pairs = if size == n {
            eigen_of(a)?
        } else {
            let mut block = Matrix::zeros(size, size);
            for (i, &row) in part.iter().enumerate() {
                for (j, &col) in part.iter().enumerate() {
                    block[(i, j)] = a[(row, col)];
                }
            }
            eigen_of(&block)?
        };
        for (value, re, im) in pairs {
            for (i, &row) in part.iter().enumerate() {
                shapes[(row, at)] = re[i];
                if value.im > 0.0 {
                    shapes[(row, at + 1)] = im[i];
                }
            }
            if value.im > 0.0 {
                list.push(Motion::Ring { at, rate: value.re, ring: value.im });
                at += 2;
            } else {
                list.push(Motion::Decay { at, rate: value.re });
                at += 1;
            }
        }
    }
    if at != n {
        return None;
    }
    let inverse = shapes.inverse()?;
    let mut found = Motions { list, shapes, inverse };
    let size = (0..n).map(|i| dot(a.row(i), a.row(i))).sum::<f64>().sqrt();
    let conditioned = condition(&found);
    let image = a.times(&found.shapes);
    if conditioned >= CONDITION_MAX || found.rest(&image) * conditioned > REST_MAX * size {
        return None;
    }
    if conditioned < POLISH_BELOW {
        found.polish(&image);
    }
    Some(found)
}

impl Motions {
    /// Row `i` of `W B`, column by column.
    fn moved(&self, i: usize, mut with: impl FnMut(usize, f64)) {
        let w = self.shapes.row(i);
        for motion in &self.list {
            match *motion {
                Motion::Decay { at, rate } => with(at, rate * w[at]),
                Motion::Ring { at, rate, ring } => {
                    with(at, rate * w[at] - ring * w[at + 1]);
                    with(at + 1, ring * w[at] + rate * w[at + 1]);
                }
            }
        }
    }

    /// Largest entry of `A W − W B`; `image`: `A W`.
    fn rest(&self, image: &Matrix) -> f64 {
        let mut most = 0.0_f64;
        for i in 0..image.rows {
            self.moved(i, |j, value| most = most.max((image[(i, j)] - value).abs()));
        }
        most
    }

    /// Rates again from both sides, `W⁻¹ A W`: the error becomes that of the shapes squared.
    fn polish(&mut self, image: &Matrix) {
        let block = |i: usize, j: usize| -> f64 {
            self.inverse.row(i).iter().enumerate().map(|(k, share)| share * image[(k, j)]).sum()
        };
        for motion in &mut self.list {
            match motion {
                Motion::Decay { at, rate } => *rate = block(*at, *at),
                Motion::Ring { at, rate, ring } => {
                    let (i, j) = (*at, *at + 1);
                    *rate = 0.5 * (block(i, i) + block(j, j));
                    *ring = 0.5 * (block(i, j) - block(j, i));
                }
            }
        }
    }
}

/// Groups of rows that do not touch one another.
fn components(a: &Matrix) -> Vec<Vec<usize>> {
    let n = a.rows;
    let mut label: Vec<usize> = (0..n).collect();
    for i in 0..n {
        for j in 0..n {
            if i != j && a[(i, j)] != 0.0 && label[i] != label[j] {
                let (keep, drop) = (label[i].min(label[j]), label[i].max(label[j]));
                for entry in &mut label {
                    if *entry == drop {
                        *entry = keep;
                    }
                }
            }
        }
    }
    let mut groups: Vec<Vec<usize>> = vec![Vec::new(); n];
    for (row, &group) in label.iter().enumerate() {
        groups[group].push(row);
    }
    groups.retain(|group| !group.is_empty());
    groups
}

/// Eigenvalues with the real and the imaginary part of their vectors; of a conjugate pair one with positive imaginary part.
fn eigen_of(a: &Matrix) -> Option<Vec<EigenPair>> {
    let n = a.rows;
    if n == 1 {
        return Some(vec![(Complex::new(a[(0, 0)], 0.0), vec![1.0], vec![0.0])]);
    }
    if let Some(found) = symmetric(a) {
        return Some(found);
    }
    let size = (0..n).map(|i| dot(a.row(i), a.row(i))).sum::<f64>().sqrt();
    let mut pairs: Vec<EigenPair> = Vec::with_capacity(n);
    let mut columns = 0;
    for value in eigenvalues(a)? {
        // Below this an imaginary part is rounding, as of a double zero (two charges that nothing drains).
        let threshold = 1e-12 * size + 1e-10 * value.magnitude();
        if value.im < -threshold {
            continue;
        }
        let value = if value.im <= threshold { Complex::new(value.re, 0.0) } else { value };
        columns += if value.im > 0.0 { 2 } else { 1 };
        // Of equal eigenvalues each next vector is sought across the earlier ones.
        let equal: Vec<&[f64]> = pairs
            .iter()
            .filter(|(other, ..): &&EigenPair| (*other - value).magnitude() < 1e-10 * size && value.im == 0.0)
            .map(|(_, re, _)| re.as_slice())
            .collect();
        let vector = inverse_iteration(a, value, size, &equal);
        // The value that fits the vector best.
        let better = rayleigh(a, &vector);
        let value = if value.im > 0.0 { better } else { Complex::new(better.re, 0.0) };
        // Turned so that the real and the imaginary part are as far from parallel as they can be.
        let square = vector.iter().fold(Complex::default(), |sum, &v| sum + v * v);
        let turn = conjugate(square_root(square));
        let turn =
            if turn.magnitude() > 0.0 { turn.scale(1.0 / turn.magnitude()) } else { Complex::new(1.0, 0.0) };
        let turned: Vec<Complex> = vector.iter().map(|&v| v * turn).collect();
        let mut re: Vec<f64> = turned.iter().map(|v| v.re).collect();
        let mut im: Vec<f64> = turned.iter().map(|v| v.im).collect();
        if value.im > 0.0 {
            let length = (dot(&re, &re) + dot(&im, &im)).sqrt() * std::f64::consts::FRAC_1_SQRT_2;
            re.iter_mut().chain(im.iter_mut()).for_each(|v| *v /= length);
        } else {
            let length = dot(&re, &re).sqrt();
            for v in &mut re {
                *v /= length;
            }
        }
        if re.iter().chain(&im).any(|v| !v.is_finite()) {
            return None;
        }
        pairs.push((value, re, im));
    }
    (columns == n).then_some(pairs)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rebuilt(a: &[&[f64]]) -> f64 {
        let n = a.len();
        let mut m = Matrix::zeros(n, n);
        for (i, row) in a.iter().enumerate() {
            m.row_mut(i).copy_from_slice(row);
        }
        let found = motions(&m).expect("motions");
        let mut moved = Matrix::zeros(n, n);
        for i in 0..n {
            found.moved(i, |j, value| moved[(i, j)] = value);
        }
        let again = moved.times(&found.inverse);
        let mut worst = 0.0_f64;
        for i in 0..n {
            for j in 0..n {
                worst = worst.max((again[(i, j)] - m[(i, j)]).abs());
            }
        }
        worst
    }

    #[test]
    fn a_matrix_is_rebuilt_from_its_motions() {
        assert!(rebuilt(&[&[-1.0, 2.0], &[-2.0, -1.5]]) < 1e-14);
        assert!(rebuilt(&[&[-1.0, 2.0, 0.3], &[-2.0, -1.5, 0.7], &[0.2, -0.9, -30.0]]) < 1e-12);
        assert!(
            rebuilt(&[
                &[-1.0, 2.0, 0.3, 0.0],
                &[-2.0, -1.5, 0.7, 1.0],
                &[0.2, -0.9, -3.0, 5.0],
                &[0.1, 0.2, -5.0, -3.0]
            ]) < 1e-12
        );
    }

    #[test]
    fn critical_damping_to_the_last_digit_is_taken_apart_to_nine_digits() {
        let apart = rebuilt(&[&[0.0, 1.0], &[-1.0, -2.0]]);
        assert!(apart < 1e-9, "{apart:e}");
    }

    /// Two capacitors in series feed a third through a choke: two charges that nothing drains, one ringing.
    #[test]
    fn charges_that_nothing_drains_are_found() {
        let (l, r, c, d) = (4.27_f64, 120.0, 1.59e-3_f64, 1.07e-3_f64);
        let (a, b) = (1.0 / (l * c).sqrt(), 1.0 / (l * d).sqrt());
        assert!(
            rebuilt(&[&[-r / l, a, a, -b], &[-a, 0.0, 0.0, 0.0], &[-a, 0.0, 0.0, 0.0], &[b, 0.0, 0.0, 0.0]])
                < 1e-10
        );
    }

    #[test]
    fn equal_uncoupled_parts_stay_apart() {
        assert!(rebuilt(&[&[-1.0, 0.0], &[0.0, -1.0]]) == 0.0);
    }
}

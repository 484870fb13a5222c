//! The natural motions of a small linear system: real decays and damped ringing, with their shapes.
//!
//! Knows nothing of circuits. Uncoupled parts are taken apart first, so that equal rails cannot confuse it.

use super::complex::Complex;
use super::matrix::{Matrix, dot};

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
/// Relative change of the matrix where two motions coincide (critical damping to the last digit): the error it makes is as
/// large as itself, and the coincidence is gone.
const NUDGE: f64 = 2e-12;

/// Takes a matrix apart; `None` where even a nudged one resists.
pub(super) fn motions(matrix: &Matrix) -> Option<Motions> {
    let mut trial = matrix.clone();
    for attempt in 0..6_u32 {
        if let Some(found) = take_apart(&trial)
            && condition(&found) < CONDITION_MAX
        {
            return Some(found);
        }
        let size = NUDGE * f64::from(4_u32.pow(attempt));
        for i in 0..matrix.rows {
            for j in 0..matrix.cols {
                let pattern = 1.0 + ((i * 7 + j * 3) % 5) as f64;
                trial[(i, j)] = matrix[(i, j)] * (1.0 + size * pattern);
            }
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
        let mut block = Matrix::zeros(size, size);
        for (i, &row) in part.iter().enumerate() {
            for (j, &col) in part.iter().enumerate() {
                block[(i, j)] = a[(row, col)];
            }
        }
        for (value, re, im) in eigen_of(&block)? {
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
    polish(a, &shapes, &inverse, &mut list);
    Some(Motions { list, shapes, inverse })
}

/// Rates again from both sides, `W⁻¹ A W`: the error becomes that of the shapes squared.
fn polish(a: &Matrix, shapes: &Matrix, inverse: &Matrix, list: &mut [Motion]) {
    let blocks = inverse.times(&a.times(shapes));
    for motion in list {
        match motion {
            Motion::Decay { at, rate } => *rate = blocks[(*at, *at)],
            Motion::Ring { at, rate, ring } => {
                let (i, j) = (*at, *at + 1);
                *rate = 0.5 * (blocks[(i, i)] + blocks[(j, j)]);
                *ring = 0.5 * (blocks[(i, j)] - blocks[(j, i)]);
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

type EigenPair = (Complex, Vec<f64>, Vec<f64>);

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
    let mut pairs = Vec::with_capacity(n);
    let mut columns = 0;
    for value in eigenvalues(a)? {
        let threshold = 1e-11 * size.min(1e3 * value.abs()) + 1e-10 * value.abs();
        if value.im < -threshold {
            continue;
        }
        let value = if value.im <= threshold { Complex::new(value.re, 0.0) } else { value };
        columns += if value.im > 0.0 { 2 } else { 1 };
        let vector = inverse_iteration(a, value, size, pairs.len());
        // Turned so that the real and the imaginary part are as far from parallel as they can be.
        let square = vector.iter().fold(Complex::default(), |sum, &v| sum + v * v);
        let turn = square.sqrt().conj();
        let turn = if turn.abs() > 0.0 { turn.scale(1.0 / turn.abs()) } else { Complex::new(1.0, 0.0) };
        let turned: Vec<Complex> = vector.iter().map(|&v| v * turn).collect();
        let mut re: Vec<f64> = turned.iter().map(|v| v.re).collect();
        let mut im: Vec<f64> = turned.iter().map(|v| v.im).collect();
        if value.im > 0.0 {
            let length = (dot(&re, &re) + dot(&im, &im)).sqrt() * std::f64::consts::FRAC_1_SQRT_2;
            re.iter_mut().chain(im.iter_mut()).for_each(|v| *v /= length);
        } else {
            let length = dot(&re, &re).sqrt();
            re.iter_mut().for_each(|v| *v /= length);
        }
        if re.iter().chain(&im).any(|v| !v.is_finite()) {
            return None;
        }
        pairs.push((value, re, im));
    }
    (columns == n).then_some(pairs)
}

/// Jacobi rotations; `None` where the matrix is not symmetric.
fn symmetric(a: &Matrix) -> Option<Vec<EigenPair>> {
    let n = a.rows;
    let mut work = a.clone();
    for i in 0..n {
        for j in 0..i {
            let (low, high) = (a[(i, j)], a[(j, i)]);
            if (low - high).abs() > 1e-13 * low.abs().max(high.abs()) {
                return None;
            }
            work[(i, j)] = high;
        }
    }
    let mut basis = Matrix::identity(n);
    for _ in 0..40 {
        let mut done = true;
        for p in 0..n {
            for q in p + 1..n {
                let off = work[(p, q)];
                if off.abs() <= 1e-17 * (work[(p, p)] * work[(q, q)]).abs().sqrt() || off == 0.0 {
                    continue;
                }
                done = false;
                let theta = (work[(q, q)] - work[(p, p)]) / (2.0 * off);
                let t = 1.0_f64.copysign(theta) / (theta.abs() + (theta * theta + 1.0).sqrt());
                let c = 1.0 / (t * t + 1.0).sqrt();
                let s = t * c;
                for k in 0..n {
                    let (kp, kq) = (work[(k, p)], work[(k, q)]);
                    work[(k, p)] = c * kp - s * kq;
                    work[(k, q)] = s * kp + c * kq;
                }
                for k in 0..n {
                    let (pk, qk) = (work[(p, k)], work[(q, k)]);
                    work[(p, k)] = c * pk - s * qk;
                    work[(q, k)] = s * pk + c * qk;
                    let (bp, bq) = (basis[(k, p)], basis[(k, q)]);
                    basis[(k, p)] = c * bp - s * bq;
                    basis[(k, q)] = s * bp + c * bq;
                }
                work[(p, q)] = 0.0;
                work[(q, p)] = 0.0;
            }
        }
        if done {
            break;
        }
    }
    Some(
        (0..n)
            .map(|k| {
                let column = (0..n).map(|i| basis[(i, k)]).collect();
                (Complex::new(work[(k, k)], 0.0), column, vec![0.0; n])
            })
            .collect(),
    )
}

/// Eigenvalues by shifted QR steps on the Hessenberg form.
fn eigenvalues(a: &Matrix) -> Option<Vec<Complex>> {
    let n = a.rows;
    if n == 2 {
        let half_trace = 0.5 * (a[(0, 0)] + a[(1, 1)]);
        let half_gap = 0.5 * (a[(0, 0)] - a[(1, 1)]);
        let disc = half_gap * half_gap + a[(0, 1)] * a[(1, 0)];
        if disc < 0.0 {
            let ring = (-disc).sqrt();
            return Some(vec![Complex::new(half_trace, ring), Complex::new(half_trace, -ring)]);
        }
        let far = half_trace + disc.sqrt().copysign(half_trace);
        let det = a[(0, 0)] * a[(1, 1)] - a[(0, 1)] * a[(1, 0)];
        let near = if far == 0.0 { 0.0 } else { det / far };
        return Some(vec![Complex::new(far, 0.0), Complex::new(near, 0.0)]);
    }
    let mut h = hessenberg(a);
    let mut values = vec![Complex::default(); n];
    let mut high = n - 1;
    let mut steps = 0_u32;
    loop {
        if high == 0 {
            values[0] = h[0][0];
            return Some(values);
        }
        let mut low = high;
        while low > 0 {
            let near = h[low - 1][low - 1].abs() + h[low][low].abs();
            if h[low][low - 1].abs() <= f64::EPSILON * 0.5 * near {
                break;
            }
            low -= 1;
        }
        if low == high {
            values[high] = h[high][high];
            high -= 1;
            steps = 0;
            continue;
        }
        steps += 1;
        if steps > 90 {
            return None;
        }
        let shift =
            if steps.is_multiple_of(15) { Complex::new(h[high][high - 1].abs(), 0.0) } else { wilkinson(&h, high) };
        qr_step(&mut h, low, high, shift);
    }
}

fn hessenberg(a: &Matrix) -> Vec<Vec<Complex>> {
    let n = a.rows;
    let mut h = a.clone();
    for k in 1..n - 1 {
        let mut v: Vec<f64> = (0..n).map(|i| if i >= k { h[(i, k - 1)] } else { 0.0 }).collect();
        let length = dot(&v, &v).sqrt();
        if length == 0.0 {
            continue;
        }
        v[k] += length.copysign(v[k]);
        let square = dot(&v, &v);
        for j in 0..n {
            let along: f64 = (k..n).map(|i| v[i] * h[(i, j)]).sum::<f64>() * 2.0 / square;
            for i in k..n {
                h[(i, j)] -= along * v[i];
            }
        }
        for i in 0..n {
            let along: f64 = (k..n).map(|j| v[j] * h[(i, j)]).sum::<f64>() * 2.0 / square;
            for j in k..n {
                h[(i, j)] -= along * v[j];
            }
        }
    }
    (0..n)
        .map(|i| (0..n).map(|j| Complex::new(if i > j + 1 { 0.0 } else { h[(i, j)] }, 0.0)).collect())
        .collect()
}

/// The eigenvalue of the last two rows that lies nearer to the last entry.
fn wilkinson(h: &[Vec<Complex>], high: usize) -> Complex {
    let (a, b) = (h[high - 1][high - 1], h[high - 1][high]);
    let (c, d) = (h[high][high - 1], h[high][high]);
    let half = (a - d).scale(0.5);
    let root = (half * half + b * c).sqrt();
    let far = if half.re * root.re + half.im * root.im >= 0.0 { half + root } else { half - root };
    if far.abs() == 0.0 { d } else { d - (b * c).over(far) }
}

fn qr_step(h: &mut [Vec<Complex>], low: usize, high: usize, shift: Complex) {
    for i in low..=high {
        h[i][i] = h[i][i] - shift;
    }
    let mut turns = Vec::with_capacity(high - low);
    for k in low..high {
        let (x, y) = (h[k][k], h[k + 1][k]);
        let length = x.abs().hypot(y.abs());
        if length == 0.0 {
            turns.push((Complex::new(1.0, 0.0), Complex::default()));
            continue;
        }
        let (c, s) = (x.scale(1.0 / length), y.scale(1.0 / length));
        for j in k..=high {
            let (up, down) = (h[k][j], h[k + 1][j]);
            h[k][j] = c.conj() * up + s.conj() * down;
            h[k + 1][j] = c * down - s * up;
        }
        turns.push((c, s));
    }
    for (k, &(c, s)) in (low..high).zip(&turns) {
        for row in h.iter_mut().take((k + 2).min(high + 1)).skip(low) {
            let (left, right) = (row[k], row[k + 1]);
            row[k] = left * c + right * s;
            row[k + 1] = right * c.conj() - left * s.conj();
        }
    }
    for i in low..=high {
        h[i][i] = h[i][i] + shift;
    }
}

/// Eigenvector by three inverse iterations; `seed` varies the start, so that equal eigenvalues give different vectors.
fn inverse_iteration(a: &Matrix, value: Complex, size: f64, seed: usize) -> Vec<Complex> {
    let n = a.rows;
    let floor = (f64::EPSILON * value.abs()).max(1e-290 * size).max(f64::MIN_POSITIVE);
    let mut lu: Vec<Vec<Complex>> = (0..n)
        .map(|i| {
            (0..n)
                .map(|j| {
                    let entry = Complex::new(a[(i, j)], 0.0);
                    if i == j { entry - value } else { entry }
                })
                .collect()
        })
        .collect();
    let mut order: Vec<usize> = (0..n).collect();
    for k in 0..n {
        let pivot = (k..n).max_by(|&i, &j| lu[i][k].abs().total_cmp(&lu[j][k].abs())).unwrap_or(k);
        lu.swap(pivot, k);
        order.swap(pivot, k);
        if lu[k][k].abs() < floor {
            lu[k][k] = Complex::new(floor, 0.0);
        }
        for i in k + 1..n {
            let factor = lu[i][k].over(lu[k][k]);
            lu[i][k] = factor;
            for j in k + 1..n {
                lu[i][j] = lu[i][j] - factor * lu[k][j];
            }
        }
    }
    let mut x: Vec<Complex> =
        (0..n).map(|i| Complex::new(1.0 + ((i * 5 + seed * 3) % 7) as f64 * 0.31, 0.0)).collect();
    for _ in 0..3 {
        let mut y: Vec<Complex> = order.iter().map(|&i| x[i]).collect();
        for i in 0..n {
            for j in 0..i {
                y[i] = y[i] - lu[i][j] * y[j];
            }
        }
        for i in (0..n).rev() {
            for j in i + 1..n {
                y[i] = y[i] - lu[i][j] * y[j];
            }
            y[i] = y[i].over(lu[i][i]);
        }
        let length = y.iter().fold(0.0_f64, |top, v| top.max(v.abs()));
        x = y.iter().map(|v| v.scale(1.0 / length)).collect();
    }
    x
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
        let mut blocks = Matrix::zeros(n, n);
        for motion in &found.list {
            match *motion {
                Motion::Decay { at, rate } => blocks[(at, at)] = rate,
                Motion::Ring { at, rate, ring } => {
                    blocks[(at, at)] = rate;
                    blocks[(at + 1, at + 1)] = rate;
                    blocks[(at, at + 1)] = ring;
                    blocks[(at + 1, at)] = -ring;
                }
            }
        }
        let again = found.shapes.times(&blocks.times(&found.inverse));
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
    fn critical_damping_to_the_last_digit_is_taken_apart_to_ten_digits() {
        assert!(rebuilt(&[&[0.0, 1.0], &[-1.0, -2.0]]) < 1e-10);
    }

    #[test]
    fn equal_uncoupled_parts_stay_apart() {
        assert!(rebuilt(&[&[-1.0, 0.0], &[0.0, -1.0]]) == 0.0);
    }
}

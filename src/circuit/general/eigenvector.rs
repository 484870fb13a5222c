//! Eigenvalues and eigenvectors of one small real matrix.
//!
//! Symmetric ones by rotations, others by shifted steps on the Hessenberg form and inverse iteration.
//! Source of the methods: G. H. Golub, C. F. Van Loan, "Matrix Computations", chapters 7 and 8 (from memory).

use super::matrix::{Matrix, dot};
use crate::numeric::complex::Complex;
use std::ops::{Index, IndexMut};

/// An eigenvalue with the real and the imaginary part of its vector.
pub(super) type EigenPair = (Complex, Vec<f64>, Vec<f64>);

/// A square of complex numbers, row by row.
struct Square {
    size: usize,
    data: Vec<Complex>,
}

impl Square {
    fn of(size: usize, entry: impl Fn(usize, usize) -> Complex) -> Self {
        let mut data = Vec::with_capacity(size * size);
        for i in 0..size {
            data.extend((0..size).map(|j| entry(i, j)));
        }
        Self { size, data }
    }

    fn swap_rows(&mut self, one: usize, other: usize) {
        for j in 0..self.size {
            self.data.swap(one * self.size + j, other * self.size + j);
        }
    }
}

impl Index<(usize, usize)> for Square {
    type Output = Complex;
    fn index(&self, (row, col): (usize, usize)) -> &Complex {
        &self.data[row * self.size + col]
    }
}

impl IndexMut<(usize, usize)> for Square {
    fn index_mut(&mut self, (row, col): (usize, usize)) -> &mut Complex {
        &mut self.data[row * self.size + col]
    }
}

/// The magnitude of what is neither huge nor tiny.
fn magnitude(of: Complex) -> f64 {
    of.norm_square().sqrt()
}

/// A quotient that neither overflow nor underflow of a square spoils.
fn quotient(above: Complex, below: Complex) -> Complex {
    let size = below.re.abs().max(below.im.abs());
    (above / below.scale(1.0 / size)).scale(1.0 / size)
}

/// The square root with the real part not negative.
pub(super) fn square_root(of: Complex) -> Complex {
    let size = magnitude(of);
    if size == 0.0 {
        return Complex::default();
    }
    let half = (0.5 * (size + of.re.abs())).sqrt();
    if of.re >= 0.0 {
        Complex::new(half, of.im / (2.0 * half))
    } else {
        Complex::new(of.im.abs() / (2.0 * half), half.copysign(of.im))
    }
}

/// The complex conjugate.
pub(super) fn conjugate(of: Complex) -> Complex {
    Complex::new(of.re, -of.im)
}

/// Jacobi rotations; `None` where the matrix is not symmetric.
pub(super) fn symmetric(a: &Matrix) -> Option<Vec<EigenPair>> {
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
pub(super) fn eigenvalues(a: &Matrix) -> Option<Vec<Complex>> {
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
            values[0] = h[(0, 0)];
            return Some(values);
        }
        let mut low = high;
        while low > 0 {
            let near = magnitude(h[(low - 1, low - 1)]) + magnitude(h[(low, low)]);
            if magnitude(h[(low, low - 1)]) <= f64::EPSILON * 0.5 * near {
                break;
            }
            low -= 1;
        }
        if low == high {
            values[high] = h[(high, high)];
            high -= 1;
            steps = 0;
            continue;
        }
        steps += 1;
        if steps > 90 {
            return None;
        }
        let shift = if steps.is_multiple_of(15) {
            Complex::new(magnitude(h[(high, high - 1)]), 0.0)
        } else {
            wilkinson(&h, high)
        };
        qr_step(&mut h, low, high, shift);
    }
}

fn hessenberg(a: &Matrix) -> Square {
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
    Square::of(n, |i, j| Complex::new(if i > j + 1 { 0.0 } else { h[(i, j)] }, 0.0))
}

/// The eigenvalue of the last two rows that lies nearer to the last entry.
fn wilkinson(h: &Square, high: usize) -> Complex {
    let (a, b) = (h[(high - 1, high - 1)], h[(high - 1, high)]);
    let (c, d) = (h[(high, high - 1)], h[(high, high)]);
    let half = (a - d).scale(0.5);
    let root = square_root(half * half + b * c);
    let far = if half.re * root.re + half.im * root.im >= 0.0 { half + root } else { half - root };
    if magnitude(far) == 0.0 { d } else { d - quotient(b * c, far) }
}

fn qr_step(h: &mut Square, low: usize, high: usize, shift: Complex) {
    for i in low..=high {
        h[(i, i)] = h[(i, i)] - shift;
    }
    let mut turns = Vec::with_capacity(high - low);
    for k in low..high {
        let (x, y) = (h[(k, k)], h[(k + 1, k)]);
        let length = (x.norm_square() + y.norm_square()).sqrt();
        if length == 0.0 {
            turns.push((Complex::new(1.0, 0.0), Complex::default()));
            continue;
        }
        let (c, s) = (x.scale(1.0 / length), y.scale(1.0 / length));
        for j in k..=high {
            let (up, down) = (h[(k, j)], h[(k + 1, j)]);
            h[(k, j)] = conjugate(c) * up + conjugate(s) * down;
            h[(k + 1, j)] = c * down - s * up;
        }
        turns.push((c, s));
    }
    for (k, &(c, s)) in (low..high).zip(&turns) {
        for row in low..(k + 2).min(high + 1) {
            let (left, right) = (h[(row, k)], h[(row, k + 1)]);
            h[(row, k)] = left * c + right * s;
            h[(row, k + 1)] = right * conjugate(c) - left * conjugate(s);
        }
    }
    for i in low..=high {
        h[(i, i)] = h[(i, i)] + shift;
    }
}

/// Eigenvector by two inverse iterations, kept across the vectors `apart` of the same eigenvalue.
pub(super) fn inverse_iteration(a: &Matrix, value: Complex, size: f64, apart: &[&[f64]]) -> Vec<Complex> {
    let n = a.rows;
    let mut lu = Square::of(n, |i, j| {
        let entry = Complex::new(a[(i, j)], 0.0);
        if i == j { entry - value } else { entry }
    });
    let mut order: Vec<usize> = (0..n).collect();
    for k in 0..n {
        let pivot = (k..n)
            .max_by(|&i, &j| lu[(i, k)].norm_square().total_cmp(&lu[(j, k)].norm_square()))
            .unwrap_or(k);
        lu.swap_rows(pivot, k);
        order.swap(pivot, k);
        // A pivot of nothing gives way to what is nothing in its own row: beside a motion a million times as fast, what is
        // nothing to that one would bend the slow ones.
        let row = dot(a.row(order[k]), a.row(order[k])).sqrt().max(magnitude(value));
        let floor = 1e-17 * if row > 0.0 { row } else { size };
        let floor = floor.max(f64::MIN_POSITIVE);
        if magnitude(lu[(k, k)]) < floor {
            lu[(k, k)] = Complex::new(floor, 0.0);
        }
        for i in k + 1..n {
            let factor = quotient(lu[(i, k)], lu[(k, k)]);
            lu[(i, k)] = factor;
            for j in k + 1..n {
                lu[(i, j)] = lu[(i, j)] - factor * lu[(k, j)];
            }
        }
    }
    let mut x: Vec<Complex> = (0..n).map(|i| Complex::new(1.0 + ((i * 5) % 7) as f64 * 0.31, 0.0)).collect();
    for _ in 0..2 {
        clear(&mut x, apart);
        let mut y: Vec<Complex> = order.iter().map(|&i| x[i]).collect();
        for i in 0..n {
            for j in 0..i {
                y[i] = y[i] - lu[(i, j)] * y[j];
            }
        }
        for i in (0..n).rev() {
            for j in i + 1..n {
                y[i] = y[i] - lu[(i, j)] * y[j];
            }
            y[i] = quotient(y[i], lu[(i, i)]);
        }
        let length = y.iter().fold(0.0_f64, |top, v| top.max(v.re.abs()).max(v.im.abs()));
        x = y.iter().map(|v| v.scale(1.0 / length)).collect();
    }
    clear(&mut x, apart);
    x
}

/// The value with the least `|A x − value x|`.
pub(super) fn rayleigh(a: &Matrix, x: &[Complex]) -> Complex {
    let mut above = Complex::default();
    for (i, &own) in x.iter().enumerate() {
        let image = x.iter().zip(a.row(i)).fold(Complex::default(), |sum, (&v, &entry)| sum + v.scale(entry));
        above = above + conjugate(own) * image;
    }
    above.scale(1.0 / x.iter().map(|v| v.norm_square()).sum::<f64>())
}

/// Takes away the components along some vectors.
fn clear(x: &mut [Complex], along: &[&[f64]]) {
    for vector in along {
        let square = dot(vector, vector);
        let share = x
            .iter()
            .zip(*vector)
            .fold(Complex::default(), |sum, (a, &b)| sum + a.scale(b))
            .scale(1.0 / square);
        for (a, &b) in x.iter_mut().zip(*vector) {
            *a = *a - share.scale(b);
        }
    }
}

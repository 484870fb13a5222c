//! Small dense matrices, at most about a dozen rows, row by row.
//!
//! Knows nothing of circuits. Sizes are fixed by the caller's network, so every index is within bounds by construction.

use std::ops::{Index, IndexMut};

/// A pivot smaller than this share of its diagonal is rounding.
const PIVOT_SHARE: f64 = 1e-13;

/// A dense matrix.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Matrix {
    pub(super) rows: usize,
    pub(super) cols: usize,
    data: Vec<f64>,
}

impl Index<(usize, usize)> for Matrix {
    type Output = f64;
    fn index(&self, (row, col): (usize, usize)) -> &f64 {
        &self.data[row * self.cols + col]
    }
}

impl IndexMut<(usize, usize)> for Matrix {
    fn index_mut(&mut self, (row, col): (usize, usize)) -> &mut f64 {
        &mut self.data[row * self.cols + col]
    }
}

impl Matrix {
    pub(super) fn zeros(rows: usize, cols: usize) -> Self {
        Self { rows, cols, data: vec![0.0; rows * cols] }
    }

    pub(super) fn identity(size: usize) -> Self {
        let mut unit = Self::zeros(size, size);
        for i in 0..size {
            unit[(i, i)] = 1.0;
        }
        unit
    }

    pub(super) fn row(&self, row: usize) -> &[f64] {
        &self.data[row * self.cols..(row + 1) * self.cols]
    }

    pub(super) fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.data[row * self.cols..(row + 1) * self.cols]
    }

    /// A row and the next.
    pub(super) fn two_rows_mut(&mut self, row: usize) -> (&mut [f64], &mut [f64]) {
        let cols = self.cols;
        self.data[row * cols..(row + 2) * cols].split_at_mut(cols)
    }

    /// `target row += factor · source`.
    pub(super) fn add_to_row(&mut self, row: usize, factor: f64, source: &[f64]) {
        axpy(self.row_mut(row), factor, source);
    }

    pub(super) fn transpose(&self) -> Self {
        let mut turned = Self::zeros(self.cols, self.rows);
        for i in 0..self.rows {
            for j in 0..self.cols {
                turned[(j, i)] = self[(i, j)];
            }
        }
        turned
    }

    /// Zeros of another size, in the same memory.
    pub(super) fn reset(&mut self, rows: usize, cols: usize) {
        (self.rows, self.cols) = (rows, cols);
        self.data.clear();
        self.data.resize(rows * cols, 0.0);
    }

    pub(super) fn times(&self, right: &Self) -> Self {
        let mut product = Self::default();
        self.times_into(right, &mut product);
        product
    }

    pub(super) fn times_into(&self, right: &Self, product: &mut Self) {
        product.reset(self.rows, right.cols);
        for i in 0..self.rows {
            for k in 0..self.cols {
                let factor = self[(i, k)];
                if factor != 0.0 {
                    product.add_to_row(i, factor, right.row(k));
                }
            }
        }
    }

    pub(super) fn apply(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.rows).map(|i| dot(self.row(i), vector)).collect()
    }

    /// Solves `self · X = right`; `None` where singular to working precision.
    pub(super) fn solve(&self, mut x: Self) -> Option<Self> {
        let n = self.rows;
        let mut a = self.clone();
        let scale = a.data.iter().fold(0.0_f64, |top, v| top.max(v.abs()));
        for k in 0..n {
            let mut pivot = k;
            for i in k + 1..n {
                if a[(i, k)].abs() > a[(pivot, k)].abs() {
                    pivot = i;
                }
            }
            let top = a[(pivot, k)];
            if !top.is_finite() || top.abs() <= scale * 1e-300 || top == 0.0 {
                return None;
            }
            if pivot != k {
                a.swap_rows(pivot, k);
                x.swap_rows(pivot, k);
            }
            for i in k + 1..n {
                let factor = a[(i, k)] / top;
                if factor != 0.0 {
                    for j in k..n {
                        a[(i, j)] -= factor * a[(k, j)];
                    }
                    for j in 0..x.cols {
                        x[(i, j)] -= factor * x[(k, j)];
                    }
                }
            }
        }
        x.substitute_back(&a);
        Some(x)
    }

    fn substitute_back(&mut self, upper: &Self) {
        for k in (0..upper.rows).rev() {
            for j in 0..self.cols {
                let mut sum = self[(k, j)];
                for i in k + 1..upper.rows {
                    sum -= upper[(k, i)] * self[(i, j)];
                }
                self[(k, j)] = sum / upper[(k, k)];
            }
        }
    }

    /// Solves where `self` is symmetric and not negative; `None` where a pivot vanishes against its own diagonal.
    pub(super) fn solve_positive(&self, right: &Self) -> Option<Self> {
        let n = self.rows;
        let (mut a, mut x) = (self.clone(), right.clone());
        for k in 0..n {
            let pivot = a[(k, k)];
            if pivot.is_nan() || pivot <= PIVOT_SHARE * self[(k, k)] {
                return None;
            }
            for i in k + 1..n {
                let factor = a[(i, k)] / pivot;
                if factor != 0.0 {
                    for j in k..n {
                        a[(i, j)] -= factor * a[(k, j)];
                    }
                    for j in 0..x.cols {
                        x[(i, j)] -= factor * x[(k, j)];
                    }
                }
            }
        }
        x.substitute_back(&a);
        Some(x)
    }

    pub(super) fn inverse(&self) -> Option<Self> {
        self.solve(Self::identity(self.rows))
    }

    /// Solves for one right side.
    pub(super) fn solve_vector(&self, right: &[f64]) -> Option<Vec<f64>> {
        let column = Self { rows: right.len(), cols: 1, data: right.to_vec() };
        self.solve(column).map(|x| x.data)
    }

    fn swap_rows(&mut self, one: usize, other: usize) {
        for j in 0..self.cols {
            self.data.swap(one * self.cols + j, other * self.cols + j);
        }
    }
}

/// Scalar product.
pub(super) fn dot(left: &[f64], right: &[f64]) -> f64 {
    left.iter().zip(right).map(|(a, b)| a * b).sum()
}

/// `target += factor · source`.
pub(super) fn axpy(target: &mut [f64], factor: f64, source: &[f64]) {
    for (into, from) in target.iter_mut().zip(source) {
        *into += factor * from;
    }
}

//! Complex numbers, as far as eigenvalues of small real matrices need them.
//!
//! Knows nothing of circuits.

use std::ops::{Add, Mul, Neg, Sub};

/// A complex number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Complex {
    pub(super) re: f64,
    pub(super) im: f64,
}

impl Complex {
    pub(super) const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }
    pub(super) fn abs(self) -> f64 {
        self.re.hypot(self.im)
    }
    pub(super) fn conj(self) -> Self {
        Self::new(self.re, -self.im)
    }
    pub(super) fn scale(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }
    pub(super) fn over(self, divisor: Self) -> Self {
        // Scaled by the larger part, so that neither overflow nor underflow of the square spoils the quotient.
        let size = divisor.re.abs().max(divisor.im.abs());
        if size == 0.0 {
            return Self::new(f64::NAN, f64::NAN);
        }
        let d = divisor.scale(1.0 / size);
        (self * d.conj()).scale(1.0 / (size * (d.re * d.re + d.im * d.im)))
    }
    pub(super) fn sqrt(self) -> Self {
        let size = self.abs();
        if size == 0.0 {
            return Self::default();
        }
        let half = (0.5 * (size + self.re.abs())).sqrt();
        if self.re >= 0.0 {
            Self::new(half, self.im / (2.0 * half))
        } else {
            Self::new(self.im.abs() / (2.0 * half), half.copysign(self.im))
        }
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}
impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}
impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}
impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

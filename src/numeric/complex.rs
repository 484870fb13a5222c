//! A complex number: what spectra and the modes of a second-order circuit need of one, no more.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// `re + i·im`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// `re + i·im`.
    #[inline]
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// `e^(i·angle)`.
    #[inline]
    pub fn unit(angle_rad: f64) -> Self {
        let (sin, cos) = angle_rad.sin_cos();
        Self::new(cos, sin)
    }

    /// The number times a real one.
    #[inline]
    #[must_use]
    pub fn scale(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }

    /// Square of the magnitude.
    #[inline]
    pub fn norm_square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// Magnitude.
    #[inline]
    pub fn magnitude(self) -> f64 {
        self.re.hypot(self.im)
    }
}

impl Add for Complex {
    type Output = Self;
    #[inline]
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    #[inline]
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Neg for Complex {
    type Output = Self;
    #[inline]
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    #[inline]
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

impl Div for Complex {
    type Output = Self;
    #[inline]
    fn div(self, other: Self) -> Self {
        let size = other.norm_square();
        Self::new(
            (self.re * other.re + self.im * other.im) / size,
            (self.im * other.re - self.re * other.im) / size,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dividing_a_product_by_one_factor_gives_the_other() {
        let (a, b) = (Complex::new(1.5, -2.0), Complex::new(-0.25, 3.0));
        let back = a * b / b - a;
        assert!(back.magnitude() < 1e-15);
    }

    #[test]
    fn a_quarter_turn_of_one_is_the_imaginary_unit() {
        let turned = Complex::unit(std::f64::consts::FRAC_PI_2) - Complex::new(0.0, 1.0);
        assert!(turned.magnitude() < 1e-16);
    }
}

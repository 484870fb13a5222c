//! Gauss-Legendre quadrature with twelve points.
//!
//! Exact for polynomials to degree 23; the caller chooses a panel on which the integrand is smooth.

/// Positive abscissae on `[-1, 1]` with their weights; the rule is symmetric.
///
/// Roots of the Legendre polynomial `P12`, weights `2 / ((1 − x²) P12'(x)²)`, computed with 40 digits.
pub const TWELVE: [(f64, f64); 6] = [
    (0.1252334085114689, 0.24914704581340277),
    (0.3678314989981802, 0.2334925365383548),
    (0.5873179542866175, 0.20316742672306592),
    (0.7699026741943047, 0.16007832854334622),
    (0.9041172563704749, 0.10693932599531843),
    (0.9815606342467192, 0.04717533638651183),
];

/// Integral of `f` from `low` to `high` by one panel of twelve points.
#[inline]
pub fn panel(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let mut sum = 0.0;
    for (x, weight) in TWELVE {
        let step = half * x;
        sum += weight * (f(middle - step) + f(middle + step));
    }
    half * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: elementary calculus, `∫₀¹ x²³ dx = 1/24`; degree 23 is the last the rule integrates exactly.
    #[test]
    fn twelve_points_integrate_degree_23_and_miss_degree_24() {
        assert!((panel(0.0, 1.0, |x| x.powi(23)) * 24.0 - 1.0).abs() < 1e-14);
        assert!((panel(-1.0, 1.0, |x| x.powi(24)) * 12.5 - 1.0).abs() > 1e-8);
    }

    /// Source: elementary calculus, `∫₀^π sin x dx = 2`.
    #[test]
    fn a_half_wave_of_a_sine_has_area_two() {
        assert!((panel(0.0, std::f64::consts::PI, f64::sin) - 2.0).abs() < 1e-14);
    }
}

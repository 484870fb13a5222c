//! Integrals of a decaying exponential that keep their digits when the decay is slow.
//!
//! ```text
//! first(u)  = (1 − e⁻ᵘ) / u                          = mean of e⁻ˢ over s in 0..u
//! second(u) = (u − 1 + e⁻ᵘ) / u²                     = ∫₀¹ s·first(u s) ds
//! third(u)  = (u − 2(1 − e⁻ᵘ) + (1 − e⁻²ᵘ)/2) / u³   = ∫₀¹ (s·first(u s))² ds
//! ```
//! `u ≥ 0`; limits at 0 are 1, 1/2, 1/3.

/// Below this the closed forms of [`second`] and [`third`] lose digits and their series are used: the dropped terms
/// are below 1e-17 of the value, the closed forms above it lose at most about `1e-16 / u³`.
const SERIES_BELOW: f64 = 0.25;

/// `(1 − e⁻ᵘ) / u`.
#[inline]
pub fn first(u: f64) -> f64 {
    if u > 0.0 { -(-u).exp_m1() / u } else { 1.0 }
}

/// `(u − 1 + e⁻ᵘ) / u²`.
#[inline]
pub fn second(u: f64) -> f64 {
    if u > SERIES_BELOW {
        return (u + (-u).exp_m1()) / (u * u);
    }
    // Σ (−u)ᵏ / (k+2)!
    let mut term = 0.5;
    let mut sum = term;
    for k in 3..=12 {
        term *= -u / f64::from(k);
        sum += term;
    }
    sum
}

/// `(u − 2(1 − e⁻ᵘ) + (1 − e⁻²ᵘ)/2) / u³`.
#[inline]
pub fn third(u: f64) -> f64 {
    if u > SERIES_BELOW {
        return (u + 2.0 * (-u).exp_m1() - 0.5 * (-2.0 * u).exp_m1()) / (u * u * u);
    }
    // Σ (−u)ᵏ (2ᵏ⁺² − 2) / (k+3)!
    let (mut term, mut power, mut sum) = (1.0 / 6.0, 4.0, 1.0 / 3.0);
    for k in 4..=16 {
        term *= -u / f64::from(k);
        power *= 2.0;
        sum += term * (power - 2.0);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::gauss;

    /// Source: the defining integrals, by quadrature.
    #[test]
    fn closed_forms_and_series_equal_their_integrals() {
        for u in [1e-300, 1e-9, 1e-3, 0.1, 0.2499, 0.2501, 0.7, 2.0, 6.0] {
            let inner = |s: f64| s * first(u * s);
            assert!((first(u) / gauss::panel(0.0, 1.0, |s| (-u * s).exp()) - 1.0).abs() < 1e-14, "first {u}");
            assert!((second(u) / gauss::panel(0.0, 1.0, inner) - 1.0).abs() < 1e-14, "second {u}");
            assert!(
                (third(u) / gauss::panel(0.0, 1.0, |s| inner(s) * inner(s)) - 1.0).abs() < 4e-14,
                "third {u}"
            );
        }
    }

    #[test]
    fn limits_without_decay_are_one_half_and_a_third() {
        assert_eq!((first(0.0), second(0.0), third(0.0)), (1.0, 0.5, 1.0 / 3.0));
    }
}

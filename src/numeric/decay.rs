//! Integrals of a decaying exponential that keep their digits when the decay is slow.
//!
//! ```text
//! first(u)  = (1 − e⁻ᵘ) / u                          = mean of e⁻ˢ over s in 0..u
//! second(u) = (u − 1 + e⁻ᵘ) / u²                     = ∫₀¹ s·first(u s) ds
//! third(u)  = (u − 2(1 − e⁻ᵘ) + (1 − e⁻²ᵘ)/2) / u³   = ∫₀¹ (s·first(u s))² ds
//! ```
//! `u ≥ 0`; limits at 0 are 1, 1/2, 1/3.

/// Below this the closed forms of [`second`] and [`third`] lose digits and their series are used: the dropped terms
/// are below 1e-16 of the value, the closed forms above it lose at most about `1e-16 / u³`.
const SERIES_BELOW: f64 = 0.25;
/// Below this the first six terms of a series suffice.
const FEW_BELOW: f64 = 2e-3;

/// `(−1)ⁿ / (n+2)!`.
const SECOND: [f64; 12] = [
    0.5,
    -0.16666666666666666,
    0.041666666666666664,
    -0.008333333333333333,
    0.001388888888888889,
    -0.0001984126984126984,
    2.48015873015873e-05,
    -2.7557319223985893e-06,
    2.755731922398589e-07,
    -2.505210838544172e-08,
    2.08767569878681e-09,
    -1.6059043836821613e-10,
];
/// `(−1)ⁿ (2ⁿ⁺² − 2) / (n+3)!`.
const THIRD: [f64; 14] = [
    0.3333333333333333,
    -0.25,
    0.11666666666666667,
    -0.041666666666666664,
    0.012301587301587301,
    -0.003125,
    0.0006999559082892416,
    -0.00014054232804232804,
    2.5603254769921436e-05,
    -4.2713844797178134e-06,
    6.574572546794769e-07,
    -9.394540644540644e-08,
    1.2527583625467223e-08,
    -1.5660435427300506e-09,
];

#[inline]
fn series(terms: &[f64], u: f64) -> f64 {
    terms.iter().rev().fold(0.0, |sum, term| sum * u + term)
}

/// `(1 − e⁻ᵘ) / u`.
#[inline]
pub fn first(u: f64) -> f64 {
    if u > 0.0 { -(-u).exp_m1() / u } else { 1.0 }
}

/// `(u − 1 + e⁻ᵘ) / u²`.
#[inline]
pub fn second(u: f64) -> f64 {
    if u > SERIES_BELOW {
        (u + (-u).exp_m1()) / (u * u)
    } else if u > FEW_BELOW {
        series(&SECOND, u)
    } else {
        series(&SECOND[..6], u)
    }
}

/// `(u − 2(1 − e⁻ᵘ) + (1 − e⁻²ᵘ)/2) / u³`.
#[inline]
pub fn third(u: f64) -> f64 {
    if u > SERIES_BELOW {
        (u + 2.0 * (-u).exp_m1() - 0.5 * (-2.0 * u).exp_m1()) / (u * u * u)
    } else if u > FEW_BELOW {
        series(&THIRD, u)
    } else {
        series(&THIRD[..6], u)
    }
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

//! The greatest of some figures, and the first of those that tie with it.
//!
//! Two vertices of a box may stand for one physical state (a tolerance that does not enter, an event that falls alike), but be
//! reckoned in another order of operations: which one rounding lifts above the other tells nothing, and would change with every
//! change of the arithmetic. The first in the stated order is named, whatever the last digits are.

/// Relative difference up to which two figures tie: a thousand times what rounding and the solvers leave, and a thousandth of
/// what a report prints.
pub const TIE_RELATIVE: f64 = 1e-9;

/// Absolute difference up to which two figures tie, in their own unit (V, A, W, K): what rounding leaves of a figure that is a
/// small difference of large ones.
pub const TIE_ABSOLUTE: f64 = 1e-10;

/// Lowest bits of a figure that [`coarse`] rounds away: 2⁻³⁰, about [`TIE_RELATIVE`], are left.
const COARSE_BITS: u32 = 22;

/// Whether a figure is greater than another by more than a tie.
pub fn exceeds(figure: f64, other: f64) -> bool {
    let more = figure - other;
    // Of infinite ones the difference tells nothing.
    figure > other
        && (!more.is_finite() || more > TIE_ABSOLUTE.max(TIE_RELATIVE * figure.abs().max(other.abs())))
}

/// A figure rounded to about [`TIE_RELATIVE`], as a key to sort by: figures that tie keep the order in which they stood.
///
/// Being transitive, which [`exceeds`] is not, it parts a tie that lies at an edge of its rounding; round figures do not.
pub fn coarse(figure: f64) -> f64 {
    if !figure.is_finite() {
        return figure;
    }
    // Sign and size are kept apart in the bits, so that adding half a step rounds away from nothing.
    f64::from_bits((figure.to_bits() + (1 << (COARSE_BITS - 1))) & !((1 << COARSE_BITS) - 1))
}

/// The greatest of some figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Greatest<T> {
    /// The figure.
    pub figure: f64,
    /// What it belongs to; of equal ones the first.
    pub exactly: T,
    /// The first that ties with it.
    pub first: T,
}

/// The greatest of some figures in a stated order; `None` of none. What is no number is passed over while there is one.
pub fn greatest<T: Copy>(figures: impl IntoIterator<Item = (f64, T)>) -> Option<Greatest<T>> {
    // Each that was the greatest so far and still ties with the greatest of all: the first of them is what is sought.
    let mut tied: Vec<(f64, T)> = Vec::new();
    for (figure, item) in figures {
        let Some(&(most, _)) = tied.last() else {
            tied.push((figure, item));
            continue;
        };
        if figure > most || (most.is_nan() && !figure.is_nan()) {
            tied.retain(|(known, _)| !known.is_nan() && !exceeds(figure, *known));
            tied.push((figure, item));
        }
    }
    let (first, exactly) = (*tied.first()?, *tied.last()?);
    Some(Greatest { figure: exactly.0, exactly: exactly.1, first: first.1 })
}

/// The first of what ties with the greatest; `None` of nothing.
pub fn first_greatest<T: Copy>(items: impl IntoIterator<Item = T>, figure: impl Fn(&T) -> f64) -> Option<T> {
    greatest(items.into_iter().map(|item| (figure(&item), item))).map(|found| found.first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_of_tied_figures_is_named_and_the_greatest_told() {
        let figures = [1.0, 3.0, 3.0 + 1e-12, 3.0 - 1e-12, 2.0];
        let found = greatest(figures.into_iter().zip(0..)).unwrap();
        assert_eq!((found.figure, found.exactly, found.first), (3.0 + 1e-12, 2, 1));
        // Each ties with the one before it, not with the first: that is let go.
        let stairs = (0..4).map(|step| 1.0 + 0.7e-9 * f64::from(step));
        assert_eq!(greatest(stairs.zip(0..)).unwrap().first, 2);
        assert_eq!(greatest([2.0, 2.0 + 1e-8].into_iter().zip(0..)).unwrap().first, 1);
    }

    #[test]
    fn small_differences_tie_and_what_is_infinite_or_no_number_has_its_place() {
        assert!(!exceeds(1e-11, 0.0) && exceeds(1e-9, 0.0) && !exceeds(-1.0, 1.0));
        assert!(exceeds(f64::INFINITY, 1.0) && exceeds(0.0, f64::NEG_INFINITY));
        assert!(!exceeds(f64::INFINITY, f64::INFINITY));
        let found = greatest([f64::NAN, 1.0, f64::NAN, f64::INFINITY, f64::INFINITY].into_iter().zip(0..));
        assert_eq!(found.unwrap().first, 3);
        assert!(greatest(std::iter::empty::<(f64, u32)>()).is_none());
        assert!(greatest([(f64::NAN, 7)]).unwrap().figure.is_nan());
    }

    #[test]
    fn a_coarse_figure_is_near_keeps_order_and_hides_rounding() {
        for figure in [1.0, 1.0 / 3.0, 12.5, -0.7, 1e-30, 9.9e300] {
            let near = coarse(figure);
            assert!((near - figure).abs() <= TIE_RELATIVE * figure.abs());
            assert_eq!(near.to_bits(), coarse(figure * (1.0 + 1e-13)).to_bits());
            assert!(coarse(figure + 2e-9 * figure.abs()) > near);
        }
        assert_eq!(coarse(f64::INFINITY).total_cmp(&f64::INFINITY), std::cmp::Ordering::Equal);
        assert!(coarse(f64::MAX).is_infinite());
    }
}

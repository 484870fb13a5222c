//! A value between a least and a greatest one, with the nominal between them.
//!
//! Knows nothing of where the three come from.

use super::Quantity;

/// Low, nominal and high value of one quantity; `low <= nominal <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<Q> {
    /// The least value.
    pub low: Q,
    /// The value on the label.
    pub nominal: Q,
    /// The greatest value.
    pub high: Q,
}

impl<Q: Quantity> Spread<Q> {
    /// The three values, or `None` when they are out of order or not finite.
    pub fn new(low: Q, nominal: Q, high: Q) -> Option<Self> {
        let finite = low.si().is_finite() && nominal.si().is_finite() && high.si().is_finite();
        (finite && low <= nominal && nominal <= high).then_some(Self { low, nominal, high })
    }

    /// `nominal · (1 + below)` to `nominal · (1 + above)`, for a nominal of zero or more; `below` is negative.
    pub fn around(nominal: Q, below: f64, above: f64) -> Option<Self> {
        Self::new(Q::from_si(nominal.si() * (1.0 + below)), nominal, Q::from_si(nominal.si() * (1.0 + above)))
    }

    /// Whether the value lies between low and high, ends included.
    pub fn contains(&self, value: Q) -> bool {
        self.low <= value && value <= self.high
    }
}

#[cfg(test)]
mod tests {
    use super::super::Volts;
    use super::*;

    #[test]
    fn a_tolerance_spans_both_ways() {
        let mains = Spread::around(Volts(230.0), -0.1, 0.06).unwrap();
        assert!((mains.low.0 - 207.0).abs() < 1e-9 && (mains.high.0 - 243.8).abs() < 1e-9);
        assert!(mains.contains(Volts(207.5)) && !mains.contains(Volts(206.0)));
    }

    #[test]
    fn values_out_of_order_make_no_spread() {
        assert_eq!(Spread::new(Volts(2.0), Volts(1.0), Volts(3.0)), None);
        assert_eq!(Spread::new(Volts(0.0), Volts(f64::NAN), Volts(3.0)), None);
    }
}

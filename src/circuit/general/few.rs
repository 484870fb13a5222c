//! A row of numbers that asks for no memory while it is short: rows of states and of motions are made at every event.

use std::ops::{Deref, DerefMut};

/// Numbers kept in place.
const NEAR: usize = 8;

/// Numbers, a few of them as a rule.
#[derive(Clone, Debug, Default)]
pub(super) struct Few {
    len: usize,
    near: [f64; NEAR],
    /// All of them where they are more than a few.
    far: Vec<f64>,
}

impl Few {
    pub(super) fn zeros(len: usize) -> Self {
        let far = if len > NEAR { vec![0.0; len] } else { Vec::new() };
        Self { len, near: [0.0; NEAR], far }
    }
}

impl FromIterator<f64> for Few {
    fn from_iter<I: IntoIterator<Item = f64>>(values: I) -> Self {
        let mut few = Self::default();
        for value in values {
            if few.len < NEAR {
                few.near[few.len] = value;
            } else {
                if few.len == NEAR {
                    few.far.extend_from_slice(&few.near);
                }
                few.far.push(value);
            }
            few.len += 1;
        }
        few
    }
}

impl Deref for Few {
    type Target = [f64];
    #[inline]
    fn deref(&self) -> &[f64] {
        if self.len <= NEAR { &self.near[..self.len] } else { &self.far }
    }
}

impl DerefMut for Few {
    #[inline]
    fn deref_mut(&mut self) -> &mut [f64] {
        if self.len <= NEAR { &mut self.near[..self.len] } else { &mut self.far }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holds_what_a_vector_holds() {
        for len in 0..20_u32 {
            let values: Vec<f64> = (0..len).map(f64::from).collect();
            let mut few: Few = values.iter().copied().collect();
            assert_eq!(few[..], values[..]);
            if let Some(last) = few.last_mut() {
                *last = -1.0;
                assert_eq!(few.last(), Some(&-1.0));
            }
            assert_eq!(few.len(), Few::zeros(values.len()).len());
        }
    }
}

//! None, one or two of something, by value: what stands beside a thing of which there are at most three.

use std::array;

/// How many there may be.
pub const MOST: usize = 2;

/// Up to [`MOST`] items in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Few<T>([Option<T>; MOST]);

impl<T> Few<T> {
    /// None.
    pub const NONE: Self = Self([None, None]);

    /// One.
    pub const fn one(item: T) -> Self {
        Self([Some(item), None])
    }

    /// Those of an iterator; what goes beyond [`MOST`] is left out.
    pub fn of(items: impl IntoIterator<Item = T>) -> Self {
        let mut items = items.into_iter();
        Self(array::from_fn(|_| items.next()))
    }

    /// In their order.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        self.0.iter().flatten()
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.iter().count()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0[0].is_none()
    }

    /// Something made of each.
    #[must_use]
    pub fn map<U>(self, each: impl FnMut(T) -> U) -> Few<U> {
        let mut each = each;
        Few(self.0.map(|item| item.map(&mut each)))
    }
}

impl<T> Default for Few<T> {
    fn default() -> Self {
        Self::NONE
    }
}

impl<T> IntoIterator for Few<T> {
    type Item = T;
    type IntoIter = std::iter::Flatten<array::IntoIter<Option<T>, MOST>>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter().flatten()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_keeps_the_order_and_no_more_than_two() {
        let few = Few::of([3, 1, 2]);
        assert_eq!(few.into_iter().collect::<Vec<_>>(), [3, 1]);
        assert_eq!((few.len(), few.is_empty()), (2, false));
        assert_eq!(few.map(|n| n * 2), Few::of([6, 2]));
        assert_eq!((Few::<u8>::default().len(), Few::<u8>::NONE.is_empty()), (0, true));
        assert_eq!(Few::one(1).iter().copied().collect::<Vec<_>>(), [1]);
    }
}

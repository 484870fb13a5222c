//! Numbers drawn from a seed (Steele, Lea, Flood: `SplitMix`, 2014; constants from memory).

pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// One of `count`.
    pub(super) fn of(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).expect("below a count")
    }

    /// One of a list.
    pub(super) fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.of(list.len())]
    }
}

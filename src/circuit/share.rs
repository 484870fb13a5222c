//! What rails taken as alike draw beside one, over what it draws.

use super::supply::{Drawn, Supply};

/// Loads of the rails beside, alike but for turns and load, referred to the path, over the own; nothing where the rail itself
/// idles, and its mirrors with it.
#[derive(Clone, Copy, Default)]
pub(super) struct Share {
    /// All together.
    pub(super) sum: f64,
    /// Sum of the squares: what their own windings lose counts with it.
    pub(super) squares: f64,
    /// That of the other side of the rail's own tap.
    pub(super) of_tap: f64,
}

impl Share {
    pub(super) fn of(supply: &Supply, own_a: f64, end: impl Fn(&Drawn) -> f64) -> Self {
        let mut all = Self::default();
        for (beside, turns) in supply.beside.iter().zip(supply.source.other_turns) {
            let one = if own_a > 0.0 { turns * end(&beside.load_a) / own_a } else { 0.0 };
            all.sum += one;
            all.squares += one * one;
            if beside.of_tap {
                all.of_tap = one;
            }
        }
        all
    }
}

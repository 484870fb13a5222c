//! What several subjects share.

pub(crate) mod by_hand;
pub(crate) mod cases;
pub(crate) mod dossier;
pub(crate) mod draw;
pub(crate) mod networks;
pub(crate) mod ode;
pub(crate) mod orders;
pub(crate) mod random;
pub(crate) mod thinned;
pub(crate) mod world;

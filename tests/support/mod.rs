//! What several subjects share.

pub(crate) mod cases;
pub(crate) mod networks;

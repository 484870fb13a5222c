//! What several subjects share.

pub(crate) mod cases;

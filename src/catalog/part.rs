//! What every part has, whatever its family.

use crate::quantity::{Celsius, CubicMetres, Kilograms, Metres};

use super::offer::Offer;

/// Part number as the maker prints it; unique in a catalog.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId(pub String);

impl std::fmt::Display for PartId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Where a part stands in its maker's programme.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lifecycle {
    /// In production.
    Active,
    /// Not recommended for new designs.
    NotForNewDesigns,
    /// Can be ordered until the date, `YYYY-MM-DD`.
    LastOrder(String),
    /// No longer made.
    Withdrawn,
}

/// What every part has.
#[derive(Clone, Debug)]
pub struct Common {
    /// Part number.
    pub id: PartId,
    /// Maker.
    pub maker: String,
    /// Package or footprint.
    pub package: String,
    /// Where the part stands in its maker's programme.
    pub lifecycle: Lifecycle,
    /// Approval marks as the maker states them.
    pub approvals: Vec<String>,
    /// Mass.
    pub mass: Option<Kilograms>,
    /// Length, width, height of the bounding box.
    pub envelope: [Metres; 3],
    /// Least ambient or case temperature the maker allows.
    pub temperature_min: Celsius,
    /// Greatest ambient or case temperature the maker allows.
    pub temperature_max: Celsius,
    /// Who sells it, at what.
    pub offers: Vec<Offer>,
}

impl Common {
    /// Volume of the bounding box.
    pub fn volume(&self) -> CubicMetres {
        CubicMetres(self.envelope.iter().map(|side| side.0).product())
    }
}

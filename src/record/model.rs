//! The record as it is written.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// Version of the record's layout.
pub const RECORD_VERSION: u32 = 1;

/// SHA-256 of everything a design was made from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inputs {
    /// Of the requirements file.
    pub requirements: String,
    /// Of the policy file, by policy name.
    pub policy: BTreeMap<String, String>,
    /// Of each catalog file, by name.
    pub catalog: BTreeMap<String, String>,
}

/// One part in one position.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordedPart {
    /// Position.
    pub position: String,
    /// Reference designators.
    pub designators: Vec<String>,
    /// Part number; of a resistor, that of its series.
    pub part: String,
    /// Value, of a resistor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// Maker.
    pub maker: String,
    /// Pieces in one supply.
    pub count: u32,
    /// Digest of the catalog row.
    pub row: String,
}

/// One rail.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RailRecord {
    /// Name of the rail.
    pub rail: String,
    /// Topology.
    pub topology: String,
    /// How the secondaries are used.
    pub wiring: String,
    /// Rated voltage of the primary connection.
    pub primary: String,
    /// The rail on whose transformer this one hangs, and in whose list stands what both share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transformer_of: Option<String>,
    /// Parts, in the order of the current's path.
    pub parts: Vec<RecordedPart>,
}

/// A design handed over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Layout version.
    pub record: u32,
    /// Tool and its version.
    pub tool: String,
    /// Name of the supply.
    pub supply: String,
    /// Supplies built at a time.
    pub build_quantity: u32,
    /// Digests.
    pub inputs: Inputs,
    /// Rails.
    pub rails: Vec<RailRecord>,
}

//! Time gates of miniature fuses: tables only.
//!
//! Each row says for which rated currents it holds. A gate that states no least or greatest time has `None` there.

use super::fuse::GateTable;

/// Times at one multiple of the rated current.
pub(super) struct Gate {
    /// Multiple of the rated current.
    pub(super) multiple: f64,
    /// Least time, s.
    pub(super) min_s: Option<f64>,
    /// Greatest time, s.
    pub(super) max_s: Option<f64>,
}

/// Gates of a range of rated currents, multiples ascending.
pub(super) struct GateRow {
    /// Least rated current, A.
    pub(super) from_a: f64,
    /// Greatest rated current, A.
    pub(super) to_a: f64,
    /// The gates.
    pub(super) gates: &'static [Gate],
}

const fn carries(multiple: f64, min_s: f64) -> Gate {
    Gate { multiple, min_s: Some(min_s), max_s: None }
}

const fn opens(multiple: f64, max_s: f64) -> Gate {
    Gate { multiple, min_s: None, max_s: Some(max_s) }
}

const fn between(multiple: f64, min_s: f64, max_s: f64) -> Gate {
    Gate { multiple, min_s: Some(min_s), max_s: Some(max_s) }
}

/// Rows of a table.
pub(super) const fn rows_of(table: GateTable) -> &'static [GateRow] {
    match table {
        GateTable::IecSheet1 => SHEET_1,
        GateTable::IecSheet2 => SHEET_2,
        GateTable::IecSheet3 => SHEET_3,
        GateTable::IecSheet5Older => SHEET_5_OLDER,
        GateTable::IecSheet5 => SHEET_5,
        GateTable::Ul24814Slow => UL_SLOW,
    }
}

/// From memory, medium confidence.
const SHEET_1: &[GateRow] = &[
    GateRow {
        from_a: 0.05,
        to_a: 4.0,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.01, 2.0),
            between(4.0, 0.003, 0.3),
            opens(10.0, 0.02),
        ],
    },
    GateRow {
        from_a: 5.0,
        to_a: 6.3,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.01, 3.0),
            between(4.0, 0.003, 0.3),
            opens(10.0, 0.02),
        ],
    },
];

/// Second witness (a public article that calls it the fast IEC characteristic; its sheet number from memory).
const SHEET_2: &[GateRow] = &[
    GateRow {
        from_a: 0.032,
        to_a: 0.1,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.01, 0.5),
            between(4.0, 0.003, 0.1),
            opens(10.0, 0.02),
        ],
    },
    GateRow {
        from_a: 0.125,
        to_a: 10.0,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.05, 2.0),
            between(4.0, 0.01, 0.3),
            opens(10.0, 0.02),
        ],
    },
];

/// Seen in a maker's data sheet for 0.2 to 6.3 A; the row to 0.1 A from memory.
const SHEET_3: &[GateRow] = &[
    GateRow {
        from_a: 0.032,
        to_a: 0.1,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 120.0),
            between(2.75, 0.2, 10.0),
            between(4.0, 0.04, 3.0),
            between(10.0, 0.01, 0.3),
        ],
    },
    GateRow {
        from_a: 0.125,
        to_a: 10.0,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 120.0),
            between(2.75, 0.6, 10.0),
            between(4.0, 0.15, 3.0),
            between(10.0, 0.02, 0.3),
        ],
    },
];

/// Seen in a maker's data sheet of the 1990s.
const SHEET_5_OLDER: &[GateRow] = &[
    GateRow {
        from_a: 1.0,
        to_a: 3.15,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 1.0, 80.0),
            between(4.0, 0.095, 5.0),
            between(10.0, 0.01, 0.1),
        ],
    },
    GateRow {
        from_a: 4.0,
        to_a: 10.0,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 1.0, 80.0),
            between(4.0, 0.15, 5.0),
            between(10.0, 0.02, 0.1),
        ],
    },
];

/// Seen in makers' later data sheets; the rows below 1 A and from 8 A are makers' extensions.
const SHEET_5: &[GateRow] = &[
    GateRow {
        from_a: 0.5,
        to_a: 0.8,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.25, 80.0),
            between(4.0, 0.05, 5.0),
            between(10.0, 0.005, 0.15),
        ],
    },
    GateRow {
        from_a: 1.0,
        to_a: 3.15,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.75, 80.0),
            between(4.0, 0.095, 5.0),
            between(10.0, 0.01, 0.15),
        ],
    },
    GateRow {
        from_a: 4.0,
        to_a: 6.3,
        gates: &[
            carries(1.5, 3600.0),
            opens(2.1, 1800.0),
            between(2.75, 0.75, 80.0),
            between(4.0, 0.15, 5.0),
            between(10.0, 0.02, 0.15),
        ],
    },
    GateRow {
        from_a: 8.0,
        to_a: 10.0,
        gates: &[
            carries(1.5, 1800.0),
            opens(2.1, 1800.0),
            between(2.75, 0.75, 80.0),
            between(4.0, 0.15, 5.0),
            between(10.0, 0.02, 0.15),
        ],
    },
    GateRow {
        from_a: 12.5,
        to_a: 16.0,
        gates: &[
            carries(1.5, 900.0),
            opens(2.1, 1800.0),
            between(2.75, 0.75, 80.0),
            between(4.0, 0.15, 5.0),
            between(10.0, 0.02, 0.15),
        ],
    },
];

/// Second witness: slow types of UL 248-14.
pub(super) const UL_SLOW: &[GateRow] = &[
    GateRow {
        from_a: 0.0,
        to_a: 3.0,
        gates: &[carries(1.1, 14_400.0), opens(1.35, 3600.0), between(2.0, 5.0, 120.0)],
    },
    GateRow {
        from_a: 3.0,
        to_a: 30.0,
        gates: &[carries(1.1, 14_400.0), opens(1.35, 3600.0), between(2.0, 12.0, 120.0)],
    },
];

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

/// A row of IEC 60127-2: seconds carried at 1.5 times and greatest at 2.1 times the rated current, least and greatest at 2.75
/// and 4 times, and the gate at 10 times.
macro_rules! iec {
    ($from_a:literal to $to_a:literal A: $carries:literal, $opens:literal, ($a:literal, $b:literal), ($c:literal, $d:literal), $last:expr) => {
        GateRow {
            from_a: $from_a,
            to_a: $to_a,
            gates: &[
                carries(1.5, $carries),
                opens(2.1, $opens),
                between(2.75, $a, $b),
                between(4.0, $c, $d),
                $last,
            ],
        }
    };
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
    iec!(0.05 to 4.0 A: 3600.0, 1800.0, (0.01, 2.0), (0.003, 0.3), opens(10.0, 0.02)),
    iec!(5.0 to 6.3 A: 3600.0, 1800.0, (0.01, 3.0), (0.003, 0.3), opens(10.0, 0.02)),
];

/// Second witness (a public article that calls it the fast IEC characteristic; its sheet number from memory).
const SHEET_2: &[GateRow] = &[
    iec!(0.032 to 0.1 A: 3600.0, 1800.0, (0.01, 0.5), (0.003, 0.1), opens(10.0, 0.02)),
    iec!(0.125 to 10.0 A: 3600.0, 1800.0, (0.05, 2.0), (0.01, 0.3), opens(10.0, 0.02)),
];

/// Seen in a maker's data sheet for 0.2 to 6.3 A; the row to 0.1 A from memory.
const SHEET_3: &[GateRow] = &[
    iec!(0.032 to 0.1 A: 3600.0, 120.0, (0.2, 10.0), (0.04, 3.0), between(10.0, 0.01, 0.3)),
    iec!(0.125 to 10.0 A: 3600.0, 120.0, (0.6, 10.0), (0.15, 3.0), between(10.0, 0.02, 0.3)),
];

/// Seen in a maker's data sheet of the 1990s.
const SHEET_5_OLDER: &[GateRow] = &[
    iec!(1.0 to 3.15 A: 3600.0, 1800.0, (1.0, 80.0), (0.095, 5.0), between(10.0, 0.01, 0.1)),
    iec!(4.0 to 10.0 A: 3600.0, 1800.0, (1.0, 80.0), (0.15, 5.0), between(10.0, 0.02, 0.1)),
];

/// Seen in makers' later data sheets; the rows below 1 A and from 8 A are makers' extensions.
const SHEET_5: &[GateRow] = &[
    iec!(0.5 to 0.8 A: 3600.0, 1800.0, (0.25, 80.0), (0.05, 5.0), between(10.0, 0.005, 0.15)),
    iec!(1.0 to 3.15 A: 3600.0, 1800.0, (0.75, 80.0), (0.095, 5.0), between(10.0, 0.01, 0.15)),
    iec!(4.0 to 6.3 A: 3600.0, 1800.0, (0.75, 80.0), (0.15, 5.0), between(10.0, 0.02, 0.15)),
    iec!(8.0 to 10.0 A: 1800.0, 1800.0, (0.75, 80.0), (0.15, 5.0), between(10.0, 0.02, 0.15)),
    iec!(12.5 to 16.0 A: 900.0, 1800.0, (0.75, 80.0), (0.15, 5.0), between(10.0, 0.02, 0.15)),
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

//! Greatest drop-out voltage over current and junction temperature, interpolated and never extrapolated.
//!
//! Below the lowest tabled current the value of that current holds: drop-out grows with current, so it is a bound.

use super::super::domain::DomainError;
use super::super::formula::{Formula, Source, sym};
use crate::quantity::{Amps, Celsius, Volts};

/// What the workings print for [`headroom`].
pub const HEADROOM: Formula = Formula::new(
    "regulator-headroom",
    ("h", "V"),
    "V_in_min − V_out_max − V_do",
    &[
        sym("V_in_min", "V", "least input voltage in the period"),
        sym("V_out_max", "V", "output at its upper accuracy"),
        sym("V_do", "V", "greatest drop-out at that current and junction temperature"),
    ],
    "hot and cold are both looked at",
    Source::Derived { from: "definition" },
);

/// What the workings print for [`DropoutTable::at`].
pub const DROPOUT_INTERPOLATION: Formula = Formula::new(
    "regulator-dropout",
    ("V_do", "V"),
    "V_a + (V_b − V_a) (x − x_a) / (x_b − x_a)",
    &[
        sym("V_a", "V", "drop-out at the lower neighbour"),
        sym("V_b", "V", "drop-out at the upper neighbour"),
        sym("x", "A or °C", "current, then junction temperature"),
        sym("x_a", "A or °C", "lower neighbour"),
        sym("x_b", "A or °C", "upper neighbour"),
    ],
    "inside the catalog's table",
    Source::CommonPractice,
);

/// Greatest drop-out over current and junction temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct DropoutTable {
    /// Rows of one temperature in °C, coolest first, each ascending in current in A.
    rows: Vec<(f64, Vec<(f64, f64)>)>,
}

impl DropoutTable {
    /// From points in any order. Refuses an empty table, values that are not finite, and two drop-outs for one point.
    pub fn new(points: &[(Amps, Celsius, Volts)]) -> Result<Self, DomainError> {
        DomainError::within("number of drop-out points", points.len() as f64, 1.0, 1e4)?;
        for (current, junction, volts) in points {
            DomainError::within("drop-out current in A", current.0, 0.0, 1e4)?;
            DomainError::within("drop-out junction temperature in °C", junction.0, -100.0, 400.0)?;
            DomainError::within("drop-out in V", volts.0, 0.0, 100.0)?;
        }
        let mut sorted = points.to_vec();
        sorted.sort_by(|a, b| a.1.0.total_cmp(&b.1.0).then(a.0.0.total_cmp(&b.0.0)));
        let mut rows: Vec<(f64, Vec<(f64, f64)>)> = Vec::new();
        for (current, junction, volts) in sorted {
            match rows.last_mut() {
                Some((same, row)) if same.total_cmp(&junction.0).is_eq() => {
                    if let Some((last, _)) = row.last() {
                        DomainError::within(
                            "drop-out current in A, each once",
                            current.0,
                            last + 1e-12,
                            1e4,
                        )?;
                    }
                    row.push((current.0, volts.0));
                }
                _ => rows.push((junction.0, vec![(current.0, volts.0)])),
            }
        }
        Ok(Self { rows })
    }

    /// Drop-out at a current and junction temperature; `None` outside the table (above its greatest current, or cooler or
    /// hotter than all of its temperatures). See [`DROPOUT_INTERPOLATION`].
    pub fn at(&self, current: Amps, junction: Celsius) -> Option<Volts> {
        let upper = self.rows.iter().position(|(t, _)| *t >= junction.0)?;
        let (t_b, row_b) = self.rows.get(upper)?;
        let v_b = inside(row_b, current.0)?;
        if *t_b <= junction.0 {
            return Some(Volts(v_b));
        }
        let (t_a, row_a) = self.rows.get(upper.checked_sub(1)?)?;
        between(&[(*t_a, inside(row_a, current.0)?), (*t_b, v_b)], junction.0).map(Volts)
    }

    /// Least and greatest drop-out at a current over all tabled temperatures; `None` above every row's greatest current.
    ///
    /// The greatest stands in where the junction is cooler or hotter than the table: a stated value, no extrapolation.
    pub fn extremes(&self, current: Amps) -> Option<(Volts, Volts)> {
        let values = self.rows.iter().filter_map(|(_, row)| inside(row, current.0));
        values
            .map(|volts| (volts, volts))
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
            .map(|(least, greatest)| (Volts(least), Volts(greatest)))
    }

    /// Coolest and hottest tabled junction temperature.
    pub fn temperatures(&self) -> (Celsius, Celsius) {
        let first = self.rows.first().map_or(0.0, |row| row.0);
        (Celsius(first), Celsius(self.rows.last().map_or(first, |row| row.0)))
    }
}

/// A row's drop-out at a current; below its least current the value of that current.
fn inside(row: &[(f64, f64)], current_a: f64) -> Option<f64> {
    between(row, current_a.max(row.first()?.0))
}

/// Linear interpolation in ascending points; `None` outside them.
pub(super) fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let first = points.first()?;
    let last = points.last()?;
    if !(x >= first.0 && x <= last.0) {
        return None;
    }
    points
        .windows(2)
        .find_map(|pair| match pair {
            [a, b] if x <= b.0 => Some(a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)),
            _ => None,
        })
        .or(Some(first.1))
}

/// Headroom: what is left of the least input over the greatest output and the drop-out; see [`HEADROOM`].
pub fn headroom(input_min: Volts, output_max: Volts, dropout: Volts) -> Volts {
    input_min - output_max - dropout
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn table() -> DropoutTable {
        DropoutTable::new(&[
            (Amps(1.0), Celsius(125.0), Volts(2.5)),
            (Amps(0.1), Celsius(-20.0), Volts(1.5)),
            (Amps(1.0), Celsius(-20.0), Volts(2.2)),
            (Amps(0.1), Celsius(125.0), Volts(1.6)),
        ])
        .unwrap()
    }

    #[test]
    fn the_table_meets_its_points_and_is_straight_between_them() {
        let at = |i: f64, t: f64| table().at(Amps(i), Celsius(t)).unwrap().0;
        assert_relative_eq!(at(1.0, 125.0), 2.5, max_relative = 1e-12);
        assert_relative_eq!(at(0.1, -20.0), 1.5, max_relative = 1e-12);
        assert_relative_eq!(at(0.55, 52.5), (2.5 + 1.5 + 2.2 + 1.6) / 4.0, max_relative = 1e-12);
    }

    #[test]
    fn nothing_is_extrapolated_but_less_current_drops_no_more() {
        assert_eq!(table().at(Amps(1.01), Celsius(50.0)), None);
        assert_eq!(table().at(Amps(0.5), Celsius(126.0)), None);
        assert_eq!(table().at(Amps(0.5), Celsius(-21.0)), None);
        assert_eq!(table().at(Amps(f64::NAN), Celsius(f64::NAN)), None);
        assert_relative_eq!(table().at(Amps(0.0), Celsius(125.0)).unwrap().0, 1.6, max_relative = 1e-12);
    }

    #[test]
    fn the_extremes_over_temperature_are_stated_values() {
        assert_eq!(table().extremes(Amps(1.0)), Some((Volts(2.2), Volts(2.5))));
        assert_eq!(table().extremes(Amps(0.01)), Some((Volts(1.5), Volts(1.6))));
        assert_eq!(table().extremes(Amps(1.01)), None);
    }

    #[test]
    fn a_point_stated_twice_or_an_empty_table_is_refused() {
        let twice = [(Amps(1.0), Celsius(25.0), Volts(2.0)), (Amps(1.0), Celsius(25.0), Volts(2.1))];
        assert!(DropoutTable::new(&twice).is_err());
        assert!(DropoutTable::new(&[]).is_err());
    }

    /// Source: hobby application page (13.6 V from 16.6 V at 3 V of drop-out): nothing is left.
    #[test]
    fn an_input_just_at_output_plus_dropout_leaves_no_headroom() {
        assert_relative_eq!(headroom(Volts(16.6), Volts(13.6), Volts(3.0)).0, 0.0, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn drop_out_grows_with_current_in_a_growing_table(i in 0.0..0.9_f64, more in 0.001..0.1_f64, t in -20.0..125.0_f64) {
            let low = table().at(Amps(i), Celsius(t)).unwrap();
            let high = table().at(Amps(i + more), Celsius(t)).unwrap();
            prop_assert!(high.0 >= low.0 - 1e-12);
        }
    }
}

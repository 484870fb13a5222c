//! Finds parts by what their rows say: `rated >= 35 V, capacitance >= 2200 uF`.
//!
//! A value is compared as a quantity where both sides are the same kind of quantity, as a number where both are plain numbers,
//! and for `=` and `!=` as text.

use std::{cmp::Ordering, fmt};

use super::check::raw::RawRow;
use crate::{
    document::suggestion,
    quantity::{
        Amps, AmpsSquaredSeconds, Celsius, CubicMetres, Decibels, Farads, Henries, Hertz, Hours, Joules,
        Kelvins, KelvinsPerWatt, Kilograms, Metres, Ohms, Quantity, Ratio, Seconds, VoltAmps, Volts, Watts,
    },
};

/// How a rating is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// `>=`
    AtLeast,
    /// `<=`
    AtMost,
    /// `>`
    Above,
    /// `<`
    Below,
    /// `=`
    Equal,
    /// `!=`
    Unequal,
}

/// Signs, longest first.
const SIGNS: [(&str, Relation); 6] = [
    (">=", Relation::AtLeast),
    ("<=", Relation::AtMost),
    ("!=", Relation::Unequal),
    (">", Relation::Above),
    ("<", Relation::Below),
    ("=", Relation::Equal),
];

/// One condition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Condition {
    /// Key of the rating, as catalog files write it.
    pub key: String,
    /// How it is compared.
    pub relation: Relation,
    /// With what.
    pub value: String,
}

/// Why parts cannot be found by a condition.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FilterError {
    /// Not of the form key, sign, value.
    #[error("found `{found}`, allowed a condition such as `rated >= 35 V`; several are joined by commas")]
    Malformed {
        /// The text.
        found: String,
    },
    /// No row has the key.
    #[error("no part of the family states `{key}`{}", hint_text(.near.as_deref()))]
    UnknownKey {
        /// The key.
        key: String,
        /// A key that looks like it.
        near: Option<String>,
    },
    /// The value is of another kind than the ratings.
    #[error("`{value}` does not compare with `{key}`, which reads like `{example}`")]
    Incomparable {
        /// The key.
        key: String,
        /// The value.
        value: String,
        /// A rating under the key.
        example: String,
    },
}

fn hint_text(near: Option<&str>) -> String {
    near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default()
}

impl fmt::Display for Relation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(SIGNS.iter().find(|(_, one)| one == self).map_or("", |(sign, _)| sign))
    }
}

/// Reads conditions, joined by commas.
pub fn conditions(text: &str) -> Result<Vec<Condition>, FilterError> {
    text.split(',').map(str::trim).filter(|one| !one.is_empty()).map(condition).collect()
}

fn condition(text: &str) -> Result<Condition, FilterError> {
    let malformed = || FilterError::Malformed { found: text.chars().take(60).collect() };
    let at = text.find(['<', '>', '=', '!']).ok_or_else(malformed)?;
    let (key, rest) = text.split_at_checked(at).ok_or_else(malformed)?;
    let (sign, relation) = SIGNS.iter().find(|(sign, _)| rest.starts_with(sign)).ok_or_else(malformed)?;
    let value = rest.strip_prefix(sign).unwrap_or_default().trim();
    let key = key.trim();
    if key.is_empty() || value.is_empty() || value.starts_with(['<', '>', '=', '!']) {
        return Err(malformed());
    }
    Ok(Condition { key: key.to_owned(), relation: *relation, value: value.to_owned() })
}

/// The rows that fulfil every condition, in their order. Of a list of ratings one must fulfil it.
pub fn select<'r>(rows: &'r [RawRow], conditions: &[Condition]) -> Result<Vec<&'r RawRow>, FilterError> {
    for condition in conditions {
        let mut texts = rows.iter().flat_map(|row| row.texts(&condition.key)).peekable();
        let Some(example) = texts.peek().map(|text| (*text).to_owned()) else {
            if rows.is_empty() {
                continue;
            }
            let keys = rows.iter().flat_map(|row| row.ratings.iter().map(|(key, _)| key.as_str()));
            let near = suggestion(&condition.key, keys).map(str::to_owned);
            return Err(FilterError::UnknownKey { key: condition.key.clone(), near });
        };
        let textual = matches!(condition.relation, Relation::Equal | Relation::Unequal);
        if !textual && !texts.any(|text| compare(text, &condition.value).is_some()) {
            let (key, value) = (condition.key.clone(), condition.value.clone());
            return Err(FilterError::Incomparable { key, value, example });
        }
    }
    let fulfils =
        |row: &&RawRow| conditions.iter().all(|one| row.texts(&one.key).any(|text| holds(text, one)));
    Ok(rows.iter().filter(fulfils).collect())
}

fn holds(text: &str, condition: &Condition) -> bool {
    let order = compare(text, &condition.value);
    match condition.relation {
        Relation::AtLeast => order.is_some_and(Ordering::is_ge),
        Relation::AtMost => order.is_some_and(Ordering::is_le),
        Relation::Above => order.is_some_and(Ordering::is_gt),
        Relation::Below => order.is_some_and(Ordering::is_lt),
        Relation::Equal => order.map_or(text == condition.value, Ordering::is_eq),
        Relation::Unequal => order.map_or(text != condition.value, Ordering::is_ne),
    }
}

/// Compares two texts as the same kind of quantity, or as plain numbers.
pub fn compare(left: &str, right: &str) -> Option<Ordering> {
    macro_rules! first_of {
        ($($kind:ident)*) => {$(
            if let (Ok(left), Ok(right)) = ($kind::from_text(left), $kind::from_text(right)) {
                return left.si().partial_cmp(&right.si());
            }
        )*};
    }
    first_of!(
        Volts Amps Watts VoltAmps Ohms Farads Henries Hertz Seconds Hours Celsius Kelvins KelvinsPerWatt Joules
        AmpsSquaredSeconds Metres CubicMetres Kilograms Ratio Decibels
    );
    let number = |text: &str| text.parse::<f64>().ok().filter(|value| value.is_finite());
    number(left)?.partial_cmp(&number(right)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(id: &str, ratings: &[(&str, &str)]) -> RawRow {
        let ratings = ratings.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())).collect();
        RawRow { family: "electrolytic".to_owned(), id: id.to_owned(), ratings }
    }

    fn found(text: &str) -> Result<Vec<String>, FilterError> {
        let rows = [
            row("A", &[("rated", "35 V"), ("capacitance", "2200 uF"), ("package", "radial")]),
            row("B", &[("rated", "63 V"), ("capacitance", "2.2 mF"), ("package", "snap-in")]),
            row("C", &[("rated", "16 V"), ("capacitance", "4700 uF"), ("package", "radial")]),
        ];
        Ok(select(&rows, &conditions(text)?)?.iter().map(|row| row.id.clone()).collect())
    }

    #[test]
    fn ratings_are_compared_as_quantities_whatever_their_prefix() {
        assert_eq!(found("rated>=35 V, capacitance >= 2200 uF").unwrap(), ["A", "B"]);
        assert_eq!(found("capacitance = 2200 uF").unwrap(), ["A", "B"]);
        assert_eq!(found("rated < 0.035 kV").unwrap(), ["C"]);
        assert_eq!(found("package != radial").unwrap(), ["B"]);
        assert_eq!(found("").unwrap().len(), 3);
    }

    #[test]
    fn what_cannot_be_compared_is_refused_with_an_example() {
        assert!(matches!(found("rated >= 35 A"), Err(FilterError::Incomparable { .. })));
        assert!(matches!(found("rated >= 35"), Err(FilterError::Incomparable { .. })));
        assert_eq!(
            found("ratd >= 35 V"),
            Err(FilterError::UnknownKey { key: "ratd".to_owned(), near: Some("rated".to_owned()) })
        );
        for bad in ["rated", ">= 5 V", "rated >=", "rated => 5 V"] {
            assert!(matches!(found(bad), Err(FilterError::Malformed { .. })), "{bad}");
        }
    }
}

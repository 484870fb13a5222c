//! JSON whose keys keep their order.
//!
//! A number that is not finite is an error, never a silent null.

use serde::{
    Serialize, Serializer,
    ser::{Error as _, SerializeMap as _},
};

/// A value.
#[derive(Clone, Debug)]
pub(super) enum Json {
    Null,
    Yes(bool),
    Number(f64),
    Count(u64),
    Text(String),
    List(Vec<Json>),
    Map(Vec<(String, Json)>),
}

impl Json {
    pub(super) fn number(value: Option<f64>) -> Self {
        value.map_or(Self::Null, Self::Number)
    }
    /// A number without a fraction, printed without one.
    pub(super) fn whole(value: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates; a small count"
        )]
        if value >= 0.0 && value.fract() == 0.0 { Self::Count(value as u64) } else { Self::Number(value) }
    }
    pub(super) fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }
    pub(super) fn map<const N: usize>(pairs: [(&str, Self); N]) -> Self {
        Self::Map(pairs.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
    }
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => out.serialize_none(),
            Self::Yes(yes) => out.serialize_bool(*yes),
            Self::Number(value) if value.is_finite() => out.serialize_f64(*value),
            Self::Number(value) => Err(S::Error::custom(format!("a figure is {value}"))),
            Self::Count(count) => out.serialize_u64(*count),
            Self::Text(text) => out.serialize_str(text),
            Self::List(list) => out.collect_seq(list),
            Self::Map(pairs) => {
                let mut map = out.serialize_map(Some(pairs.len()))?;
                for (key, value) in pairs {
                    map.serialize_entry(key, value)?;
                }
                map.end()
            }
        }
    }
}

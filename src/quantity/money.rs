//! Money: a decimal amount and its currency. Never a binary fraction, never two currencies in one sum.
//!
//! Rounding rule: amounts are kept exact; only printing rounds, to two decimals, half away from zero.

use rust_decimal::{Decimal, RoundingStrategy};
use std::fmt;

/// A currency by its three letters, as ISO 4217 writes them. Which codes exist is not checked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Three capital letters, or `None`.
    pub fn new(code: &str) -> Option<Self> {
        let letters: [u8; 3] = code.as_bytes().try_into().ok()?;
        letters.iter().all(u8::is_ascii_uppercase).then_some(Self(letters))
    }
    /// The three letters.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("")
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// An amount in one currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Money {
    /// The amount, exact.
    pub amount: Decimal,
    /// Its currency.
    pub currency: Currency,
}

/// Why two amounts do not add.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MoneyError {
    /// The currencies differ.
    #[error("`{left}` and `{right}` do not add: no rate of exchange is known")]
    Currencies {
        /// Currency of the first amount.
        left: Currency,
        /// Currency of the second.
        right: Currency,
    },
    /// The result needs more than 28 digits.
    #[error("the amount is too large")]
    Overflow,
}

impl Money {
    /// Nothing of that currency.
    pub const fn zero(currency: Currency) -> Self {
        Self { amount: Decimal::ZERO, currency }
    }
    /// Sum of two amounts of one currency.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::Currencies { left: self.currency, right: other.currency });
        }
        let amount = self.amount.checked_add(other.amount).ok_or(MoneyError::Overflow)?;
        Ok(Self { amount, ..self })
    }
    /// That many times the amount.
    pub fn times(self, count: u64) -> Result<Self, MoneyError> {
        let amount = self.amount.checked_mul(Decimal::from(count)).ok_or(MoneyError::Overflow)?;
        Ok(Self { amount, ..self })
    }
    /// Sum of many amounts, which must all have the given currency.
    pub fn sum(currency: Currency, items: impl IntoIterator<Item = Self>) -> Result<Self, MoneyError> {
        items.into_iter().try_fold(Self::zero(currency), Self::plus)
    }
    /// The amount rounded to two decimals, half away from zero.
    pub fn rounded(self) -> Decimal {
        let mut cents = self.amount.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
        cents.rescale(2);
        if cents.is_zero() { Decimal::new(0, 2) } else { cents }
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.rounded(), self.currency)
    }
}

impl serde::Serialize for Currency {
    fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(self.code())
    }
}

impl<'de> serde::Deserialize<'de> for Currency {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let code = <std::borrow::Cow<'de, str>>::deserialize(from)?;
        Self::new(&code).ok_or_else(|| {
            serde::de::Error::custom(format!("found `{code}`, allowed three capital letters such as `EUR`"))
        })
    }
}

impl serde::Serialize for Money {
    fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_str(&format_args!("{} {}", self.amount, self.currency))
    }
}

impl<'de> serde::Deserialize<'de> for Money {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = <std::borrow::Cow<'de, str>>::deserialize(from)?;
        let read = || {
            let (amount, code) = text.split_once(' ')?;
            Some(Self { amount: Decimal::from_str_exact(amount).ok()?, currency: Currency::new(code)? })
        };
        read().ok_or_else(|| {
            serde::de::Error::custom(format!("found `{text}`, allowed money such as `1.20 EUR`"))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn euros(text: &str) -> Money {
        Money { amount: text.parse().unwrap(), currency: Currency::new("EUR").unwrap() }
    }

    #[test]
    fn three_tenths_are_exact() {
        let sum = Money::sum(euros("0").currency, [euros("0.1"), euros("0.2")]).unwrap();
        assert_eq!(sum, euros("0.3"));
    }

    #[test]
    fn printing_rounds_half_away_from_zero() {
        assert_eq!(euros("2.345").to_string(), "2.35 EUR");
        assert_eq!(euros("-2.345").to_string(), "-2.35 EUR");
        assert_eq!(euros("-0.001").to_string(), "0.00 EUR");
        assert_eq!(euros("12").to_string(), "12.00 EUR");
    }

    #[test]
    fn currencies_never_mix_and_overflow_is_an_error() {
        let pounds = Money { currency: Currency::new("GBP").unwrap(), ..euros("1") };
        assert!(matches!(euros("1").plus(pounds), Err(MoneyError::Currencies { .. })));
        assert_eq!(euros("79228162514264337593543950335").times(2), Err(MoneyError::Overflow));
        assert_eq!(Currency::new("eur"), None);
        assert_eq!(Currency::new("€"), None);
    }
}

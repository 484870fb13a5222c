//! What a number is: one small type a physical quantity, SI inside.
//!
//! Knows nothing of files or parts. Text in and out is in [`text`]; money, which is decimal, is in [`money`].
//! Public functions and catalog fields use these types; inside a formula they are unwrapped with `.0`
//! and the unit stands in the name of the local.

pub mod money;
mod print;
pub mod range;
pub mod text;
pub mod unit;

pub use money::{Currency, Money};
pub use range::Spread;
pub use text::TextError;
pub use unit::Quantity;

macro_rules! quantity {
    ($($(#[$doc:meta])* $name:ident, $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// The unit as it is printed.
            pub const UNIT: &'static str = $unit;
            /// The smaller of two values; neither is NaN.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two values; neither is NaN.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
        }
        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self(self.0 * factor) }
        }
        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self { Self(self.0 / divisor) }
        }
        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, divisor: Self) -> f64 { self.0 / divisor.0 }
        }
    )*};
}

macro_rules! additive {
    ($($name:ident)*) => {$(
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self { Self(items.map(|item| item.0).sum()) }
        }
    )*};
}

quantity! {
    /// Electric potential difference; the name of the field says rms, peak or average.
    Volts, "V";
    /// Electric current; the name of the field says rms, peak or average.
    Amps, "A";
    /// Power, averaged over a mains period.
    Watts, "W";
    /// Apparent power.
    VoltAmps, "VA";
    /// Resistance.
    Ohms, "Ω";
    /// Capacitance.
    Farads, "F";
    /// Inductance.
    Henries, "H";
    /// Frequency.
    Hertz, "Hz";
    /// Time.
    Seconds, "s";
    /// Time in hours, as lives are stated.
    Hours, "h";
    /// A temperature on the Celsius scale. Two of these never add.
    Celsius, "°C";
    /// A temperature difference or rise.
    Kelvins, "K";
    /// Thermal resistance.
    KelvinsPerWatt, "K/W";
    /// Energy.
    Joules, "J";
    /// Melting or heating integral of current squared over time.
    AmpsSquaredSeconds, "A²s";
    /// Length in metres.
    Metres, "m";
    /// Volume in cubic metres.
    CubicMetres, "m³";
    /// Mass in kilograms.
    Kilograms, "kg";
    /// A pure ratio: 0.1 is 10 %.
    Ratio, "";
    /// A ratio of voltages on the logarithmic scale: 20·log₁₀.
    Decibels, "dB";
}

additive! { Volts Amps Watts VoltAmps Ohms Farads Henries Hertz Seconds Hours Kelvins KelvinsPerWatt Joules AmpsSquaredSeconds Metres CubicMetres Kilograms Ratio }

impl std::ops::Sub for Celsius {
    type Output = Kelvins;
    fn sub(self, other: Self) -> Kelvins {
        Kelvins(self.0 - other.0)
    }
}

impl std::ops::Add<Kelvins> for Celsius {
    type Output = Self;
    fn add(self, rise: Kelvins) -> Self {
        Self(self.0 + rise.0)
    }
}

impl std::ops::Sub<Kelvins> for Celsius {
    type Output = Self;
    fn sub(self, rise: Kelvins) -> Self {
        Self(self.0 - rise.0)
    }
}

impl std::ops::Mul<Amps> for Volts {
    type Output = Watts;
    fn mul(self, current: Amps) -> Watts {
        Watts(self.0 * current.0)
    }
}

impl std::ops::Mul<Watts> for KelvinsPerWatt {
    type Output = Kelvins;
    fn mul(self, power: Watts) -> Kelvins {
        Kelvins(self.0 * power.0)
    }
}

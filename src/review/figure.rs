//! One number with its unit, as a dossier holds it and as every report prints it.
//!
//! The only place where a number of a dossier becomes text. Values are in SI units; temperatures in °C, lives in h.

use serde::{Serialize, Serializer, ser::SerializeStruct as _};

use crate::{
    quantity::{
        Amps, AmpsSquaredSeconds, Celsius, CubicMetres, Decibels, Farads, Henries, Hertz, Hours, Joules,
        Kelvins, KelvinsPerWatt, Kilograms, Ohms, Quantity as _, Ratio, Seconds, VoltAmps, Volts, Watts,
    },
    stress::verdict,
};

/// Significant digits of a printed figure: the last stays below the accuracy of any rating.
const DIGITS: usize = 3;
/// Significant digits where a margin is small against the value: voltages and currents.
const DIGITS_FINE: usize = 4;

/// Unit of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Volt-amperes.
    VoltAmps,
    /// Ohms.
    Ohms,
    /// Henries.
    Henries,
    /// Farads.
    Farads,
    /// Hertz.
    Hertz,
    /// Seconds.
    Seconds,
    /// Hours.
    Hours,
    /// Degrees Celsius.
    Celsius,
    /// Kelvins, a rise.
    Kelvins,
    /// Kelvins per watt.
    KelvinsPerWatt,
    /// Joules.
    Joules,
    /// Ampere-squared seconds.
    AmpsSquaredSeconds,
    /// Volts per hertz.
    VoltsPerHertz,
    /// Decibels.
    Decibels,
    /// Degrees of the mains period.
    Degrees,
    /// Cubic metres.
    CubicMetres,
    /// Kilograms.
    Kilograms,
    /// A ratio printed in per cent; 1 is 100 %.
    Percent,
    /// A ratio printed plainly.
    Ratio,
    /// A small ratio or coefficient printed with all its digits.
    Fine,
    /// A ratio so small that only its power of ten matters.
    Residual,
    /// A count or class.
    Count,
}

impl Unit {
    /// Symbol of the unit in which a figure's value is held; empty for a ratio or count.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Volts => "V",
            Self::Amps => "A",
            Self::Watts => "W",
            Self::VoltAmps => "VA",
            Self::Ohms => "Ω",
            Self::Henries => "H",
            Self::Farads => "F",
            Self::Hertz => "Hz",
            Self::Seconds => "s",
            Self::Hours => "h",
            Self::Celsius => "°C",
            Self::Kelvins => "K",
            Self::KelvinsPerWatt => "K/W",
            Self::Joules => "J",
            Self::AmpsSquaredSeconds => "A²s",
            Self::VoltsPerHertz => "V/Hz",
            Self::Decibels => "dB",
            Self::Degrees => "°",
            Self::CubicMetres => "m³",
            Self::Kilograms => "kg",
            Self::Percent | Self::Ratio | Self::Fine | Self::Residual | Self::Count => "",
        }
    }
}

impl From<verdict::Unit> for Unit {
    fn from(unit: verdict::Unit) -> Self {
        match unit {
            verdict::Unit::Volts => Self::Volts,
            verdict::Unit::Amps => Self::Amps,
            verdict::Unit::Watts => Self::Watts,
            verdict::Unit::Celsius => Self::Celsius,
            verdict::Unit::AmpsSquaredSeconds => Self::AmpsSquaredSeconds,
            verdict::Unit::Hours => Self::Hours,
            verdict::Unit::Seconds => Self::Seconds,
            verdict::Unit::VoltsPerHertz => Self::VoltsPerHertz,
            verdict::Unit::Farads => Self::Farads,
            verdict::Unit::Ohms => Self::Ohms,
            verdict::Unit::Joules => Self::Joules,
            verdict::Unit::Percent => Self::Percent,
            verdict::Unit::Count => Self::Count,
        }
    }
}

/// A finite number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    value: f64,
    unit: Unit,
}

impl Figure {
    /// A figure, or `None` where the value is not finite: no report shows such a number.
    pub fn new(value: f64, unit: Unit) -> Option<Self> {
        value.is_finite().then_some(Self { value, unit })
    }

    /// The value in the unit.
    pub const fn value(self) -> f64 {
        self.value
    }

    /// The unit.
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The figure rounded to the digits that reports print, to the stricter side: up for a least value, down for a greatest.
    ///
    /// Rounded to the nearest, a quotation could ask for less than is needed.
    #[must_use]
    pub fn strictly(self, up: bool) -> Self {
        let digits = if matches!(self.unit, Unit::Volts | Unit::Amps) { DIGITS_FINE } else { DIGITS };
        let text = format!("{:.*e}", digits - 1, self.value);
        let parts = text.split_once('e').and_then(|(mantissa, exponent)| {
            Some((mantissa.replace('.', "").parse::<i64>().ok()?, exponent.parse::<i64>().ok()?))
        });
        let Some((mantissa, exponent)) = parts else { return self };
        let tail = exponent - i64::try_from(digits).unwrap_or(0) + 1;
        let at = |mantissa: i64| format!("{mantissa}e{tail}").parse::<f64>().unwrap_or(self.value);
        let slack = 1e-9 * self.value.abs();
        let value = match at(mantissa) {
            nearest if up && nearest < self.value - slack => at(mantissa + 1),
            nearest if !up && nearest > self.value + slack => at(mantissa - 1),
            nearest => nearest,
        };
        Self { value, ..self }
    }

    /// The figure as every report prints it.
    pub fn text(self) -> String {
        let value = self.value;
        match self.unit {
            Unit::Volts => Volts(value).to_text(DIGITS_FINE),
            Unit::Amps => Amps(value).to_text(DIGITS_FINE),
            Unit::Watts => Watts(value).to_text(DIGITS),
            Unit::VoltAmps => VoltAmps(value).to_text(DIGITS),
            Unit::Ohms => Ohms(value).to_text(DIGITS),
            Unit::Henries => Henries(value).to_text(DIGITS),
            Unit::Farads => Farads(value).to_text(DIGITS),
            Unit::Hertz => Hertz(value).to_text(DIGITS),
            Unit::Seconds => Seconds(value).to_text(DIGITS),
            Unit::Hours => Hours(value).to_text(DIGITS),
            Unit::Celsius => Celsius(value).to_text(DIGITS),
            Unit::Kelvins => Kelvins(value).to_text(DIGITS),
            Unit::KelvinsPerWatt => KelvinsPerWatt(value).to_text(DIGITS),
            Unit::Joules => Joules(value).to_text(DIGITS),
            Unit::AmpsSquaredSeconds => AmpsSquaredSeconds(value).to_text(DIGITS),
            Unit::VoltsPerHertz => format!("{}/Hz", Volts(value).to_text(DIGITS_FINE)),
            Unit::Decibels => Decibels(value).to_text(DIGITS),
            Unit::Degrees => format!("{value:.1}°"),
            Unit::CubicMetres => CubicMetres(value).to_text(DIGITS),
            Unit::Kilograms => Kilograms(value).to_text(DIGITS),
            Unit::Percent => Ratio(value).to_text(DIGITS),
            Unit::Ratio => format!("{value:.3}"),
            Unit::Residual => format!("{value:.1e}"),
            Unit::Fine | Unit::Count => format!("{value}"),
        }
    }
}

impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        let mut fields = out.serialize_struct("Figure", 2)?;
        fields.serialize_field("value", &self.value)?;
        fields.serialize_field("unit", self.unit.symbol())?;
        fields.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_is_not_finite_is_no_figure() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(Figure::new(value, Unit::Volts), None);
        }
    }

    #[test]
    fn voltages_print_four_digits_and_ratios_per_cent() {
        let text = |value, unit| Figure::new(value, unit).map(Figure::text).unwrap_or_default();
        assert_eq!(text(17.823, Unit::Volts), "17.82 V");
        assert_eq!(text(0.9532, Unit::Percent), "95.3 %");
        assert_eq!(text(4.6, Unit::VoltsPerHertz), "4.600 V/Hz");
        assert_eq!(text(3.0, Unit::Count), "3");
        assert_eq!(text(36.25, Unit::Degrees), "36.2°");
    }

    #[test]
    fn a_quoted_figure_is_never_easier_than_what_is_needed() {
        let rounded = |value, unit, up| Figure::new(value, unit).unwrap().strictly(up).value();
        for (value, unit, up, expected) in [
            (33.4712, Unit::Volts, true, 33.48),
            (33.4788, Unit::Volts, false, 33.47),
            (253.000_000_000_000_03, Unit::Volts, true, 253.0),
            (9.9996, Unit::Amps, true, 10.0),
            (2.0801e-3, Unit::Farads, true, 2.09e-3),
            (-40.04, Unit::Celsius, true, -40.0),
            (-40.04, Unit::Celsius, false, -40.1),
            (0.0, Unit::Celsius, true, 0.0),
        ] {
            assert!((rounded(value, unit, up) - expected).abs() < 1e-12 * expected.abs().max(1.0), "{value}");
        }
    }
}

//! The units of every quantity: which words are read, which prefixes go with them, how a value is printed.
//!
//! Tables only; reading is in [`super::text`], printing in `quantity::print`.

use super::{
    Amps, AmpsSquaredSeconds, Celsius, CubicMetres, Decibels, Farads, Henries, Hertz, Hours, Joules, Kelvins,
    KelvinsPerWatt, Kilograms, Metres, Ohms, Ratio, Seconds, VoltAmps, Volts, Watts,
};

/// A word that may follow a number: value in SI units = number × 10^`exponent` × `factor`.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// The word as it stands in a file.
    pub word: &'static str,
    /// Power of ten that leads to the SI unit.
    pub exponent: i32,
    /// Factor that is no power of ten (60 for minutes), else 1.
    pub factor: f64,
    /// Whether the decimal prefixes p, n, u, µ, m, k, M, G may stand before it.
    pub prefixed: bool,
}

/// How values are printed: the steps (power of ten, unit with prefix) in rising order.
pub type Steps = &'static [(i32, &'static str)];

/// A number with a unit, SI inside.
///
/// ```
/// use railwright::quantity::{Farads, Quantity};
/// let reservoir = Farads::from_text("2200 uF").unwrap();
/// assert_eq!(reservoir, Farads(2200e-6));
/// assert_eq!(reservoir.to_text(3), "2200 µF");
/// ```
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// What the quantity is called in a message, with its article: `a voltage`.
    const NOUN: &'static str;
    /// An example for hints: `12 V`.
    const EXAMPLE: &'static str;
    /// The words that may stand behind the number; the first is the one suggested.
    const UNITS: &'static [Unit];
    /// How it is printed.
    const STEPS: Steps;
    /// Whether `4k7`, `4R7` and `47R` are read (IEC 60062).
    const LETTER_CODE: bool = false;
    /// The quantity of this SI value.
    fn from_si(value: f64) -> Self;
    /// The SI value.
    fn si(self) -> f64;

    /// Reads text such as `500 mA`.
    fn from_text(text: &str) -> Result<Self, super::text::TextError> {
        super::text::read(text)
    }
    /// Prints with the given number of significant digits, at least one: `12.0 V`.
    fn to_text(self, significant: usize) -> String {
        super::print::rounded(self.si(), significant, Self::STEPS)
    }
    /// Prints all digits: what is printed reads back as the same value.
    fn to_exact_text(self) -> String {
        super::print::exact(self.si(), Self::STEPS)
    }
}

const fn si(word: &'static str) -> Unit {
    Unit { word, exponent: 0, factor: 1.0, prefixed: true }
}
const fn plain(word: &'static str) -> Unit {
    Unit { word, exponent: 0, factor: 1.0, prefixed: false }
}
const fn power(word: &'static str, exponent: i32) -> Unit {
    Unit { word, exponent, factor: 1.0, prefixed: false }
}
const fn times(word: &'static str, factor: f64) -> Unit {
    Unit { word, exponent: 0, factor, prefixed: false }
}

macro_rules! units {
    ($($name:ident, $noun:literal, $example:literal, [$($unit:expr),+], [$($step:expr),+] $(, $code:literal)?;)*) => {$(
        impl Quantity for $name {
            const NOUN: &'static str = $noun;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [Unit] = &[$($unit),+];
            const STEPS: Steps = &[$($step),+];
            $(const LETTER_CODE: bool = $code;)?
            fn from_si(value: f64) -> Self { Self(value) }
            fn si(self) -> f64 { self.0 }
        }
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
                if !self.0.is_finite() {
                    return Err(serde::ser::Error::custom(concat!($noun, " that is not finite")));
                }
                out.serialize_str(&self.to_exact_text())
            }
        }
        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = <std::borrow::Cow<'de, str>>::deserialize(from)?;
                Self::from_text(&text).map_err(serde::de::Error::custom)
            }
        }
    )*};
}

units! {
    Volts, "a voltage", "12 V", [si("V")], [(-6, "µV"), (-3, "mV"), (0, "V")];
    Amps, "a current", "500 mA", [si("A")], [(-6, "µA"), (-3, "mA"), (0, "A")];
    Watts, "a power", "10 W", [si("W")], [(-3, "mW"), (0, "W")];
    VoltAmps, "an apparent power", "50 VA", [si("VA")], [(0, "VA")];
    Ohms, "a resistance", "4.7 kΩ", [si("Ω"), si("ohm"), si("\u{2126}"), si("ohms")],
        [(-3, "mΩ"), (0, "Ω"), (3, "kΩ"), (6, "MΩ")], true;
    Farads, "a capacitance", "2200 uF", [si("F")], [(-12, "pF"), (-9, "nF"), (-6, "µF")];
    Henries, "an inductance", "10 mH", [si("H")], [(-9, "nH"), (-6, "µH"), (-3, "mH"), (0, "H")];
    Hertz, "a frequency", "50 Hz", [si("Hz")], [(0, "Hz"), (3, "kHz"), (6, "MHz")];
    Seconds, "a time", "20 ms", [si("s"), times("min", 60.0), times("h", 3600.0)],
        [(-9, "ns"), (-6, "µs"), (-3, "ms"), (0, "s")];
    Hours, "a life in hours", "20000 h", [plain("h"), power("kh", 3), times("days", 24.0), times("years", 8760.0)],
        [(0, "h")];
    Celsius, "a temperature", "45 °C", [plain("°C"), plain("degC"), plain("\u{2103}")], [(0, "°C")];
    Kelvins, "a temperature difference", "10 K", [plain("K")], [(0, "K")];
    KelvinsPerWatt, "a thermal resistance", "1.5 K/W", [plain("K/W"), plain("°C/W")], [(0, "K/W")];
    Joules, "an energy", "20 J", [si("J"), si("Ws")], [(-6, "µJ"), (-3, "mJ"), (0, "J")];
    AmpsSquaredSeconds, "an I²t", "12 A²s", [plain("A²s"), plain("A2s"), plain("A^2s")], [(0, "A²s")];
    Metres, "a length", "45 mm", [power("mm", -3), power("cm", -2), plain("m"), power("km", 3)],
        [(-3, "mm"), (1, "m")];
    CubicMetres, "a volume", "12 cm³",
        [power("cm³", -6), power("cm3", -6), power("mm³", -9), power("mm3", -9), power("l", -3), plain("m³"), plain("m3")],
        [(-9, "mm³"), (-6, "cm³")];
    Kilograms, "a mass", "250 g", [power("g", -3), plain("kg"), power("mg", -6)], [(-3, "g"), (0, "kg")];
    Ratio, "a percentage", "10 %", [power("%", -2), power("ppm", -6)], [(-2, "%")];
    Decibels, "a level in decibels", "60 dB", [plain("dB")], [(0, "dB")];
}

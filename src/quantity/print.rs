//! The one place where a quantity becomes text: engineering prefixes, a stated number of significant digits.
//!
//! Rounds the decimal value half to even on its exact binary expansion, as the standard library does.

use super::unit::Steps;

/// `significant` digits, at least 1: 12.0 V, 470 mA, 2200 µF. Zero prints as `0`.
pub(super) fn rounded(value: f64, significant: usize, steps: Steps) -> String {
    // Seventeen digits tell any two doubles apart; more would be noise.
    let digits = significant.clamp(1, 17) - 1;
    layout(&format!("{value:.digits$e}"), steps)
}

/// The shortest digits that read back as the same value.
pub(super) fn exact(value: f64, steps: Steps) -> String {
    layout(&format!("{value:e}"), steps)
}

/// Takes `-1.25e-3` apart and sets the point where the unit's step wants it.
fn layout(scientific: &str, steps: Steps) -> String {
    let base = steps.iter().find(|(power, _)| *power == 0).or(steps.first());
    let Some((mantissa, exponent)) = scientific.split_once('e') else {
        // NaN and infinity do not pass any check of a file; should one come here it is shown, not hidden.
        return join(scientific, base.map_or("", |(_, unit)| *unit));
    };
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let (sign, mantissa) = mantissa.strip_prefix('-').map_or(("", mantissa), |rest| ("-", rest));
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    if digits.bytes().all(|digit| digit == b'0') {
        return join("0", base.map_or("", |(_, unit)| *unit));
    }
    let step = steps.iter().rev().find(|(power, _)| *power <= exponent).or(steps.first());
    let (power, unit) = step.map_or((0, ""), |(power, unit)| (scale_of(*power), *unit));
    join(&format!("{sign}{}", point(&digits, exponent - power)), unit)
}

/// The power of ten a step divides by. Metres take over from millimetres only at 10 m; they divide by one.
fn scale_of(step: i32) -> i32 {
    if step == 1 { 0 } else { step }
}

/// Digits with the point behind the digit of weight 10^0 when the first digit weighs 10^`first`.
fn point(digits: &str, first: i32) -> String {
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let zeros = |n: i32| "0".repeat(usize::try_from(n).unwrap_or(0));
    if first < 0 {
        format!("0.{}{digits}", zeros(-first - 1))
    } else if count <= first + 1 {
        format!("{digits}{}", zeros(first + 1 - count))
    } else {
        let at = usize::try_from(first + 1).unwrap_or(0);
        let (whole, fraction) = digits.split_at_checked(at).unwrap_or((digits, ""));
        format!("{whole}.{fraction}")
    }
}

fn join(number: &str, unit: &str) -> String {
    if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::super::{
        Amps, Celsius, CubicMetres, Farads, Hours, Kilograms, Metres, Ohms, Quantity, Ratio, Volts,
    };

    /// Common practice, no source: reservoirs are marked in microfarads whatever their size.
    #[test]
    fn capacitances_stay_in_microfarads() {
        assert_eq!(Farads(2200e-6).to_text(3), "2200 µF");
        assert_eq!(Farads(0.047).to_text(3), "47000 µF");
        assert_eq!(Farads(100e-9).to_text(2), "100 nF");
    }

    #[test]
    fn significant_digits_are_kept() {
        assert_eq!(Volts(12.0).to_text(3), "12.0 V");
        assert_eq!(Volts(0.005).to_text(2), "5.0 mV");
        assert_eq!(Amps(0.4).to_text(3), "400 mA");
        assert_eq!(Ohms(4700.0).to_text(2), "4.7 kΩ");
        assert_eq!(Ratio(0.1).to_text(3), "10.0 %");
        assert_eq!(Celsius(-10.0).to_text(2), "-10 °C");
        assert_eq!(Celsius(0.0).to_text(2), "0 °C");
        assert_eq!(Celsius(0.25).to_text(2), "0.25 °C");
        assert_eq!(Hours(20_000.0).to_text(3), "20000 h");
        assert_eq!(Kilograms(0.25).to_text(3), "250 g");
        assert_eq!(CubicMetres(12e-6).to_text(3), "12.0 cm³");
        assert_eq!(Metres(0.045).to_text(3), "45.0 mm");
        assert_eq!(Metres(2000.0).to_text(3), "2000 m");
    }

    #[test]
    fn rounding_up_carries_into_the_next_step() {
        assert_eq!(Volts(0.9999).to_text(3), "1.00 V");
        assert_eq!(Amps(999.6e-6).to_text(3), "1.00 mA");
    }
}

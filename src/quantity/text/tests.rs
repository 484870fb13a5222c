use super::super::{
    Amps, AmpsSquaredSeconds, Celsius, CubicMetres, Farads, Henries, Hours, Kelvins, KelvinsPerWatt,
    Kilograms, Metres, Ohms, Ratio, Seconds, Volts,
};
use super::*;
use proptest::prelude::*;

fn hint<Q: Quantity>(text: &str) -> String {
    Q::from_text(text).expect_err(text).hint.unwrap_or_default()
}

#[test]
fn prefixed_text_equals_the_literal_to_the_last_bit() {
    assert_eq!(Farads::from_text("2200 uF"), Ok(Farads(2200e-6)));
    assert_eq!(Farads::from_text("2200 \u{b5}F"), Ok(Farads(2200e-6)));
    assert_eq!(Farads::from_text("2200\u{3bc}F"), Ok(Farads(2200e-6)));
    assert_eq!(Amps::from_text("500 mA"), Ok(Amps(0.5)));
    assert_eq!(Volts::from_text("5 mV"), Ok(Volts(5e-3)));
    assert_eq!(Henries::from_text("0.35 mH"), Ok(Henries(0.35e-3)));
    assert_eq!(Volts::from_text("1.2e1 V"), Ok(Volts(12.0)));
}

/// Source: IEC 60062:2016, marking codes for resistors, letter in place of the decimal point (from memory).
#[test]
fn the_letter_code_of_iec_60062_is_read() {
    for (text, ohms) in [
        ("4k7", 4700.0),
        ("4K7", 4700.0),
        ("4R7", 4.7),
        ("47R", 47.0),
        ("R47", 0.47),
        ("2M2", 2.2e6),
        ("100k", 100e3),
        ("4.7k", 4700.0),
        ("4.7 k", 4700.0),
        ("1k00", 1000.0),
    ] {
        assert_eq!(Ohms::from_text(text), Ok(Ohms(ohms)), "{text}");
    }
    assert!(Ohms::from_text("4k7k").is_err());
    assert!(Ohms::from_text("k").is_err());
    assert!(Ohms::from_text("4.7k7").is_err());
}

#[test]
fn ohm_signs_and_words_are_one_unit() {
    for text in ["1.5 kΩ", "1.5 k\u{2126}", "1.5 kohm", "1500 ohm", "1500Ω"] {
        assert_eq!(Ohms::from_text(text), Ok(Ohms(1500.0)), "{text}");
    }
}

#[test]
fn the_other_units_of_the_trade_are_read() {
    assert_eq!(Celsius::from_text("45 degC"), Ok(Celsius(45.0)));
    assert_eq!(Celsius::from_text("-10 °C"), Ok(Celsius(-10.0)));
    assert_eq!(Kelvins::from_text("10 K"), Ok(Kelvins(10.0)));
    assert_eq!(KelvinsPerWatt::from_text("1.5 K/W"), Ok(KelvinsPerWatt(1.5)));
    assert_eq!(Ratio::from_text("-20 %"), Ok(Ratio(-0.2)));
    assert_eq!(Hours::from_text("20000 h"), Ok(Hours(20_000.0)));
    assert_eq!(Seconds::from_text("2 min"), Ok(Seconds(120.0)));
    assert_eq!(AmpsSquaredSeconds::from_text("12 A2s"), Ok(AmpsSquaredSeconds(12.0)));
    assert_eq!(AmpsSquaredSeconds::from_text("12 A²s"), Ok(AmpsSquaredSeconds(12.0)));
    assert_eq!(Metres::from_text("45 mm"), Ok(Metres(0.045)));
    assert_eq!(Metres::from_text("2000 m"), Ok(Metres(2000.0)));
    assert_eq!(CubicMetres::from_text("12 cm³"), Ok(CubicMetres(12e-6)));
    assert_eq!(Kilograms::from_text("250 g"), Ok(Kilograms(0.25)));
}

#[test]
fn a_decimal_comma_is_refused_with_a_hint() {
    assert!(hint::<Volts>("1,5 V").contains("decimal point"));
    assert!(hint::<Farads>("2,200 uF").contains("decimal point"));
}

#[test]
fn a_missing_or_wrong_unit_is_refused_with_a_hint() {
    assert_eq!(hint::<Volts>("12"), "add the unit: `12 V`");
    assert_eq!(hint::<Volts>("12 v"), "write `12 V`");
    assert_eq!(hint::<Celsius>("45 C"), "write `45 °C`");
    assert_eq!(hint::<Volts>("12 A"), "the unit `A` does not measure a voltage; use `V`");
    assert_eq!(hint::<Volts>("20 000 V"), "write the number without gaps");
}

#[test]
fn numbers_that_cannot_be_held_are_refused() {
    for text in [
        "nan V",
        ".nan V",
        "inf V",
        "-inf V",
        "1e400 V",
        "1e-400 V",
        "1e99999999999 V",
        "V",
        "",
        "- V",
        "--5 V",
    ] {
        assert!(Volts::from_text(text).is_err(), "{text}");
    }
    assert!(hint::<Volts>("1e400 V").contains("too large"));
    assert!(hint::<Volts>("1e-400 V").contains("become zero"));
    assert_eq!(Volts::from_text("0 V"), Ok(Volts(0.0)));
    assert_eq!(Volts::from_text("-0 V").map(|zero| zero.0.is_sign_positive()), Ok(true));
}

proptest! {
    #[test]
    fn exact_text_reads_back_as_the_same_value(mantissa in -10.0f64..10.0, exponent in -12i32..12) {
        let value = mantissa * 10f64.powi(exponent);
        prop_assert_eq!(Volts::from_text(&Volts(value).to_exact_text()), Ok(Volts(value)));
        prop_assert_eq!(Farads::from_text(&Farads(value).to_exact_text()), Ok(Farads(value)));
        prop_assert_eq!(Ratio::from_text(&Ratio(value).to_exact_text()), Ok(Ratio(value)));
    }

    #[test]
    fn rounded_text_is_within_half_a_digit(value in 1e-6f64..1e6, digits in 2usize..9) {
        let back = Ohms::from_text(&Ohms(value).to_text(digits)).unwrap();
        prop_assert!((back.0 / value - 1.0).abs() <= 0.5000001 * 10f64.powi(1 - i32::try_from(digits).unwrap()));
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in ".*") {
        let _ = Ohms::from_text(&text);
        let _ = Volts::from_text(&text);
    }

    #[test]
    fn nearly_right_text_never_makes_it_panic(text in "[-+0-9.,eE ]{0,8}[ RkKMµuVΩ%°C]{0,4}[0-9]{0,3}") {
        if let Ok(ohms) = Ohms::from_text(&text) { prop_assert!(ohms.0.is_finite()); }
        let _ = Celsius::from_text(&text);
    }
}

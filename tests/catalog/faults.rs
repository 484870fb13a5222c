//! Catalog files with faults: all told at once, each at its place.

use railwright::document::Source;

/// Line, column and message of every fault.
fn faults(files: &[(&str, &str)]) -> Vec<(String, usize, usize, String)> {
    let sources: Vec<_> = files.iter().map(|(name, text)| Source::new(*name, *text)).collect();
    let Err(faults) = railwright::catalog::read(&sources) else { return Vec::new() };
    faults
        .iter()
        .map(|(source, fault)| {
            let (line, column) = source.line_column(fault.span.start);
            (source.name.clone(), line, column, fault.message.clone())
        })
        .collect()
}

const FUSES: &str = "\
family: fuse
currency: EUR
suppliers:
  Corvane: {pack: 1, minimum_order: 10, lead: 3 days}
series:
  - maker: Fenlow
    package: 5 x 20 glass
    lifecycle: active
    each: {temperature: -55..125 °C, system: IEC 60127-2 sheet 3, voltage: 250 V, rerating_per_kelvin: 0.2 %}
    rows:
      - {id: FL-1, rated: 1 A, breaking: 35 A, melting_i2t: 19.2 A²s, size: 20 x 5.2 x 5.2 mm, offers: {Corvane: {price: \"1: 0.20, 10: 0.10\", stock: 5}}}
      - {id: FL-2, rated: 2 A, breaking: 35 A, melting_i2t: 92.7 A²s, size: 20 x 5.2 x 5.2 mm}
";

#[test]
fn a_sound_file_has_no_fault_and_its_rows_inherit() {
    assert_eq!(faults(&[("fuses.yaml", FUSES)]), []);
    let catalog = railwright::catalog::read(&[Source::new("fuses.yaml", FUSES)]).unwrap();
    assert_eq!(catalog.fuses.len(), 2);
    let first = &catalog.fuses[0];
    assert_eq!((first.voltage.0, first.common.maker.as_str()), (250.0, "Fenlow"));
    let offer = &first.common.offers[0];
    assert_eq!((offer.minimum_order, offer.lead_days, offer.currency.as_str()), (10, 3, "EUR"));
    assert_eq!(catalog.digests.len(), 1);
}

/// Changes one piece of the sound file.
fn changed(from: &str, to: &str) -> Vec<(String, usize, usize, String)> {
    assert!(FUSES.contains(from), "{from}");
    faults(&[("fuses.yaml", &FUSES.replacen(from, to, 1))])
}

#[test]
fn a_misspelt_key_of_a_series_is_told_once_and_the_gap_at_each_row() {
    let found = changed("voltage: 250 V", "volage: 250 V");
    let messages: Vec<_> = found.iter().map(|(_, line, _, message)| (*line, message.as_str())).collect();
    assert_eq!(
        messages,
        [
            (9, "unknown key `volage`"),
            (11, "missing key `voltage` in `FL-1`"),
            (12, "missing key `voltage` in `FL-2`"),
        ]
    );
}

#[test]
fn a_fault_of_a_series_is_told_once_for_all_its_rows() {
    let found = changed("voltage: 250 V", "voltage: 250 A");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].1, found[0].3.as_str()), (9, "`voltage` is not a voltage"));
}

#[test]
fn each_kind_of_fault_is_refused_at_its_place() {
    let cases = [
        ("family: fuse", "family: fuze", "`family` is not a known word"),
        ("currency: EUR", "currency: eur", "`currency` is not a currency"),
        ("lead: 3 days", "lead: 3.5 h", "`lead` is no whole number of days"),
        ("pack: 1, ", "", "missing key `pack` in `Corvane`"),
        ("Corvane: {price", "Corvine: {price", "this supplier has no terms"),
        ("1: 0.20, 10: 0.10", "1: 0.20, 10: 0.30", "`price` does not list price breaks"),
        ("1: 0.20, 10: 0.10", "10: 0.20, 1: 0.10", "`price` does not list price breaks"),
        ("1: 0.20, 10: 0.10", "1: -0.20", "`price` does not list price breaks"),
        ("rated: 1 A", "rated: -1 A", "`rated` is out of range"),
        ("rated: 1 A", "rated: .nan", "`rated` is not a current"),
        ("rated: 1 A", "rated: 1 V", "`rated` is not a current"),
        ("rated: 1 A", "rated: [1 A]", "`rated` is a list"),
        ("rated: 1 A", "rated: ", "`rated` has no value"),
        ("rated: 1 A, ", "", "missing key `rated` in `FL-1`"),
        ("id: FL-1", "id: FL 1", "`id` is not a part number"),
        ("id: FL-1, ", "", "missing key `id` in this row"),
        ("id: FL-1", "id: FL-2", "part `FL-2` is listed twice"),
        ("-55..125 °C", "125..-55 °C", "`temperature` does not give two ends"),
        ("20 x 5.2 x 5.2 mm", "20 x 5.2 mm", "`size` does not give three sides"),
        ("20 x 5.2 x 5.2 mm", "20 x 5.2 x 0 mm", "`size` does not give three sides"),
        ("lifecycle: active", "lifecycle: last order 2027-13-01", "`lifecycle` is not known"),
        ("IEC 60127-2 sheet 3", "IEC 60127-2 sheet 4", "`system` is not a known word"),
        ("melting_i2t: 19.2", "colour: red, melting_i2t: 19.2", "unknown key `colour`"),
        ("stock: 5", "stock: 5.5", "`stock` is not a whole number"),
    ];
    for (from, to, message) in cases {
        let found = changed(from, to);
        assert!(found.iter().any(|(.., found)| found == message), "{to}: {found:?}");
        assert!(found.len() <= 2, "{to}: {found:?}");
    }
}

#[test]
fn all_faults_of_all_files_are_told_at_once() {
    let one = FUSES.replace("rated: 1 A", "rated: 1 V").replace("stock: 5", "stock: -5");
    let two = "family: pad\n";
    let found = faults(&[("one.yaml", &one), ("two.yaml", two)]);
    assert_eq!(found.iter().filter(|(name, ..)| name == "one.yaml").count(), 2, "{found:?}");
    assert_eq!(found.iter().filter(|(name, ..)| name == "two.yaml").count(), 3, "{found:?}");
}

#[test]
fn an_id_is_refused_a_second_time_in_another_family() {
    let pads = "\
family: pad
currency: EUR
suppliers: {}
series:
  - {maker: Wexcombe, package: pad, lifecycle: active, temperature: -50..180 °C, material: mica, id: FL-2, resistance: {TO-220: 1.1 K/W}, size: 20 x 15 x 0.1 mm}
";
    let found = faults(&[("fuses.yaml", FUSES), ("pads.yaml", pads)]);
    let before = pads.lines().nth(4).unwrap().split("FL-2").next().unwrap();
    let column = before.chars().count() + 1;
    assert_eq!(found, [("pads.yaml".to_owned(), 5, column, "part `FL-2` is listed twice".to_owned())]);
}

#[test]
fn rules_between_keys_are_checked() {
    let capacitors = "\
family: small-capacitor
currency: EUR
suppliers: {}
series:
  - maker: Marlow
    package: radial
    lifecycle: active
    each: {temperature: -40..105 °C, tolerance: 10 %, dielectric: film, rated: 63 V, size: 7 x 5 x 5 mm}
    rows:
      - {id: A, capacitance: 1 uF, esr_min: 2 ohm, esr_max: 1 ohm}
      - each: {capacitance: 2 uF}
        rows:
          - {id: B, esr_min: 1 ohm, esr_max: 1 ohm}
          - {id: C, capacitance: 3 uF, dielectric: ceramic}
      - rows: []
      - 7
";
    let found = faults(&[("small.yaml", capacitors)]);
    let messages: Vec<_> = found.iter().map(|(_, line, _, message)| (*line, message.as_str())).collect();
    assert_eq!(
        messages,
        [
            (10, "`esr_min` is above `esr_max` in `A`"),
            (15, "`rows` is empty"),
            (16, "item of `rows` is not a map"),
        ]
    );
}

/// Any text at all is an answer or a list of faults, never a panic.
mod random {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_edit_of_a_file_makes_reading_panic(at in 0usize..700, cut in 0usize..40, put in "[a-z0-9:{}\\[\\], .\"%°-]{0,12}") {
            let mut text: Vec<char> = FUSES.chars().collect();
            let start = at.min(text.len());
            let end = (start + cut).min(text.len());
            text.splice(start..end, put.chars());
            let source = Source::new("fuses.yaml", text.into_iter().collect::<String>());
            if let Err(faults) = railwright::catalog::read(&[source]) {
                prop_assert!(faults.iter().count() > 0);
                prop_assert!(!faults.render(false).is_empty());
            }
        }
    }
}

use super::*;
use crate::quantity::{Amps, Volts};
use proptest::prelude::*;

fn faults<T>(text: &str, build: impl FnOnce(Value<'_>) -> Option<T>) -> Vec<(usize, usize, Fault)> {
    let source = Source::new("test.yaml", text);
    match read(&source, build) {
        Ok(_) => Vec::new(),
        Err(faults) => faults
            .iter()
            .map(|(source, fault)| {
                let (line, column) = source.line_column(fault.span.start);
                (line, column, fault.clone())
            })
            .collect(),
    }
}

fn only(text: &str) -> (usize, usize, Fault) {
    let mut all = faults(text, |_| Some(()));
    assert_eq!(all.len(), 1, "{all:?}");
    all.remove(0)
}

fn rail(value: Value<'_>) -> Option<(String, Volts, Option<Amps>)> {
    let mut map = value.fields()?;
    let name = map.required("name", Value::text);
    let voltage = map.required("voltage", |v| v.quantity(Volts(0.5)..=Volts(400.0)));
    let current = map.optional("current", |v| v.quantity(Amps(0.0)..=Amps(100.0)));
    map.finish();
    Some((name?, voltage?, current))
}

#[test]
fn yaml_and_json_read_alike() {
    let wanted = ("logic".to_owned(), Volts(5.0), Some(Amps(0.5)));
    for text in [
        "name: logic\nvoltage: 5 V # volts\ncurrent: '500 mA'\n",
        "{\"name\": \"logic\", \"voltage\": \"5 V\", \"current\": \"500 mA\"}",
        "---\nname: >-\n  logic\nvoltage: 5 V\ncurrent: 500 mA\n...\n",
        "\u{feff}name: logic\r\nvoltage: 5 V\r\ncurrent: 500 mA\r\n",
    ] {
        assert_eq!(read(&Source::new("rail", text), rail).unwrap(), wanted, "{text}");
    }
}

#[test]
fn all_faults_of_a_map_are_found_at_once() {
    let found = faults("naem: logic\nvoltage: 5 A\ncurrent: 200 A\n", rail);
    let places: Vec<_> =
        found.iter().map(|(line, column, fault)| (*line, *column, fault.message.as_str())).collect();
    assert_eq!(
        places,
        [
            (1, 1, "unknown key `naem`"),
            (2, 10, "`voltage` is not a voltage"),
            (3, 10, "`current` is out of range"),
        ]
    );
    assert_eq!(found[0].2.hint.as_deref(), Some("did you mean `name`?"));
    assert_eq!(found[2].2.allowed.as_deref(), Some("0 A to 100 A"));
}

#[test]
fn what_is_missing_is_reported_though_reading_ends_early() {
    let found = faults("voltage: 5 V\n", |value| {
        let mut map = value.fields()?;
        let name = map.required("name", Value::text)?;
        map.finish();
        Some(name)
    });
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].0, found[0].1, found[0].2.message.as_str()), (1, 1, "missing key `name`"));
}

#[test]
fn a_name_of_wide_spaces_is_no_name() {
    let found = faults("name: '\u{3000}\u{a0}'\nvoltage: 5 V\n", rail);
    assert_eq!(found[0].2.message, "`name` has no value");
}

#[test]
fn columns_count_characters_after_micro_and_degree_signs() {
    let (line, column, fault) = only("µ°Ω: {ä: 1, ä: 2}\n");
    assert_eq!((line, column, fault.message.as_str()), (1, 13, "duplicate key `ä`"));
}

#[test]
fn what_no_file_of_ours_holds_is_refused() {
    assert_eq!(only("a: &x 1\nb: 2\n").2.message, "an anchor (`&name`) stands before this value");
    assert!(only("a: *x\n").2.message.contains("alias") || only("a: *x\n").2.message.contains("YAML"));
    assert_eq!(only("a: !!str 1\n").2.message, "a tag (`!name`) stands before this value");
    assert_eq!(only("a: 1\n---\nb: 2\n").2.message, "a second document begins here");
    assert_eq!(only("").2.message, "this file is empty");
    assert_eq!(only("# nothing\n").2.message, "this file is empty");
    assert_eq!(only("? [a]\n: 1\n").2.message, "a key is a list or a map");
    for count in [49, 300, 200_000] {
        assert_eq!(only(&"[".repeat(count)).2.message, "this is nested too deeply");
        assert_eq!(only(&format!("a:\n {}", "- ".repeat(count))).2.message, "this is nested too deeply");
    }
    assert!(only("a:\n\tb: 1\n").2.hint.unwrap().contains("tab"));
    assert!(only("a: [1, 2\nb: 3\n").2.message.starts_with("this is not valid YAML"));
}

#[test]
fn a_map_of_many_keys_is_searched_for_duplicates_too() {
    let keys: Vec<String> = (0..100).map(|n| format!("k{n}: 1")).collect();
    let text = keys.join("\n") + "\nk7: 2\n";
    let (line, _, fault) = only(&text);
    assert_eq!((line, fault.message.as_str()), (101, "duplicate key `k7`"));
}

#[test]
fn bytes_that_are_no_text_are_placed() {
    let error = Source::from_bytes("x.yaml", b"a: 1\nb: \xff\n".to_vec()).unwrap_err();
    let (source, fault) = error.iter().next().unwrap();
    assert_eq!(source.line_column(fault.span.start), (2, 4));
    assert_eq!(fault.found.as_deref(), Some("byte 0xFF at offset 8"));
}

#[test]
fn a_rendering_shows_file_line_found_allowed_and_hint() {
    let source = Source::new("rail.yaml", "name: logic\nvoltage: 5\n");
    let error = read(&source, rail).unwrap_err();
    insta::assert_snapshot!(error.render(false), @r"
    error: `voltage` is not a voltage
     --> rail.yaml:2:10
      |
    2 | voltage: 5
      |          ^ found `5`
      |
      = allowed: a voltage such as `12 V`, 500 mV to 400 V
      = hint: add the unit: `5 V`

    1 fault found
    ");
}

#[test]
fn hostile_text_is_neutralised_in_a_rendering() {
    let source = Source::new("\u{1b}[2Jx.yaml", "name: \"a\u{9b}1mb\"\nvolt\u{202e}age: 5\n");
    let text = read(&source, rail).unwrap_err().render(false);
    assert!(!text.chars().any(|c| c != '\n' && neutral::is_hostile(c)), "{text:?}");
}

#[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    voltage: Volts,
    lines: Vec<u32>,
}

#[test]
fn what_is_written_reads_back() {
    let kept = Kept { voltage: Volts(0.1 + 0.2), lines: vec![1, 2] };
    let text = to_yaml(&kept).unwrap();
    assert_eq!(text, "voltage: 300.00000000000004 mV\nlines:\n- 1\n- 2\n");
    assert_eq!(from_yaml::<Kept>(&Source::new("kept.yaml", text)).unwrap(), kept);
    assert!(to_yaml(&Kept { voltage: Volts(f64::NAN), lines: vec![] }).is_err());
}

#[test]
fn a_fault_in_a_kept_file_is_placed() {
    let source = Source::new("kept.yaml", "voltage: 5 V\nlines:\n- 1\n- two\n");
    let error = from_yaml::<Kept>(&source).unwrap_err();
    let (source, fault) = error.iter().next().unwrap();
    assert_eq!(source.line_column(fault.span.start), (4, 3));
    assert_eq!(fault.found.as_deref(), Some("`two`"));
}

#[test]
fn an_unknown_key_in_a_kept_file_is_placed() {
    let source = Source::new("kept.yaml", "voltage: 5 V\nlines: []\nbogus: 1\n");
    let error = from_yaml::<Kept>(&source).unwrap_err();
    let (source, fault) = error.iter().next().unwrap();
    assert_eq!(source.line_column(fault.span.start), (3, 1), "{error}");
}

#[test]
fn a_quantity_in_a_kept_file_is_checked_and_placed() {
    let source = Source::new("kept.yaml", "voltage: 5 A\nlines: []\n");
    let error = from_yaml::<Kept>(&source).unwrap_err();
    insta::assert_snapshot!(error.render(false), @r"
    error: `voltage` cannot be read
     --> kept.yaml:1:10
      |
    1 | voltage: 5 A
      |          ^^^ found `5 A`
      |
      = allowed: a voltage such as `12 V`
      = hint: the unit `A` does not measure a voltage; use `V`

    1 fault found
    ");
}

#[test]
fn a_file_that_cannot_be_opened_is_named() {
    let faults = Faults::of_file(
        "designs/x/requirements.yaml",
        "the file cannot be read: no such file",
        "a readable file",
    );
    insta::assert_snapshot!(faults.render(false), @r"
    error: the file cannot be read: no such file
    --> designs/x/requirements.yaml
     = allowed: a readable file

    1 fault found
    ");
}

#[test]
fn a_long_line_is_cut_around_the_place() {
    let filler = "x".repeat(3000);
    let text = format!("{{name: {filler}, voltage: 5 A, current: {filler}}}");
    let source = Source::new("rail.yaml", text);
    let rendered = read(&source, rail).unwrap_err().render(false);
    assert!(rendered.lines().all(|line| line.chars().count() < 200), "{rendered}");
    assert!(rendered.contains("5 A") && rendered.contains("rail.yaml:1:3019"), "{rendered}");
}

proptest! {
    #[test]
    fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let Ok(source) = Source::from_bytes("x", bytes) else { return Ok(()) };
        if let Err(faults) = read(&source, rail) { faults.render(true); }
    }

    #[test]
    fn no_structure_makes_the_reader_panic(text in "[-a-c:,{}\\[\\]'\"|>&*!#?%@` \n\r\tµ\u{1b}~.0-2]{0,60}") {
        let source = Source::new("x", text);
        if let Err(faults) = read(&source, rail) { faults.render(false); }
        let _ = from_yaml::<Kept>(&source);
    }

    #[test]
    fn a_mutated_file_never_makes_the_reader_panic(at in 0usize..80, byte in any::<u8>(), cut in 0usize..80) {
        let mut bytes = "name: logic\nvoltage: 5 V\ncurrent: [{a: 'x'}, \"y\", 2 µA]\nnote: |\n  two\n  lines\n".as_bytes().to_vec();
        if let Some(place) = bytes.get_mut(at) { *place = byte; }
        bytes.truncate(bytes.len().saturating_sub(cut / 4));
        let Ok(source) = Source::from_bytes("x", bytes) else { return Ok(()) };
        if let Err(faults) = read(&source, rail) { faults.render(false); }
    }
}

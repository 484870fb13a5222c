//! A second winding that is unlike the first: each fault at its place with what is allowed and a hint, in files and in sheets.

use railwright::{
    catalog::import::{import, mapping},
    document::Source,
};

const ROW: &str = "{rated: 12 V, current: 750 mA, regulation: 19.6 %, resistance: 1.626 ohm}";

/// The shipped file up to its first row.
fn shipped() -> String {
    let text = include_str!("../../catalogs/demo/transformers-unlike.yaml");
    let end = text.find("          - {id: TV18-9-15").expect("the second row");
    text[..end].to_owned()
}

/// Line and column of the winding, from 1.
fn place() -> (usize, usize) {
    let text = shipped();
    let at = text.find(ROW).expect("the row");
    let line = text[..at].lines().count();
    (line, text[..at].lines().last().expect("a line").chars().count() + 1)
}

/// What is said of the file with another second winding, once.
fn told(winding: &str) -> String {
    let text = shipped().replacen(ROW, winding, 1);
    let faults = railwright::catalog::read(&[Source::new("unlike.yaml", text)]).expect_err("a fault");
    assert_eq!(faults.iter().count(), 1, "{winding}");
    faults.render(false)
}

#[test]
fn the_shipped_winding_is_read_as_it_stands() {
    let catalog = railwright::catalog::read(&[Source::new("unlike.yaml", shipped())]).expect("sound");
    let [first, second] = catalog.transformers[0].secondaries[..] else { panic!("two windings") };
    assert_eq!((first.rated.0, second.rated.0, second.current.0), (9.0, 12.0, 0.75));
    assert_eq!(second.resistance_hot.map(|ohms| ohms.0), Some(1.626));
    assert_eq!(second.tolerance, first.tolerance, "stated once for both");
}

#[test]
fn each_fault_of_a_second_winding_is_told_with_place_found_allowed_and_hint() {
    let keys = "`rated`, `current`, `regulation`, `resistance`, `leakage`";
    let (line, start) = place();
    for (from, to, message, offset, found, allowed, hint) in [
        ("rated: 12", "rtaed: 12", "unknown key `rtaed`", 1, "`rtaed`", keys, "did you mean `rated`?"),
        ("12 V", "12 A", "`rated` is not a voltage", 8, "`12 A`", "500 mV to 1000 V", "use `V`"),
        ("750 mA", "750 mV", "`current` is not a current", 23, "`750 mV`", "1 mA to 1000 A", "use `A`"),
        (
            "19.6 %",
            "19.6 K",
            "`regulation` is not a percentage",
            43,
            "`19.6 K`",
            "0.1 % to 200 %",
            "`K` does not measure a percentage",
        ),
        ("1.626 ohm", "1.626 H", "`resistance` is not a resistance", 63, "`1.626 H`", "1 MΩ", "use `Ω`"),
        (
            "current: 750 mA, ",
            "",
            "missing key `current` in `second_winding`",
            1,
            "no `current`",
            "`current`",
            "add `current: ...`",
        ),
        ("12 V", "0 V", "`rated` is out of range", 8, "`0 V`", "500 mV to 1000 V", ""),
        ("12 V", "-12 V", "`rated` is out of range", 8, "`-12 V`", "500 mV to 1000 V", "look at the sign"),
        (
            "750 mA",
            "-750 mA",
            "`current` is out of range",
            23,
            "`-750 mA`",
            "1 mA to 1000 A",
            "look at the sign",
        ),
        ("750 mA", "750 kA", "`current` is out of range", 23, "`750 kA`", "1 mA to 1000 A", ""),
        ("19.6 %", "0 %", "`regulation` is out of range", 43, "`0 %`", "0.1 % to 200 %", ""),
        ("1.626 ohm", "0 ohm", "`resistance` is out of range", 63, "`0 ohm`", "1 MΩ", ""),
        (
            "12 V",
            "nan V",
            "`rated` is not a voltage",
            8,
            "`nan V`",
            "500 mV to 1000 V",
            "a finite number is needed",
        ),
    ] {
        assert!(ROW.contains(from), "{from}");
        let said = told(&ROW.replacen(from, to, 1));
        assert!(said.contains(&format!("error: {message}\n")), "{message}: {said}");
        assert!(said.contains(&format!("unlike.yaml:{line}:{}\n", start + offset)), "{to}: {said}");
        let allows = said.lines().any(|text| text.contains("= allowed: ") && text.contains(allowed));
        let hints =
            hint.is_empty() || said.lines().any(|text| text.contains("= hint: ") && text.contains(hint));
        assert!(said.contains(&format!("found {found}")) && allows && hints, "{to}: {said}");
    }
    for (winding, found) in [("15 V", "found `15 V`"), ("[12 V]", "found a list"), ("", "found nothing")] {
        let said = told(winding);
        assert!(said.contains("`second_winding` is not a map") && said.contains(found), "{winding}: {said}");
    }
    let said = told(&ROW.replacen("rated: 12 V", "rated: 12 V, rated: 13 V", 1));
    assert!(said.contains("duplicate key `rated`") && said.contains("first here"), "{said}");
}

#[test]
fn a_second_winding_beside_a_single_one_is_refused() {
    let text = shipped().replacen("windings: 2", "windings: 1", 1);
    let faults = railwright::catalog::read(&[Source::new("unlike.yaml", text)]).expect_err("a fault");
    let said = faults.render(false);
    assert!(said.contains("a second winding is stated") && said.contains("`windings: 2`"), "{said}");
}

/// A third winding stands only beside a second, and is named by its own key.
#[test]
fn a_third_winding_is_read_and_refused_like_a_second() {
    let text = include_str!("../../catalogs/demo/transformers-three.yaml");
    let catalog = railwright::catalog::read(&[Source::new("three.yaml", text)]).expect("sound");
    let part = catalog.transformers.iter().find(|part| part.common.id.0 == "TW45-2X15-9").expect("shipped");
    let rated: Vec<f64> = part.secondaries.iter().map(|one| one.rated.0).collect();
    assert_eq!(rated, [15.0, 15.0, 9.0]);
    assert_eq!(part.secondaries[0], part.secondaries[1]);
    let said = |text: String| {
        let faults = railwright::catalog::read(&[Source::new("three.yaml", text)]).expect_err("a fault");
        faults.render(false)
    };
    let two = said(text.replacen("windings: 3", "windings: 2", 1));
    assert!(two.contains("a third winding is stated") && two.contains("found `windings: 2`"), "{two}");
    assert!(two.contains("`windings: 3` wherever `third_winding` stands"), "{two}");
    let misspelt = said(text.replacen("third_winding: {rated", "third_winding: {rates", 1));
    assert!(
        misspelt.contains("in `third_winding`") || misspelt.contains("unknown key `rates`"),
        "{misspelt}"
    );
}

const MAPPING: &str = include_str!("../fixtures/sheets/transformers-mapping.yaml");
const SHEET: &str = include_str!("../fixtures/sheets/transformers.csv");

fn read(sheet: &str) -> railwright::catalog::import::Import {
    let mapping = mapping(&Source::new("mapping.yaml", MAPPING)).expect("a sound mapping");
    import(&mapping, "transformers.csv", sheet)
}

/// Columns under keys joined by a dot are the second winding; a row without them has two alike.
#[test]
fn a_sheet_states_a_second_winding_in_columns_of_its_own() {
    let found = read(SHEET);
    assert_eq!(found.faults, []);
    let catalog =
        railwright::catalog::read(&[Source::new("transformers.yaml", found.yaml)]).expect("a catalog");
    let volts = |at: usize| -> Vec<f64> {
        catalog.transformers[at].secondaries.iter().map(|winding| winding.rated.0).collect()
    };
    assert_eq!((volts(0), volts(1)), (vec![12.0, 12.0], vec![9.0, 15.0]));
    let second = catalog.transformers[1].secondaries[1];
    assert_eq!((second.current.0, second.regulation.0, second.tolerance.0), (0.96, 0.158, 0.03));
}

#[test]
fn a_fault_of_a_second_winding_in_a_sheet_is_told_by_row_and_column() {
    for (from, to, column, word) in [
        (";15;0,96;", ";15 A;0,96;", "V2", "not a voltage"),
        (";15;0,96;", ";-15;0,96;", "V2", "out of range"),
        (";15;0,96;", ";15;much;", "I2", "not a current"),
        (";15;0,96;", ";15;;", "", "missing key `current`"),
    ] {
        assert!(SHEET.contains(from), "{from}");
        let found = read(&SHEET.replacen(from, to, 1));
        let fault = found.faults.iter().find(|fault| fault.message.contains(word));
        let fault = fault.unwrap_or_else(|| panic!("{to}: {:?}", found.faults));
        assert_eq!((fault.line, fault.column.as_str()), (2, column), "{to}: {:?}", found.faults);
    }
    let other = MAPPING.replace("second_winding.rated", "second_winding.volts");
    let other = mapping(&Source::new("mapping.yaml", other)).expect("a mapping");
    let found = import(&other, "transformers.csv", SHEET);
    assert!(
        found.faults.iter().any(|fault| fault.message.contains("unknown key `volts`")),
        "{:?}",
        found.faults
    );
}

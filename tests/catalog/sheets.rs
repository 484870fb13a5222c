//! Sheets read into catalogs, catalogs checked and searched, from the command line.

use assert_cmd::Command;
use railwright::{
    catalog::import::{Import, import, mapping},
    document::Source,
};

const MAPPING: &str = include_str!("../fixtures/sheets/fuses-mapping.yaml");

fn read(sheet: &str) -> Import {
    let mapping = mapping(&Source::new("mapping.yaml", MAPPING)).expect("a sound mapping");
    import(&mapping, "fuses.csv", sheet)
}

fn run(arguments: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("railwright").expect("built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").arg("catalog");
    let output = command.args(arguments).output().expect("run");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

#[test]
fn a_sound_sheet_becomes_a_catalog_file_that_reads_the_same() {
    let found = read(include_str!("../fixtures/sheets/fuses.csv"));
    assert_eq!(found.faults, []);
    let catalog = railwright::catalog::read(&[Source::new("fuses.yaml", found.yaml)]).expect("a catalog");
    let fuse = &catalog.fuses[0];
    assert_eq!((fuse.common.id.0.as_str(), fuse.rated.0, fuse.melting_i2t.0), ("ZQ-T1", 1.0, 19.0));
    let offer = &fuse.common.offers[0];
    let breaks: Vec<_> = offer.breaks.iter().map(|step| (step.from, step.each.to_string())).collect();
    assert_eq!(breaks, [(1, "0.12".to_owned()), (100, "0.10".to_owned())]);
    assert_eq!((offer.stock, offer.lead_days), (500, 3));
}

#[test]
fn every_fault_of_a_sheet_is_told_by_row_and_column() {
    let found = read(include_str!("../fixtures/sheets/fuses-with-faults.csv"));
    let places: Vec<(usize, &str)> =
        found.faults.iter().map(|fault| (fault.line, fault.column.as_str())).collect();
    for wanted in [(2, "I rated"), (3, "1+"), (3, "Part"), (4, ""), (4, "1+, 100+"), (4, "Stock"), (5, "")] {
        assert!(places.contains(&wanted), "{wanted:?} is not among {:?}", found.faults);
    }
}

#[test]
fn a_column_that_the_sheet_lacks_is_named_with_the_nearest() {
    let found = read("Part;Manufacturer;I-rated;I2t;1+;100+;Stock\nZQ-T1;Zellan;1;19;0,12;0,10;500\n");
    let fault = found.faults.iter().find(|fault| fault.column == "I rated").expect("told");
    assert!(fault.line == 1 && fault.message.contains("`I-rated`"), "{fault:?}");
}

#[test]
fn a_sheet_with_another_separator_is_told_in_one_line() {
    let found = read("Part,Manufacturer,I rated,I2t,1+,100+,Stock\nZQ-T1,Zellan,1,19,0.12,0.10,500\n");
    assert_eq!(found.faults.len(), 1, "{:?}", found.faults);
    assert!(found.faults[0].message.contains("separated by `,`, the mapping says `;`"));
    let none = read("Part;Manufacturer;I rated;I2t;1+;100+;Stock\n");
    assert!(none.faults.len() == 1 && none.faults[0].message.contains("no rows"), "{:?}", none.faults);
}

#[test]
fn a_part_in_two_rows_is_told_with_both_beside_every_other_fault() {
    let found = read(
        "Part;Manufacturer;I rated;I2t;1+;100+;Stock\nZQ-T1;Zellan;1;19;0,12;;1.500\nZQ-T1;Zellan;1;19;0,12;;5\n\
         ZQ-T3;Zellan;3 V;93;0,12;;5\n",
    );
    let told: Vec<(usize, &str)> =
        found.faults.iter().map(|fault| (fault.line, fault.column.as_str())).collect();
    assert_eq!(told, [(3, "Part"), (4, "I rated")], "{:?}", found.faults);
    assert!(found.faults[0].message.contains("row 2 already"));
}

/// Source: IEC 60127-2, gates at ten times rated current, as the catalog's own checks state them: a melting time of 2.5 ms at
/// ten times 2 A is below the least.
#[test]
fn ratings_that_do_not_agree_are_told_with_their_row() {
    let found = read(
        "Part;Manufacturer;I rated;I2t;1+;100+;Stock\nZQ-T1;Zellan;1;19;0,12;0,10;500\nZQ-T2;Zellan;2;1;0,12;;20\n",
    );
    assert!(!found.faults.is_empty());
    assert!(
        found.faults.iter().any(|fault| fault.line == 3 && fault.message.contains("`ZQ-T2`")),
        "{:?}",
        found.faults
    );
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("fuses.yaml"), &found.yaml).expect("written");
    let (code, out, _) = run(&["check", &folder.path().to_string_lossy()]);
    assert_eq!(code, Some(1));
    assert!(out.contains("ZQ-T2"), "{out}");
}

#[test]
fn nothing_is_written_without_being_asked_nor_with_faults() {
    let folder = tempfile::tempdir().expect("a folder");
    let target = folder.path().join("fuses.yaml");
    let path = target.to_string_lossy().into_owned();
    let mapping = "tests/fixtures/sheets/fuses-mapping.yaml";
    let (code, ..) = run(&["import", "tests/fixtures/sheets/fuses.csv", "--mapping", mapping]);
    assert!(code == Some(0) && !target.exists());
    let faulty = "tests/fixtures/sheets/fuses-with-faults.csv";
    let (code, ..) = run(&["import", faulty, "--mapping", mapping, "--write", &path]);
    assert!(code == Some(1) && !target.exists());
    let (code, ..) =
        run(&["import", "tests/fixtures/sheets/fuses.csv", "--mapping", mapping, "--write", &path]);
    assert!(code == Some(0) && target.exists());
    assert_eq!(run(&["check", &folder.path().to_string_lossy()]).0, Some(0));
}

#[test]
fn the_demo_catalog_is_clean_and_its_parts_are_found_by_ratings_with_units() {
    assert_eq!(run(&["check"]).0, Some(0));
    let conditions = "rated >= 63 V, capacitance >= 22 mF";
    let (code, out, _) = run(&["list", "--family", "electrolytic", "--where", conditions]);
    assert_eq!(code, Some(0));
    assert!(out.contains("MX63-22000") && !out.contains("MX50-33000"), "{out}");
    assert_eq!(run(&["list", "--family", "electrolytic", "--where", "rated >= 9 kV"]).0, Some(1));
    let (code, _, err) = run(&["list", "--family", "electrolytic", "--where", "rated >= 9 A"]);
    assert!(code == Some(2) && err.contains("does not compare"), "{err}");
    assert_eq!(run(&["list", "--family", "electrolytics"]).0, Some(2));
    assert_eq!(run(&["check", "no/such/folder"]).0, Some(2));
}

//! Commands of the purchaser and of whoever keeps a catalog, asked wrongly: exit code 2, the fault named, nothing answered.

use std::fs;

use assert_cmd::Command;

const RECORD: &str = "designs/workshop-12v/record.yaml";

fn run(arguments: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("railwright").expect("built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(arguments);
    let output = command.output().expect("runs");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// Exit code 2, nothing on standard output, each word on standard error.
fn refused(arguments: &[&str], words: &[&str]) {
    let (code, out, err) = run(arguments);
    assert!(code == Some(2) && out.is_empty(), "{arguments:?}: {code:?}, {out}{err}");
    for word in words {
        assert!(err.contains(word), "{arguments:?}: `{word}` is not in {err}");
    }
    assert!(!err.contains("panicked"), "{err}");
}

/// A file with some text in a folder of its own.
fn file(name: &str, text: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    fs::write(&path, text).expect("written");
    let path = path.display().to_string();
    (folder, path)
}

#[test]
fn ratings_and_substitutes_name_what_is_wrong_with_their_input() {
    refused(&["ratings", "no/such/record.yaml"], &["no/such/record.yaml", "cannot be read"]);
    let (_folder, list) = file("record.yaml", "- 1\n- 2\n");
    refused(&["ratings", &list], &["record.yaml"]);
    let (_folder, empty) = file("record.yaml", "");
    refused(
        &["ratings", &empty, "--requirements", "designs/workshop-12v/requirements.yaml"],
        &["record.yaml"],
    );
    refused(&["ratings", RECORD, "--format", "xml"], &["xml", "csv"]);
    refused(&["ratings", RECORD, "--on", "yesterday"], &["2027-06-30"]);
    let place = |name| ["substitute", RECORD, "--position", name];
    refused(&place("C99"), &["C99", "reservoir (C1 C2 C3 C4)"]);
    refused(&place(""), &["the record has no"]);
    refused(&place("reservoir:other"), &["reservoir:other"]);
    refused(
        &["substitute", "designs/modular-rack/record.yaml", "--position", "reservoir"],
        &["several rails"],
    );
    refused(&["substitute", RECORD], &["--position"]);
    refused(&["substitute", RECORD, "--position", "C1", "--most", "few"], &["few"]);
    let quoted = |path| ["substitute", RECORD, "--position", "C1", "--quoted", path];
    refused(&quoted("no/such.yaml"), &["no/such.yaml"]);
    refused(&quoted("catalogs/demo/fuses.yaml"), &["stands in the catalog already"]);
    let (_folder, faulty) = file("quoted.yaml", "family: electrolytic\nseries: 7\n");
    refused(&quoted(&faulty), &["quoted.yaml", "series"]);
}

/// A part that no catalog has is an answer, not a fault of the question.
#[test]
fn a_part_that_no_catalog_has_is_answered_with_1() {
    let (code, out, err) = run(&["substitute", RECORD, "--position", "C1", "--part", "NOPE-1"]);
    assert!(code == Some(1) && err.is_empty(), "{err}");
    assert!(out.contains("the catalog has no `NOPE-1`") && !out.contains("0.00 EUR"), "{out}");
}

#[test]
fn an_order_names_what_is_wrong_with_its_input() {
    let order = |more: &[&'static str]| [&["order", RECORD][..], more].concat();
    refused(&["order"], &["RECORD"]);
    refused(&["order", &format!("{RECORD}:0")], &["`0`", "1 to 1000000"]);
    refused(&["order", &format!("{RECORD}:99999999999")], &["99999999999"]);
    refused(&["order", &format!("{RECORD}:many")], &["many"]);
    refused(&order(&["--budget=-5"]), &["not negative"]);
    refused(&order(&["--budget", "cheap"]), &["cheap"]);
    refused(&order(&["--deadline", "soon"]), &["soon"]);
    refused(&order(&["--by", "soon"]), &["2027-06-30"]);
    refused(&order(&["--by", "2027-06-30", "--on", "2027-07-01"]), &["lies before"]);
    refused(&order(&["--by", "2027-06-30", "--deadline", "9"]), &["--deadline"]);
    refused(&order(&["--currency", "euro"]), &["euro", "EUR"]);
    refused(&order(&["--spare", "all=5000"]), &["all=5000"]);
    refused(&order(&["--spare", "fuse=1", "--spare", "fuse=2"]), &["one percentage a family"]);
    refused(&order(&["--spare", "fuses=10"]), &["fuses=10", "electrolytic"]);
    for (text, word) in [
        ("currency: EUR\nsuppliers: {Corvane: {order_charge: -1}}\n", "order_charge"),
        ("currency: EUR\nsuppliers: {Corvane: {below_minimum: asked}}\n", "below_minimum"),
        ("currency: EUR\nsuppliers: {Corvane: {order_charges: 1}}\n", "did you mean `order_charge`"),
        ("suppliers: {}\n", "currency"),
        ("currency: USD\nsuppliers: {}\n", "no rate of exchange"),
    ] {
        let (_folder, terms) = file("terms.yaml", text);
        refused(&["order", RECORD, "--terms", &terms], &[word]);
    }
}

#[test]
fn what_a_catalog_command_cannot_read_is_named() {
    refused(&["catalog", "check", "no/such/folder"], &["no/such/folder"]);
    let (folder, _) = file("readme.txt", "no catalog");
    refused(&["catalog", "check", &folder.path().display().to_string()], &["holds no catalog file"]);
    let (folder, _) = file("fuses.yaml", "family: fuse\nseries:\n  - maker: [1\n");
    refused(&["catalog", "check", &folder.path().display().to_string()], &["fuses.yaml"]);
    refused(&["catalog", "list"], &["--family"]);
    refused(&["catalog", "list", "--family", "fuze"], &["did you mean `fuse`"]);
    let list = |conditions| ["catalog", "list", "--family", "fuse", "--where", conditions];
    for (conditions, word) in
        [("rated >", "rated"), ("rated >= 1 V", "does not compare"), (">= 1 A", ">= 1 A")]
    {
        refused(&list(conditions), &[word]);
    }
    refused(&list("ratd >= 1 A"), &["ratd", "rated"]);
    refused(&["catalog", "import", "tests/fixtures/sheets/fuses.csv"], &["--mapping"]);
    let mapping = "tests/fixtures/sheets/fuses-mapping.yaml";
    refused(&["catalog", "import", "no/such.csv", "--mapping", mapping], &["no/such.csv"]);
    let (_folder, faulty) = file("mapping.yaml", "family: fuze\ncolumns: 3\n");
    let import = |mapping, more: &[&'static str]| {
        let arguments = vec!["catalog", "import", "tests/fixtures/sheets/fuses.csv", "--mapping", mapping];
        [arguments, more.to_vec()].concat()
    };
    refused(&import(&faulty, &[]), &["mapping.yaml"]);
    refused(&import(mapping, &["--replace"]), &["--write"]);
}

#[test]
fn a_catalog_file_that_is_there_is_not_replaced_unasked() {
    let (_folder, target) = file("fuses.yaml", "mine\n");
    let mapping = "tests/fixtures/sheets/fuses-mapping.yaml";
    let import =
        ["catalog", "import", "tests/fixtures/sheets/fuses.csv", "--mapping", mapping, "--write", &target];
    refused(&import, &["is there already", "--replace"]);
    assert_eq!(fs::read_to_string(&target).expect("there"), "mine\n");
    assert_eq!(run(&[&import[..], &["--replace"]].concat()).0, Some(0));
    assert!(fs::read_to_string(&target).expect("there").contains("ZQ-T1"));
}

#[test]
fn a_sheet_that_is_not_utf_8_is_refused_with_its_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("latin.csv");
    fs::write(&path, b"Part;Manufacturer\nA;M\xfcller\n").expect("written");
    let mapping = "tests/fixtures/sheets/fuses-mapping.yaml";
    refused(
        &["catalog", "import", &path.display().to_string(), "--mapping", mapping],
        &["latin.csv", "UTF-8"],
    );
}

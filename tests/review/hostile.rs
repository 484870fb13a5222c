//! Broken files and impossible wishes for every command of the reviewer and the purchaser: no panic, the exit code that the
//! question deserves, the fault named where it is.

use std::{fs, path::Path};

use assert_cmd::Command;
use railwright::document::to_yaml;

use super::bench::{REQUIREMENTS, sound};

/// Exit code, standard output and standard error of a command in which `HERE` is the folder.
fn run(here: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("railwright").expect("built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1");
    for argument in arguments {
        command.arg(argument.replace("HERE", &here.display().to_string()));
    }
    let output = command.output().expect("runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

fn written() -> String {
    to_yaml(&sound().record).expect("a record")
}

/// A folder with a record and the sound requirements.
fn folder(record: impl AsRef<[u8]>) -> tempfile::TempDir {
    let here = tempfile::tempdir().expect("a folder");
    fs::write(here.path().join("requirements.yaml"), REQUIREMENTS).expect("written");
    fs::write(here.path().join("record.yaml"), record).expect("written");
    here
}

const COMMANDS: [&[&str]; 5] = [
    &["audit", "HERE/record.yaml"],
    &["ratings", "HERE/record.yaml", "--format", "csv"],
    &["substitute", "HERE/record.yaml", "--position", "C1", "--part", "QS35-6800"],
    &["compare", "HERE/record.yaml", "HERE/record.yaml"],
    &["order", "HERE/record.yaml:10"],
];

/// Every command says 2, nothing on standard output, and each word on standard error.
fn all_refuse(record: impl AsRef<[u8]>, words: &[&str]) {
    let here = folder(record);
    for command in COMMANDS {
        let (code, out, err) = run(here.path(), command);
        assert!(code == Some(2) && out.is_empty(), "{command:?}: {code:?} {out}{err}");
        for word in words.iter().chain(&["record.yaml"]) {
            assert!(err.contains(word), "{command:?}: `{word}` is not in {err}");
        }
        for word in ["panicked", "u32", "struct", "invalid type"] {
            assert!(!err.contains(word), "{command:?}: {err}");
        }
    }
}

#[test]
fn a_record_that_is_none_is_refused_by_every_command_in_plain_words() {
    let good = written();
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from}");
        good.replacen(from, to, 1)
    };
    all_refuse("", &["this file is empty"]);
    all_refuse("hello\n", &["this file is not a map", "`hello`"]);
    all_refuse("- 1\n", &["this file is not a map"]);
    all_refuse(&good[..300], &["missing key"]);
    all_refuse([good.as_bytes(), b"# \xff\n"].concat(), &["this is not UTF-8 text"]);
    all_refuse("[".repeat(3000), &["nested too deeply"]);
    all_refuse(with("record: 1", "record: 2"), &["layout 2", "layout 1"]);
    all_refuse(with("supply:", "suply:"), &["unknown key `suply`", "did you mean `supply`?"]);
    all_refuse(
        with("build_quantity: 25", "build_quantity: 0"),
        &["`build_quantity` is out of range", "1 to 1000000"],
    );
    all_refuse(with("count: 1", "count: 99999999999999999999"), &["`count` is out of range"]);
    all_refuse(with("count: 1", "count: 1.5"), &["`count` is not a whole number", "`1.5`"]);
    all_refuse(with("count: 1", "count: [1]"), &["`count` is a list"]);
    all_refuse(with("rails:\n", "rails: none\nrail:\n"), &["`rails` is not a list"]);
    let rail = good.split_once("rails:\n").expect("rails").1;
    all_refuse(format!("{good}{rail}"), &["the rail `main` stands in this record twice"]);
    all_refuse(with("T1", "\"T1\\u001B[31m\""), &["control or invisible characters"]);
}

/// Cut anywhere, a record is refused, or answered with no where what is left is a record.
#[test]
fn a_record_cut_anywhere_never_passes() {
    let good = written();
    for share in 1..16 {
        let end = (0..=good.len() * share / 16).rev().find(|at| good.is_char_boundary(*at)).expect("a start");
        let here = folder(&good[..end]);
        for command in COMMANDS {
            let (code, out, err) = run(here.path(), command);
            assert!(!err.contains("panicked"), "{err}");
            match code {
                Some(2) => {
                    // Without its reservoir the record has no C1 to try a part for.
                    let told = err.contains("record.yaml:") || err.contains("the record has no `C1`");
                    assert!(out.is_empty() && told, "{command:?}: {err}");
                }
                Some(1) => assert!(!out.is_empty(), "{command:?}: {err}"),
                // Compared with itself nothing is gained; without its last positions it may be a smaller circuit, which the
                // audit judges.
                Some(0) => assert!(command[0] != "audit", "{command:?} of {end} bytes: {out}"),
                other => panic!("{command:?}: {other:?}"),
            }
        }
    }
}

#[test]
fn a_folder_where_a_file_should_be_is_named() {
    let good = written();
    for name in ["record.yaml", "requirements.yaml", "waivers.yaml"] {
        let here = folder(&good);
        let _ = fs::remove_file(here.path().join(name));
        fs::create_dir(here.path().join(name)).expect("made");
        let (code, out, err) = run(here.path(), &["audit", "HERE/record.yaml"]);
        assert!(
            code == Some(2) && out.is_empty() && err.contains(name) && err.contains("cannot be read"),
            "{err}"
        );
    }
}

#[test]
fn a_record_for_other_rails_or_another_number_than_asked_is_found() {
    let good = written();
    let here = folder(good.replace("rail: main", "rail: spare"));
    let (code, out, _) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert!(
        code == Some(1) && out.contains("record-rail-missing") && out.contains("record-rail-unknown"),
        "{out}"
    );
    let (code, out, _) = run(here.path(), &["ratings", "HERE/record.yaml"]);
    assert!(code == Some(1) && out.contains("`spare` could not be solved"), "{out}");
    let here = folder(good.replace("build_quantity: 25", "build_quantity: 24"));
    let (code, out, _) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert!(code == Some(1) && out.contains("record-quantity") && out.contains("24 supplies"), "{out}");
}

/// Source: the Gregorian calendar: 2100 is no leap year, 2028 is one.
#[test]
fn a_waiver_until_a_day_that_is_none_is_refused() {
    let here = folder(written());
    let audit = |day: &str| {
        let waiver = format!(
            "waivers:\n  - {{rail: main, position: reservoir, stress: reservoir-voltage, limit: 60 V, reason: trial, role: head, \
             expires: {day}}}\n"
        );
        fs::write(here.path().join("waivers.yaml"), waiver).expect("written");
        run(here.path(), &["audit", "HERE/record.yaml", "--on", "2027-01-15"])
    };
    for day in
        ["2027-02-30", "2100-02-29", "2027-13-01", "2027-00-10", "27-1-1", "20270101", "-2027-01-01", "soon"]
    {
        let (code, out, err) = audit(day);
        assert!(code == Some(2) && out.is_empty() && err.contains("waivers.yaml:2:"), "{day}: {err}");
        assert!(err.contains("`expires`") && err.contains("2027-06-30"), "{day}: {err}");
    }
    assert_eq!(audit("2028-02-29").0, Some(0));
}

#[test]
fn quantities_and_values_that_cannot_be_bought_are_refused_or_told() {
    let good = written();
    let here = folder(&good);
    for quantity in ["0", "-5", "1.5", "1000001", "1000000000000000000", "", "1e3"] {
        let (code, out, err) = run(here.path(), &["order", &format!("HERE/record.yaml:{quantity}")]);
        assert!(code == Some(2) && out.is_empty(), "{quantity}: {err}");
        assert!(
            err.contains(&format!("found quantity `{quantity}`")) && err.contains("1 to 1000000"),
            "{err}"
        );
    }
    let bleeder = sound().part("bleeder").value.clone().expect("a value");
    for value in ["1e300 Ω", "0 Ω", "-5 Ω"] {
        let here = folder(good.replace(&bleeder, value));
        let (code, out, _) = run(here.path(), &["order", "HERE/record.yaml", "--width", "200"]);
        assert!(code == Some(1) && out.contains("is made from") && out.contains(value), "{value}: {out}");
        let (code, out, err) = run(here.path(), &["order", "HERE/record.yaml", "--format", "csv"]);
        assert!(
            code == Some(1) && out.starts_with("Supplier,") && err.contains("note: ") && err.contains(value),
            "{err}"
        );
    }
    let (code, out, err) = run(
        here.path(),
        &["order", "HERE/record.yaml", "--format", "csv", "--budget", "1", "--deadline", "0"],
    );
    assert!(code == Some(1) && !out.is_empty() && err.contains("above the budget of 1"), "{err}");
}

#[test]
fn a_name_that_leads_out_of_the_catalogs_is_refused() {
    let here = folder(written());
    for name in ["../demo/fuses", "/etc/passwd", "..", ""] {
        let (code, out, err) = run(here.path(), &["audit", "HERE/record.yaml", "--policy", name]);
        assert!(code == Some(2) && out.is_empty() && err.contains("no name of a policy"), "{name}: {err}");
    }
    fs::write(here.path().join("requirements.yaml"), format!("{REQUIREMENTS}catalogs: [../policies]\n"))
        .expect("written");
    let (code, _, err) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert!(code == Some(2) && err.contains("no name of a catalog"), "{err}");
    let here = folder(written().replace("demo/", "../policies/"));
    let (code, _, err) = run(here.path(), &["order", "HERE/record.yaml"]);
    assert!(code == Some(2) && err.contains("no name of a catalog"), "{err}");
}

/// What would be passed over in silence is told: a rule for a part that nobody needs, a part that no catalog has, terms of a
/// supplier whose name is misspelt.
#[test]
fn what_concerns_nothing_in_an_order_is_noted() {
    let here = folder(written());
    let rules =
        "substitutes:\n- {part: NOPE-1, allowed: [QS35-6800]}\n- {part: QS63-3300, allowed: [NOPE-2]}\n";
    fs::write(here.path().join("substitutes.yaml"), rules).expect("written");
    let terms = "currency: EUR\nsuppliers: {Corvanne: {order_charge: 9.50}, Corvane: {order_charge: 1}}\n";
    fs::write(here.path().join("terms.yaml"), terms).expect("written");
    let more = ["--substitutes", "HERE/substitutes.yaml", "--terms", "HERE/terms.yaml", "--width", "200"];
    let (code, out, err) = run(here.path(), &[&["order", "HERE/record.yaml"][..], &more].concat());
    assert_eq!(code, Some(0), "{out}{err}");
    for words in ["1 of 2 rules", "`NOPE-1`", "the first `NOPE-2`", "`Corvanne`", "is `Corvane` meant?"] {
        assert!(out.contains(words), "{words}: {out}");
    }
    let (_, out, _) = run(here.path(), &["order", "HERE/record.yaml"]);
    assert!(!out.contains("Notes"), "{out}");
}

#[test]
fn a_sheet_with_a_head_twice_is_refused() {
    let here = tempfile::tempdir().expect("a folder");
    let sheet = "Part;Manufacturer;I rated;I2t;I2t;1+;100+;Stock\nZQ-T1;Zellan;1;19;19;0,12;0,10;500\n";
    fs::write(here.path().join("sheet.csv"), sheet).expect("written");
    let mapping = ["--mapping", "tests/fixtures/sheets/fuses-mapping.yaml"];
    let (code, out, _) = run(here.path(), &[&["catalog", "import", "HERE/sheet.csv"][..], &mapping].concat());
    assert!(code == Some(1) && out.contains("several columns of this head"), "{out}");
    assert!(out.contains("1 fault in 1 row"), "{out}");
}

//! Reviewer's and purchaser's commands as they are met: exit codes, streams, formats, what is beside a record.

use std::{fs, path::Path};

use assert_cmd::Command;
use railwright::document::to_yaml;

use super::bench::{REQUIREMENTS, sound};

/// A folder with the sound record and its requirements.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("requirements.yaml"), REQUIREMENTS).expect("written");
    fs::write(folder.path().join("record.yaml"), to_yaml(&sound().record).expect("a record"))
        .expect("written");
    folder
}

/// Exit code, standard output and standard error.
fn run(folder: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("railwright").expect("built");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1");
    for argument in arguments {
        command.arg(argument.replace("HERE", &folder.display().to_string()));
    }
    let output = command.output().expect("runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

const DAY: [&str; 2] = ["--on", "2027-01-15"];

#[test]
fn a_sound_record_is_audited_with_0_and_a_changed_requirement_with_1() {
    let here = folder();
    let (code, out, err) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert_eq!(code, Some(0), "{out}{err}");
    assert!(out.contains("hold at every vertex looked at") && err.is_empty(), "{err}");
    let other = here.path().join("requirements.yaml");
    fs::write(&other, REQUIREMENTS.replace("600 mA", "601 mA")).expect("written");
    let (code, out, _) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert!(code == Some(1) && out.contains("digest-requirements"), "{out}");
}

#[test]
fn several_policies_stand_side_by_side_and_judge_alone() {
    let here = folder();
    let asked = ["audit", "HERE/record.yaml", "--policy", "house", "--policy", "radc-level-3"];
    let (_, out, err) = run(here.path(), &asked);
    assert!(out.contains("2 policies side by side"), "{err}");
    let (_, json, _) = run(here.path(), &[&asked[..], &["--format", "json"]].concat());
    let dossiers: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let both = dossiers.as_array().expect("a list");
    assert_eq!(both.len(), 2);
    for (dossier, name) in both.iter().zip(["house", "radc-level-3"]) {
        for row in dossier["stresses"].as_array().expect("a list") {
            let known = row["known"].as_str().expect("text");
            let clause = row["clause"].as_str().expect("text");
            assert!(known.is_empty() || clause.starts_with(name), "{name}: {clause}");
        }
    }
    let (code, _, err) = run(here.path(), &["audit", "HERE/record.yaml", "--policy", "no-such"]);
    assert!(code == Some(2) && err.contains("no-such"), "{err}");
}

#[test]
fn waivers_beside_a_record_are_read_and_their_faults_answered_with_2() {
    let here = folder();
    let one = "waivers:\n  - {rail: main, position: reservoir, stress: reservoir-voltage, limit: 60 V, reason: trial, \
               role: head of design, expires: 2027-01-31}\n";
    let file = here.path().join("waivers.yaml");
    fs::write(&file, one).expect("written");
    let audit = |day| run(here.path(), &["audit", "HERE/record.yaml", "--on", day]);
    assert_eq!(audit("2027-01-31").0, Some(0));
    let (code, out, _) = audit("2027-02-01");
    assert!(code == Some(1) && out.contains("waiver-expired"), "{out}");
    fs::write(&file, one.replace("60 V", "much").replace("2027-01-31", "soon")).expect("written");
    let (code, out, err) = audit("2027-01-31");
    assert_eq!(code, Some(2));
    assert!(out.is_empty() && err.contains("`limit`") && err.contains("`expires`"), "{err}");
    assert_eq!(audit("2027-02-30").0, Some(2), "no such day");
}

#[test]
fn what_is_missing_beside_a_record_is_named_all_at_once() {
    let here = tempfile::tempdir().expect("a folder");
    let (code, out, err) = run(here.path(), &["audit", "HERE/record.yaml"]);
    assert_eq!(code, Some(2));
    assert!(out.is_empty() && err.contains("record.yaml") && err.contains("requirements.yaml"), "{err}");
}

#[test]
fn two_records_are_compared_and_what_is_gained_is_answered_with_1() {
    let here = folder();
    let mut other = sound();
    other.part("reservoir").part = String::from("QS35-6800");
    other.freshen();
    fs::write(here.path().join("other.yaml"), to_yaml(&other.record).expect("a record")).expect("written");
    let compare = ["compare", "HERE/record.yaml", "HERE/other.yaml"];
    let (code, out, err) = run(here.path(), &compare);
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("QS35-6800") && out.contains("Moved by"), "{out}");
    let (_, json, _) = run(here.path(), &[&compare[..], &["--format", "json"]].concat());
    let found: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let moved = found["stresses"].as_array().expect("a list");
    assert!(moved.iter().any(|row| row["stress"] == "reservoir-voltage"), "{json}");
    other.part("reservoir").maker = String::from("Somebody");
    fs::write(here.path().join("other.yaml"), to_yaml(&other.record).expect("a record")).expect("written");
    let (code, out, _) = run(here.path(), &compare);
    assert!(code == Some(1) && out.contains("record-maker"), "{out}");
}

#[test]
fn a_quotation_sheet_comes_in_each_format() {
    let here = folder();
    let sheet = |format| run(here.path(), &["ratings", "HERE/record.yaml", "--format", format]);
    for format in ["terminal", "markdown", "csv", "json"] {
        let (code, out, err) = sheet(format);
        assert_eq!(code, Some(0), "{format}: {err}");
        assert!(out.contains("rated dc voltage"), "{format}: {out}");
    }
    assert!(serde_json::from_str::<serde_json::Value>(&sheet("json").1).is_ok());
}

#[test]
fn a_part_that_fits_is_answered_with_0_one_that_does_not_with_1_and_a_place_unknown_with_2() {
    let here = folder();
    let try_part = |place, part| {
        run(here.path(), &["substitute", "HERE/record.yaml", "--position", place, "--part", part])
    };
    let (code, out, err) = try_part("C1", "QS35-6800");
    assert_eq!(code, Some(0), "{out}{err}");
    assert!(out.contains("1 of 1 part tried fits") && out.contains("Used before"), "{out}");
    let (code, out, _) = try_part("reservoir:main", "TS50-2200");
    assert!(code == Some(1) && out.contains("FAILS"), "{out}");
    let (code, _, err) = try_part("C99", "QS35-6800");
    assert!(code == Some(2) && err.contains("C99") && err.contains("reservoir (C1)"), "{err}");
    let (code, out, _) =
        run(here.path(), &["substitute", "HERE/record.yaml", "--position", "C1", "--most", "3"]);
    assert!(code == Some(0) && out.contains("At least 3 of"), "{out}");
}

#[test]
fn a_part_of_a_quotation_is_judged_though_no_catalog_has_it() {
    let here = folder();
    let shelf = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/demo/electrolytics-large.yaml");
    let mut quoted = String::new();
    for line in fs::read_to_string(shelf).expect("shipped").lines() {
        quoted.push_str(&line.replace("id: ", "id: QUOTED-"));
        quoted.push('\n');
    }
    fs::write(here.path().join("quoted.yaml"), quoted).expect("written");
    let asked = ["substitute", "HERE/record.yaml", "--position", "C1", "--quoted", "HERE/quoted.yaml"];
    let (code, out, err) = run(here.path(), &[&asked[..], &["--part", "QUOTED-QS50-4700"]].concat());
    assert!(code.is_some_and(|code| code < 2), "{err}");
    assert!(out.contains("QUOTED-"), "{out}");
    let (code, _, err) = run(
        here.path(),
        &[
            "substitute",
            "HERE/record.yaml",
            "--position",
            "C1",
            "--quoted",
            "catalogs/demo/electrolytics-radial.yaml",
        ],
    );
    assert!(code == Some(2) && err.contains("stands in the catalog already"), "{err}");
}

#[test]
fn edges_and_failure_rates_are_shown_where_asked_for_and_promise_nothing() {
    let here = folder();
    let plain = run(here.path(), &[&["audit", "HERE/record.yaml"], &DAY[..]].concat()).1;
    assert!(!plain.contains("million hours") && !plain.contains("true edges"));
    let asked = ["audit", "HERE/record.yaml", "--sensitivity", "--reliability"];
    let (code, out, err) = run(here.path(), &[&asked[..], &DAY[..]].concat());
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("true edges") && out.contains("Failures per million hours"), "{out}");
    assert!(out.contains("promise nothing") || out.contains("promise\nnothing"), "{out}");
}

/// Common practice, no source: terminals of 80 columns are the narrowest that reports are read on.
#[test]
fn no_line_is_wider_than_the_terminal() {
    let here = folder();
    for command in [
        &["audit", "HERE/record.yaml", "--sensitivity", "--reliability"][..],
        &["ratings", "HERE/record.yaml"],
        &["substitute", "HERE/record.yaml", "--position", "C1"],
        &["compare", "HERE/record.yaml", "HERE/record.yaml"],
    ] {
        for width in ["80", "120"] {
            let (_, out, err) = run(here.path(), &[command, &["--width", width]].concat());
            assert!(!out.is_empty(), "{err}");
            let most: usize = width.parse().expect("a number");
            for line in out.lines() {
                assert!(line.chars().count() <= most, "{command:?} at {width}: {line}");
            }
        }
    }
}

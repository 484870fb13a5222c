//! The command line as its users meet it: exit codes, streams, bad input, what is written and what is not.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::fs;

use assert_cmd::Command;

fn railwright() -> Command {
    let mut command = Command::cargo_bin("railwright").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1");
    command
}

/// Runs `design` on a text; gives exit code, standard output and error, and the names of the files written.
fn design(text: &str) -> (Option<i32>, String, String, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let asked = folder.path().join("asked.yaml");
    fs::write(&asked, text).unwrap();
    let made = folder.path().join("made");
    let output = railwright().arg("design").arg(&asked).arg("--output").arg(&made).output().unwrap();
    let written = fs::read_dir(&made)
        .map(|entries| entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect())
        .unwrap_or_default();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
        written,
    )
}

#[test]
fn a_bad_file_is_answered_with_2_all_its_faults_and_nothing_written() {
    let (code, out, err, written) = design("name: x\ndescription: y\nmains: {voltge: 230 V}\nrails: []\n");
    assert_eq!(code, Some(2));
    assert!(out.is_empty(), "{out}");
    assert!(err.contains("did you mean `voltage`?"), "{err}");
    assert!(err.contains("rails"), "{err}");
    assert!(written.is_empty());
}

#[test]
fn a_file_that_is_not_there_is_answered_with_2_and_its_name() {
    let output = railwright().args(["design", "no/such/file.yaml"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert!(String::from_utf8_lossy(&output.stderr).contains("no/such/file.yaml"));
}

#[test]
fn a_file_that_is_not_utf_8_is_answered_with_2() {
    let folder = tempfile::tempdir().unwrap();
    let asked = folder.path().join("asked.yaml");
    fs::write(&asked, [0x6e, 0x61, 0xff, 0xfe]).unwrap();
    let output = railwright().arg("design").arg(&asked).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("UTF-8"));
}

#[test]
fn an_unknown_policy_names_the_file_it_looked_for() {
    let text = "name: x\ndescription: y\npolicy: none-such\nmains: {voltage: 230 V}\nrails:\n  - {name: a, voltage: 5 V, \
                current: {max: 40 mA}, ripple_pp: 20 mV}\n";
    let (code, _, err, written) = design(text);
    assert_eq!(code, Some(2));
    assert!(err.contains("none-such.yaml"), "{err}");
    assert!(written.is_empty());
}

#[test]
fn help_and_version_go_to_standard_output() {
    for flag in ["--help", "--version"] {
        let output = railwright().arg(flag).output().unwrap();
        assert_eq!(output.status.code(), Some(0));
        assert!(!output.stdout.is_empty() && output.stderr.is_empty());
    }
}

#[test]
fn a_word_it_does_not_know_is_answered_with_2() {
    let output = railwright().arg("desing").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
}

/// The report is the same whoever asks, and nothing is written unless asked.
#[test]
fn json_is_versioned_and_goes_to_standard_output_alone() {
    let output = railwright()
        .args(["design", "designs/beehive-scale/requirements.yaml", "--format", "json"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
    let text = String::from_utf8(output.stdout).unwrap();
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(value.get("schema_version").is_some(), "{}", &text[..200]);
}

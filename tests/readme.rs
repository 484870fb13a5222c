//! Each command of the README is run, and must end as the README says.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::collections::BTreeMap;
use std::fs;
use std::process::Output;
use std::sync::{Arc, Mutex, OnceLock};

use assert_cmd::Command;
use railwright::report::Figures;

use crate::review::bench::designed;

/// Commands of the README: lines of `sh` blocks that begin with `cargo` or `railwright`.
fn commands() -> Vec<String> {
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        match line.trim() {
            "```sh" => inside = true,
            "```" => inside = false,
            command if inside && !command.is_empty() && !command.starts_with('#') => {
                found.push(command.to_owned());
            }
            _ => {}
        }
    }
    found
}

/// The arguments after `railwright` or `cargo run --release --`; `None` for commands that build or test, which run this test.
fn arguments(command: &str) -> Option<Vec<&str>> {
    let rest =
        command.strip_prefix("cargo run --release -- ").or_else(|| command.strip_prefix("railwright "))?;
    // What follows a comment sign tells the exit code.
    Some(rest.split('#').next()?.split_whitespace().map(|word| word.trim_matches('"')).collect())
}

/// What the program answers: each command is run once for all tests. Files go to a folder of their own.
fn answer(arguments: &[String]) -> Arc<OnceLock<Output>> {
    static ANSWERS: Mutex<BTreeMap<Vec<String>, Arc<OnceLock<Output>>>> = Mutex::new(BTreeMap::new());
    let slot = Arc::clone(ANSWERS.lock().unwrap().entry(arguments.to_vec()).or_default());
    slot.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let here = |one: &String| one.replace("out/", &format!("{}/", folder.path().display()));
        Command::cargo_bin("railwright")
            .unwrap()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(arguments.iter().map(here))
            .output()
            .unwrap()
    });
    slot
}

/// The exit code a command's comment promises: `# exit 1`; 0 without one.
fn promised(command: &str) -> i32 {
    command.split_once("# exit ").map_or(0, |(_, code)| code.trim().parse().unwrap())
}

#[test]
fn every_command_of_the_readme_runs_and_ends_as_it_says() {
    let all = commands();
    assert!(all.len() >= 5, "{all:?}");
    for command in all {
        let Some(arguments) = arguments(&command) else {
            assert_eq!(command, "cargo test", "a command that no test runs");
            continue;
        };
        let arguments: Vec<String> = arguments.into_iter().map(str::to_owned).collect();
        let answer = answer(&arguments);
        let output = answer.get().unwrap();
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(promised(&command)), "{command}: {told}");
    }
}

/// Law: what the README shows of an answer is what the program answers: every line of a `text` block stands in the answer of a
/// command of the `sh` block before it, at 80 or 100 columns.
#[test]
fn the_answers_shown_are_those_that_the_program_gives() {
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let (mut commands, mut shown, mut inside): (Vec<&str>, Vec<&str>, &str) = (Vec::new(), Vec::new(), "");
    let mut seen = 0;
    for line in text.lines() {
        match (inside, line.strip_prefix("```")) {
            ("", Some(kind)) => {
                inside = kind;
                match kind {
                    "sh" => commands.clear(),
                    "text" => shown.clear(),
                    _ => {}
                }
            }
            (kind, Some(_)) => {
                if kind == "text" {
                    answered(&commands, &shown);
                    seen += 1;
                }
                inside = "";
            }
            ("sh", None) => commands.push(line),
            ("text", None) if !line.trim().is_empty() => shown.push(line),
            _ => {}
        }
    }
    assert!(seen >= 5, "{seen} answers");
}

fn answered(commands: &[&str], shown: &[&str]) {
    let mut missing: Vec<&str> = shown.to_vec();
    // As it answers where there is no terminal, at 100 columns; then at 80.
    for width in [&[][..], &["--width", "80"]] {
        for command in commands {
            let Some(arguments) = arguments(command).filter(|_| !missing.is_empty()) else { continue };
            // Blocks of text are answers in the terminal's format.
            let format = arguments.iter().position(|one| *one == "--format");
            let kept = arguments
                .iter()
                .enumerate()
                .filter(|(index, _)| format.is_none_or(|format| *index != format && *index != format + 1));
            let arguments: Vec<String> =
                width.iter().chain(kept.map(|(_, one)| one)).map(|&one| one.to_owned()).collect();
            let answer = answer(&arguments);
            let said = String::from_utf8_lossy(&answer.get().unwrap().stdout).into_owned();
            let lines: Vec<&str> = said.lines().map(str::trim_end).collect();
            missing.retain(|line| !lines.contains(&line.trim_end()));
        }
    }
    assert_eq!(missing, Vec::<&str>::new(), "{commands:?}");
}

/// Law: a picture shown is the figure of its name, drawn anew from the record beside it, byte for byte.
#[test]
fn the_pictures_of_the_readme_are_drawn_from_the_records_beside_them() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let text = fs::read_to_string(format!("{root}README.md")).unwrap();
    let mut seen = 0;
    for shown in text.split("](designs/").skip(1) {
        let (design, rest) = shown.split_once('/').unwrap();
        let Some((name, _)) = rest.split_once(".svg)") else { panic!("{rest:.60}: not a drawing") };
        let figures = Figures::of(&designed(design).audited());
        let picture = figures.pictures.iter().find(|one| one.name == name).expect("a figure of that name");
        let kept = fs::read_to_string(format!("{root}designs/{design}/{name}.svg")).unwrap();
        assert!(
            kept == picture.alone(),
            "designs/{design}/{name}.svg: draw it anew, see `DEVELOPERS.md`, \"Tests\""
        );
        seen += 1;
    }
    assert!(seen >= 2, "{seen} pictures");
}

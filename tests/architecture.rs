//! The house: which storey may name which, how long a file may be, and which words never stand in the project.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{
    fs,
    path::{Path, PathBuf},
};

/// Storeys from the ground up; a storey names only those below it.
const STOREYS: [(&str, u32); 19] = [
    ("quantity", 0),
    ("numeric", 0),
    ("document", 1),
    ("physics", 1),
    ("circuit", 2),
    ("requirement", 3),
    ("catalog", 3),
    ("policy", 3),
    ("analysis", 3),
    ("stress", 4),
    ("candidate", 5),
    ("selection", 6),
    ("record", 7),
    ("review", 8),
    ("purchase", 8),
    ("report", 9),
    ("flow", 10),
    ("cli", 11),
    ("main", 11),
];

/// Lines of a file that can be read at one sitting.
const LINES_MAX: usize = 400;

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            found.push(path);
        }
    }
}

fn files_below(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    rust_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut found);
    found
}

fn storey(name: &str) -> Option<u32> {
    STOREYS.iter().find(|(known, _)| *known == name).map(|(_, number)| *number)
}

/// The storey a source file belongs to.
fn home(path: &Path) -> Option<String> {
    let inside = path.strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src")).ok()?;
    let first = inside.components().next()?.as_os_str().to_str()?;
    Some(first.trim_end_matches(".rs").to_owned())
}

/// Storeys named by a line, as `crate::name`, also within one brace list that starts on the line.
fn named(text: &str) -> Vec<String> {
    let mut names = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let rest = &text[at + "crate::".len()..];
        if let Some(list) = rest.strip_prefix('{') {
            let mut depth = 1;
            let mut word = String::new();
            let mut fresh = true;
            for letter in list.chars() {
                match letter {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    ',' if depth == 1 => fresh = true,
                    _ => {}
                }
                if depth == 0 {
                    break;
                }
                if depth == 1 && fresh && (letter.is_alphanumeric() || letter == '_') {
                    word.push(letter);
                } else if !word.is_empty() {
                    names.push(std::mem::take(&mut word));
                    fresh = false;
                }
            }
            if !word.is_empty() {
                names.push(word);
            }
        } else {
            names
                .push(rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect());
        }
    }
    names
}

/// Source: the project's own rule, `DEVELOPERS.md`, "The house".
#[test]
fn a_storey_names_only_storeys_below_it() {
    let mut wrong = Vec::new();
    for path in files_below("src") {
        let Some(own) = home(&path) else { continue };
        let Some(level) = storey(&own) else { continue };
        let text = fs::read_to_string(&path).unwrap();
        let code: String =
            text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
        for name in named(&code) {
            let Some(other) = storey(&name) else { continue };
            if name != own && other >= level {
                wrong.push(format!("{} names `{name}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_reader_of_imports_sees_lists_and_single_names() {
    assert_eq!(named("use crate::{a::{b, c}, d};"), ["a", "d"]);
    assert_eq!(named("crate::report::page()"), ["report"]);
}

#[test]
fn no_file_is_longer_than_one_sitting() {
    let mut long = Vec::new();
    for path in files_below("src").into_iter().chain(files_below("tests")) {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        if lines > LINES_MAX {
            long.push(format!("{}: {lines} lines", path.display()));
        }
    }
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn only_one_module_names_the_yaml_library() {
    for path in files_below("src") {
        let text = fs::read_to_string(&path).unwrap();
        let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
        let names =
            code.clone().any(|line| line.contains("serde_yaml::") || line.contains("saphyr_parser::"));
        assert!(
            !names || home(&path).as_deref() == Some("document"),
            "{} names a YAML library",
            path.display()
        );
    }
}

//! Which rules a published figure checks: the table in `DEVELOPERS.md` against the rules and the sources of their tests.

#![expect(clippy::unwrap_used, reason = "a test that cannot set itself up must fail loudly")]

use std::{collections::BTreeMap, fs, path::Path};

use railwright::stress::registry::rules;

fn text(file: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(file))
        .unwrap_or_else(|why| panic!("{file}: {why}"))
}

/// The table, rule by rule.
fn table() -> BTreeMap<String, String> {
    let all = text("DEVELOPERS.md");
    let section = all.split("## Published checks of the rules").nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let rows = section.lines().filter_map(|line| line.strip_prefix("| `")?.split_once("` | "));
    let mut table = BTreeMap::new();
    for (code, check) in rows {
        let twice = table.insert(code.to_owned(), check.trim_end_matches([' ', '|']).to_owned());
        assert_eq!(twice, None, "`{code}` stands twice");
    }
    table
}

/// The sources that the tests of a file name, each with the lines it runs on to.
fn sources(file: &str) -> Vec<String> {
    let all = text(file);
    let tests = if file.starts_with("src/") { all.split("#[cfg(test)]").nth(1).unwrap_or("") } else { &all };
    let mut found: Vec<String> = Vec::new();
    let mut open = false;
    for line in tests.lines().map(str::trim) {
        match line.strip_prefix("/// ") {
            Some(said) if said.starts_with("Source:") => {
                found.push(said.to_owned());
                open = true;
            }
            Some(said) if open => found.last_mut().unwrap().push_str(said),
            _ => open = false,
        }
    }
    found
}

/// Source: the project's own rule, `DEVELOPERS.md`: every rule says whether a published figure checks it, and truly.
#[test]
fn the_table_of_published_checks_is_what_rules_and_tests_say() {
    let table = table();
    let codes: Vec<&str> = rules().iter().map(|rule| rule.page.code).collect();
    for code in &codes {
        assert!(table.contains_key(*code), "`{code}` is not in the table");
    }
    for (code, check) in &table {
        assert!(codes.contains(&code.as_str()), "`{code}` is no rule");
        let own = sources(&format!("src/stress/rule/{}.rs", code.replace('-', "_")));
        let recalled = own.iter().all(|one| one.contains("from memory"));
        match check.as_str() {
            "own test" => assert!(!own.is_empty() && !recalled, "{code}: {own:?}"),
            "own test, from memory" => assert!(!own.is_empty() && recalled, "{code}: {own:?}"),
            "none" => assert!(own.is_empty(), "{code}: {own:?}"),
            law => {
                assert!(own.is_empty(), "{code} has a test of its own: {own:?}");
                let file = law
                    .strip_prefix("law: `")
                    .unwrap_or_else(|| panic!("{code}: {law}"))
                    .trim_end_matches('`');
                let file = if file.starts_with("tests/") { file.to_owned() } else { format!("src/{file}") };
                assert!(!sources(&file).is_empty(), "{code}: no source in {file}");
            }
        }
    }
}

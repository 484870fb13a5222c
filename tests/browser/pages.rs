//! The pages that are looked at: every demo design, every demo circuit, an audit, an order, and a page of hostile names.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use assert_cmd::Command;
use railwright::report::{Figures, Page, html};

use crate::support::dossier::dossier;

/// Longest report of one design under one policy, bytes.
const LONGEST: usize = 600_000;

/// Pages looked at at a time.
const AT_A_TIME: usize = 2;

/// Where pages are laid for the browser.
pub(super) fn folder() -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser");
    std::fs::create_dir_all(&path).expect("a folder for the browser");
    path
}

/// Does something with each, a few at a time.
pub(super) fn each<T: Sync>(list: &[T], does: impl Fn(&T) + Sync) {
    for some in list.chunks(AT_A_TIME) {
        std::thread::scope(|scope| {
            let doing: Vec<_> = some.iter().map(|one| scope.spawn(|| does(one))).collect();
            for one in doing {
                if let Err(cause) = one.join() {
                    std::panic::resume_unwind(cause);
                }
            }
        });
    }
}

fn names(folder: &str, file: &str) -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<String> = std::fs::read_dir(root.join(folder))
        .expect("shipped folder")
        .map(|entry| entry.expect("entry").path())
        .filter(|path| if file.is_empty() { path.is_file() } else { path.join(file).exists() })
        .map(|path| path.file_stem().expect("named").to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// What the program writes as a page.
fn written(arguments: &[String]) -> String {
    let output = Command::cargo_bin("railwright")
        .expect("built")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .args(["--format", "html"])
        .output()
        .expect("it runs");
    assert_ne!(output.status.code(), Some(2), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// Name and text of every page.
pub(super) fn pages() -> &'static [(String, String)] {
    static PAGES: OnceLock<Vec<(String, String)>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let words = |text: String| text.split(' ').map(str::to_owned).collect::<Vec<_>>();
        let mut asked: Vec<(String, Vec<String>)> = Vec::new();
        for name in names("designs", "requirements.yaml") {
            // What a search adds stands on the page made by hand; a kept record need not be searched for again.
            let record = format!("designs/{name}/record.yaml");
            let command = if Path::new(env!("CARGO_MANIFEST_DIR")).join(&record).exists() {
                words(format!("audit {record}"))
            } else {
                words(format!("design designs/{name}/requirements.yaml"))
            };
            asked.push((name, command));
        }
        for name in names("designs/circuits", "") {
            let file = format!("designs/circuits/{name}.yaml");
            let text =
                std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(&file)).expect("read");
            if !text.lines().any(|line| line.starts_with("circuit:")) {
                // Tolerances for another file.
                continue;
            }
            // Several rails on one core have no switch-on yet.
            let one = !text.lines().any(|line| line.starts_with("rails:"));
            let command = if one { format!("analyse {file} --switch-on") } else { format!("analyse {file}") };
            asked.push((format!("circuit-{name}"), words(command)));
        }
        let records: Vec<String> = names("designs", "record.yaml")
            .iter()
            .map(|name| format!("designs/{name}/record.yaml"))
            .collect();
        let last = records.last().expect("a record").clone();
        asked.push((
            String::from("audit"),
            words(format!("audit {last} --policy house --policy src-benign --sensitivity --reliability")),
        ));
        asked.push((String::from("order"), words(format!("order {}", records.join(" ")))));
        asked.push((String::from("ratings"), words(format!("ratings {last}"))));
        let slots: Vec<OnceLock<String>> = asked.iter().map(|_| OnceLock::new()).collect();
        let jobs: Vec<_> = asked.iter().zip(&slots).collect();
        each(&jobs, |((_, arguments), slot)| {
            slot.get_or_init(|| written(arguments));
        });
        let mut pages: Vec<(String, String)> = asked
            .iter()
            .zip(slots)
            .map(|((name, _), slot)| (name.clone(), slot.into_inner().expect("written")))
            .collect();
        let made = dossier("plain <b>\u{202e} µΩ");
        pages.push((String::from("made"), html::render(&Page::of(&made), &Figures::of(&made))));
        for (name, text) in &pages {
            // A report that is mailed.
            assert!(name == "audit" || text.len() < LONGEST, "{name}: {} bytes", text.len());
            std::fs::write(folder().join(format!("{name}.html")), text).expect("written");
        }
        pages
    })
}

//! The HTML report in a real browser, where there is one: headless Chromium at three widths, and printed.
//!
//! Without a browser the test says plainly that it did not run.

#![expect(clippy::print_stdout, reason = "a test that did not run says so plainly")]

use std::path::{Path, PathBuf};
use std::process::Command;

use railwright::report::{Figures, Page, html};

use crate::review::bench::sound;
use crate::support::dossier::dossier;

const BROWSER: &str = "/usr/bin/chromium";

/// What the measuring page does: a frame of each width, and for each what sticks out and which letterings overlap.
const MEASURE: &str = r#"
addEventListener('load', () => {
  const out = [];
  for (const frame of document.querySelectorAll('iframe')) {
    const doc = frame.contentDocument, wide = frame.clientWidth;
    const over = doc.documentElement.scrollWidth - wide;
    if (over > 0) out.push(wide + ' px: page is ' + over + ' px too wide');
    for (const svg of doc.querySelectorAll('svg')) {
      const boxes = [...svg.querySelectorAll('text')].map(t => [t.getBBox(), t.textContent]);
      boxes.forEach(([a, one], i) => boxes.slice(0, i).forEach(([b, two]) => {
        if (a.x < b.x + b.width && b.x < a.x + a.width && a.y + 1 < b.y + b.height - 1 && b.y + 1 < a.y + a.height - 1)
          out.push(wide + ' px: "' + one + '" over "' + two + '"');
      }));
    }
    for (const table of doc.querySelectorAll('table'))
      if (!table.caption || !table.querySelector('thead th[scope=col]')) out.push('a table without caption or heads');
    for (const svg of doc.querySelectorAll('svg'))
      if (!svg.querySelector('title').textContent || !svg.querySelector('desc').textContent) out.push('a figure without words');
    let level = 0;
    for (const head of doc.querySelectorAll('h1,h2,h3')) {
      const next = +head.tagName[1];
      if (next > level + 1) out.push('heading skipped before ' + head.textContent);
      level = next;
    }
  }
  const frames = document.querySelectorAll('iframe').length;
  document.body.innerHTML = '';
  document.title = 'measured ' + frames + ' frames, ' + out.length + ' faults: ' + out.slice(0, 20).join(' | ');
});
"#;

fn reports() -> Vec<(&'static str, String)> {
    let (real, made) = (sound().audited(), dossier("plain <b>\u{202e} µΩ"));
    [("real", &real), ("made", &made)]
        .map(|(name, dossier)| (name, html::render(&Page::of(dossier), &Figures::of(dossier))))
        .to_vec()
}

fn folder() -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser");
    std::fs::create_dir_all(&path).expect("a folder for the browser");
    path
}

/// Runs the browser on a file; gives what it wrote to the two streams.
fn browse(arguments: &[&str], file: &Path) -> (String, String) {
    let profile = tempfile::tempdir().expect("a folder for its profile");
    let answer = Command::new(BROWSER)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--enable-logging=stderr",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(arguments)
        .arg(format!("file://{}", file.display()))
        .output()
        .expect("the browser runs");
    (
        String::from_utf8_lossy(&answer.stdout).into_owned(),
        String::from_utf8_lossy(&answer.stderr).into_owned(),
    )
}

fn found() -> bool {
    let there = Path::new(BROWSER).exists();
    if !there {
        println!("DID NOT RUN: there is no browser at {BROWSER}");
    }
    there
}

#[test]
fn a_report_fits_a_phone_a_tablet_and_a_desk_without_a_word_from_the_console() {
    if !found() {
        return;
    }
    for (name, text) in reports() {
        let quoted = text.replace('&', "&amp;").replace('"', "&quot;");
        let frames: String = [360, 768, 1280]
            .map(|wide| {
                format!(
                    "<iframe style=\"border:0;width:{wide}px;height:900px\" srcdoc=\"{quoted}\"></iframe>"
                )
            })
            .concat();
        let page = format!("<!DOCTYPE html><title>not measured</title><script>{MEASURE}</script>{frames}");
        let file = folder().join(format!("measure-{name}.html"));
        std::fs::write(&file, page).expect("written");
        std::fs::write(folder().join(format!("{name}.html")), &text).expect("written");
        let (shown, said) =
            browse(&["--virtual-time-budget=8000", "--window-size=1400,1000", "--dump-dom"], &file);
        let title =
            shown.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next()).unwrap_or("nothing");
        assert_eq!(title, "measured 3 frames, 0 faults: ", "{name}");
        let console: Vec<&str> = said.lines().filter(|line| line.contains("CONSOLE")).collect();
        assert_eq!(console, Vec::<&str>::new(), "{name}");
    }
}

#[test]
fn a_report_prints() {
    if !found() {
        return;
    }
    let (name, text) = &reports()[0];
    let (file, pdf) = (folder().join(format!("{name}-print.html")), folder().join(format!("{name}.pdf")));
    std::fs::write(&file, text).expect("written");
    browse(&["--no-pdf-header-footer", &format!("--print-to-pdf={}", pdf.display())], &file);
    let bytes = std::fs::read(&pdf).expect("a PDF was printed");
    assert!(bytes.starts_with(b"%PDF-"));
    let printed = String::from_utf8_lossy(&bytes);
    let pages = printed.matches("/Type /Page\n").count();
    assert!((3..=40).contains(&pages), "{pages} pages");
}

//! Every demo page in a real browser: headless Chromium at three widths, light and dark, printed, and looked at by an
//! accessibility checker.
//!
//! Where a tool is missing a test says plainly that it did not run; with `RAILWRIGHT_BROWSER=required` it fails instead.

mod pages;
mod printed;

use std::path::{Path, PathBuf};
use std::process::Command;

use pages::{each, folder, pages};

const BROWSER: &str = "/usr/bin/chromium";
/// Pages measured at one start of the browser, which takes longer to start than to measure one.
const AT_A_START: usize = 5;
/// Names the script of the accessibility checker axe-core.
const CHECKER: &str = "RAILWRIGHT_AXE";
const MEASURE: &str = include_str!("measure.js");

/// What the checking page does: everything folded is opened, and what the checker holds for serious or critical is told; then
/// the same of the page as a reader sees it who prefers dark, which differs in its colours alone.
const CHECK: &str = r"
document.querySelectorAll('details').forEach(one => { one.open = true; });
const told = (scheme, found) => {
  const grave = found.violations.filter(one => ['serious', 'critical'].includes(one.impact));
  const words = grave.map(one => one.id + ': ' + one.nodes.slice(0, 3).map(node => node.html.slice(0, 120)).join(' , '));
  const lesser = found.violations.filter(one => !grave.includes(one)).map(one => one.id);
  return scheme + ' ' + grave.length + ' serious: ' + words.join(' | ') + '; lesser: ' + lesser.join(', ');
};
const darken = () => {
  const rules = [...document.styleSheets].flatMap(sheet => [...sheet.cssRules]);
  const dark = rules.filter(rule => rule.media && rule.media.mediaText.replaceAll(' ', '') === '(prefers-color-scheme:dark)');
  dark.forEach(rule => { rule.media.mediaText = 'all'; });
  return dark.length;
};
const checked = async () => {
  const light = await axe.run(document, { resultTypes: ['violations'] });
  const ground = () => getComputedStyle(document.body).backgroundColor;
  const before = ground();
  if (darken() === 0 || ground() === before) return 'it does not turn dark';
  const dark = await axe.run(document, { resultTypes: ['violations'], runOnly: ['color-contrast'] });
  return 'checked by ' + light.testEngine.version + ', ' + told('light', light) + ' / ' + told('dark', dark);
};
checked().then(text => { document.body.innerHTML = ''; document.title = text; });
";

/// What becomes of a test whose tool is there or not, and required or not: it runs, is told not to have run, or fails.
fn fate(there: bool, required: bool) -> Result<bool, &'static str> {
    if there || !required { Ok(there) } else { Err("required and not there") }
}

/// Whether a tool is there; without it the test ends, in words or with a failure where it is required.
fn found(what: &str, there: bool) -> bool {
    let required = std::env::var("RAILWRIGHT_BROWSER").is_ok_and(|value| value == "required");
    match fate(there, required) {
        Ok(true) => true,
        Ok(false) => {
            use std::io::Write as _;
            // Past the capture of passing tests: who runs them must see it.
            let _ = writeln!(std::io::stderr().lock(), "DID NOT RUN: there is no {what}");
            false
        }
        Err(why) => panic!("{why}: {what}"),
    }
}

#[test]
fn a_missing_tool_is_told_and_fails_where_it_is_required() {
    assert_eq!([fate(true, false), fate(true, true), fate(false, false)], [Ok(true), Ok(true), Ok(false)]);
    assert!(fate(false, true).is_err());
    assert!(found("nothing at all", true));
}

fn browser() -> bool {
    found("browser at /usr/bin/chromium", Path::new(BROWSER).exists())
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

/// Title of a page after its scripts ran, and what the console said.
fn title(arguments: &[&str], file: &Path) -> (String, Vec<String>) {
    let (shown, said) = browse(&[arguments, &["--dump-dom"]].concat(), file);
    let title =
        shown.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next()).unwrap_or("nothing");
    (title.to_owned(), said.lines().filter(|line| line.contains("CONSOLE")).map(str::to_owned).collect())
}

/// The same page as a reader sees it who prefers dark.
fn dark(text: &str) -> String {
    let dark = text.replace("@media(prefers-color-scheme:dark)", "@media all");
    assert_ne!(dark, text);
    dark
}

fn write(name: &str, text: &str) -> PathBuf {
    let file = folder().join(name);
    std::fs::write(&file, text).expect("written");
    file
}

#[test]
fn every_page_fits_a_phone_a_tablet_and_a_desk_light_and_dark_without_a_word_from_the_console() {
    if !browser() {
        return;
    }
    let some: Vec<&[(String, String)]> = pages().chunks(AT_A_START).collect();
    each(&some, |some| {
        let framed = |(name, scheme, text): (&str, &str, String)| {
            let quoted = text.replace('&', "&amp;").replace('"', "&quot;");
            [360, 768, 1280].map(|wide| {
                format!(
                    "<iframe name=\"{name} {scheme}\" style=\"border:0;width:{wide}px;height:900px\" srcdoc=\"{quoted}\"></iframe>"
                )
            })
        };
        let looks = some.iter().flat_map(|(name, text)| {
            [(name.as_str(), "light", text.clone()), (name.as_str(), "dark", dark(text))]
        });
        let frames: Vec<String> = looks.flat_map(framed).collect();
        let page = format!(
            "<!DOCTYPE html><meta charset=\"utf-8\"><title>not measured</title><script>{MEASURE}</script>{}",
            frames.concat()
        );
        let names: Vec<&str> = some.iter().map(|(name, _)| name.as_str()).collect();
        let file = write(&format!("measure-{}.html", names[0]), &page);
        let (title, console) = title(&["--virtual-time-budget=20000", "--window-size=1400,1000"], &file);
        assert_eq!(title, format!("measured {} frames, 0 faults: ", 6 * some.len()), "{names:?}");
        assert_eq!(console, Vec::<String>::new(), "{names:?}");
    });
}

/// The script of the checker, where browser and checker are there.
fn checker() -> Option<String> {
    let script = std::env::var(CHECKER).ok().and_then(|path| std::fs::read_to_string(path).ok());
    let there = browser() && found("accessibility checker where RAILWRIGHT_AXE says", script.is_some());
    script.filter(|_| there)
}

/// What the checker says of a page.
fn checked(name: &str, text: &str, script: &str) -> String {
    let page = format!("{text}<script>{script}</script><script>{CHECK}</script>");
    let file = write(&format!("check-{name}.html"), &page);
    title(&["--virtual-time-budget=120000", "--window-size=1280,1000"], &file).0
}

/// The checker is axe-core, general and open source, with all its rules.
#[test]
fn an_accessibility_checker_finds_no_serious_fault_on_any_page() {
    let Some(script) = checker() else { return };
    each(pages(), |(name, text)| {
        // The page forbids scripts; the copy that is checked must allow them.
        let (head, rest) = text.split_once("<meta http-equiv").expect("a policy");
        let rest = rest.split_once('>').expect("closed").1;
        let title = checked(name, &format!("{head}{rest}"), &script);
        assert!(title.starts_with("checked by "), "{name}: {title}");
        for scheme in ["light", "dark"] {
            assert!(title.contains(&format!("{scheme} 0 serious: ")), "{name}, {scheme}: {title}");
        }
        println!("{name}: {title}");
    });
}

/// A checker that finds nothing anywhere would pass every page.
#[test]
fn the_measuring_page_finds_faults_where_there_are_some() {
    if !browser() {
        return;
    }
    let bad = "<style>svg{background:#fff}</style><h1>a</h1><h3>b</h3><div style='width:5000px'>x</div>\
               <svg viewBox='0 0 90 20'><title>t</title><desc>d</desc><text y='12' style='fill:#ccc'>over</text>\
               <text y='12'>under</text></svg><table><tbody><tr><td>1</td></tr></tbody></table>";
    let page = format!(
        "<!DOCTYPE html><title>not measured</title><script>{MEASURE}</script><iframe style=\"width:360px\" srcdoc=\"{bad}\"></iframe>"
    );
    let (title, _) = title(&["--virtual-time-budget=8000"], &write("measure-bad.html", &page));
    for word in ["too wide", "over &quot;", "contrast", "without caption", "heading skipped"] {
        let plain = word.replace("&quot;", "\"");
        assert!(title.contains(word) || title.contains(&plain), "{word}: {title}");
    }
}

/// What can be read in the light and hardly in the dark is found in the dark; a page that does not turn dark is told.
#[test]
fn the_checking_page_finds_what_is_wrong_in_the_dark_alone() {
    let Some(script) = checker() else { return };
    let page = |dark: &str| {
        format!(
            "<!DOCTYPE html><html lang=\"en\"><title>t</title><style>body{{background:#fff;color:#222}}{dark}</style>\
             <main><h1>words of a heading</h1><p>words to read</p></main>"
        )
    };
    let title =
        checked("bad-dark", &page("@media(prefers-color-scheme:dark){body{background:#111}}"), &script);
    assert!(
        title.contains("light 0 serious: ") && title.contains("dark 1 serious: color-contrast"),
        "{title}"
    );
    assert_eq!(checked("never-dark", &page(""), &script), "it does not turn dark");
}

//! How reports look, and that nothing a stranger wrote steers whatever shows them.

use railwright::report::{Page, csv, json, markdown, terminal};

use crate::support::dossier::{dossier, infeasible};

/// Everything that steers a terminal, a browser, a Markdown reader or a spreadsheet.
const HOSTILE: &str =
    "\u{1b}[31m\u{7}\u{9b}2J\u{202e}\r\n=HYPERLINK(\"http://x\") <script>alert(1)</script> | `a` ![i](j) \t";

fn looked_at(width: usize) -> String {
    terminal::render(&Page::of(&dossier("plain")), terminal::Look { width, colour: false })
}

fn widest(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn a_report_at_80_columns() {
    insta::assert_snapshot!(looked_at(80));
}

#[test]
fn a_report_at_120_columns() {
    insta::assert_snapshot!(looked_at(120));
}

#[test]
fn a_report_in_markdown() {
    insta::assert_snapshot!(markdown::render(&Page::of(&dossier("plain"))));
}

#[test]
fn an_answer_that_nothing_fits_at_80_columns() {
    let page = Page::of_infeasible(&infeasible("plain"));
    insta::assert_snapshot!(terminal::render(&page, terminal::Look { width: 80, colour: false }));
}

#[test]
fn the_stress_list_as_csv() {
    let lists = csv::render(&dossier("plain"));
    let (_, stresses) = lists.iter().find(|(name, _)| *name == "stresses").expect("listed");
    insta::assert_snapshot!(stresses.replace("\r\n", "\n"));
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    for width in [60, 72, 80, 100, 120, 160, 200] {
        let text = looked_at(width);
        assert!(widest(&text) <= width, "{width}: {} in\n{text}", widest(&text));
    }
}

#[test]
fn widths_beyond_reason_are_brought_back_to_it() {
    for width in [0, 1, 39, usize::MAX] {
        assert!(!looked_at(width).is_empty());
    }
}

#[test]
fn colour_repeats_what_the_words_say_and_adds_nothing() {
    let page = Page::of(&dossier("plain"));
    let coloured = terminal::render(&page, terminal::Look { width: 100, colour: true });
    let plain = terminal::render(&page, terminal::Look { width: 100, colour: false });
    let mut stripped = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        stripped.push_str(before);
        rest = after.split_once('m').expect("every sequence ends").1;
    }
    stripped.push_str(rest);
    assert_ne!(coloured, plain);
    let trimmed = |text: &str| text.lines().map(|line| line.trim_end().to_owned()).collect::<Vec<_>>();
    assert_eq!(trimmed(&stripped), trimmed(&plain));
}

#[test]
fn cautions_come_before_everything_else() {
    let text = looked_at(80);
    let at = |word: &str| text.find(word).unwrap_or_else(|| panic!("no {word}"));
    assert!(at("Cautions") < at("Summary"));
    assert!(at("Summary") < at("Parts"));
    assert!(at("Parts") < at("Stresses"));
}

#[test]
fn hostile_names_steer_no_terminal() {
    for text in [
        terminal::render(&Page::of(&dossier(HOSTILE)), terminal::Look { width: 80, colour: false }),
        terminal::render(
            &Page::of_infeasible(&infeasible(HOSTILE)),
            terminal::Look { width: 80, colour: false },
        ),
    ] {
        let bad = text.chars().find(|&c| (c.is_control() && c != '\n') || c == '\u{202e}');
        assert_eq!(bad, None);
        assert!(text.contains("\\u{1b}"), "the sequence is shown, not hidden");
        assert!(widest(&text) <= 80);
    }
}

#[test]
fn hostile_names_open_no_tag_and_end_no_cell_in_markdown() {
    let text = markdown::render(&Page::of(&dossier(HOSTILE)));
    assert!(!text.contains("<script"));
    assert!(!text.contains("![i]"));
    assert!(!text.contains("http://"));
    let plain = markdown::render(&Page::of(&dossier("plain")));
    let bars = |text: &str| {
        text.lines()
            .filter(|line| line.starts_with('|'))
            .map(|line| line.replace("\\|", "").matches('|').count())
            .collect::<Vec<_>>()
    };
    assert_eq!(bars(&text), bars(&plain), "every row keeps its cells");
}

#[test]
fn hostile_names_are_no_formula_and_break_no_row_in_csv() {
    let seed = dossier("x");
    let mut seeded = seed.clone();
    for part in &mut seeded.parts {
        part.maker = String::from("=cmd|' /C calc'!A0");
        part.part = String::from("@SUM(A1:A9)\r\n,\"x");
    }
    let list =
        |dossier| csv::render(dossier).into_iter().find(|(name, _)| *name == "parts").expect("listed").1;
    let (plain, hostile) = (list(&seed), list(&seeded));
    assert_eq!(plain.matches("\r\n").count(), hostile.matches("\r\n").count());
    for cell in hostile.split([',', '\n']) {
        assert!(!cell.trim_start_matches('"').starts_with(['=', '@', '+']), "{cell}");
    }
}

#[test]
fn json_carries_its_version_and_the_same_text_unchanged() {
    let text = json::render(&dossier(HOSTILE)).expect("finite");
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(value["schema_version"], 1);
    assert_eq!(value["supply"], format!("bench supply {HOSTILE}"));
    assert_eq!(value["stresses"][0]["applied"]["value"], 253.0);
    assert_eq!(value["stresses"][0]["applied"]["unit"], "V");
    assert_eq!(value["totals"]["batch_cost"], "544.40 EUR");
    assert!(!text.contains('\u{1b}'));
}

#[test]
fn the_same_dossier_gives_the_same_bytes() {
    assert_eq!(looked_at(80), looked_at(80));
    assert_eq!(json::render(&dossier("a")).expect("finite"), json::render(&dossier("a")).expect("finite"));
}

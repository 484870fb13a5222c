//! The HTML report: one file, cautions first, foreign text harmless, colours that can be read.

use railwright::analysis::{self, Wish};
use railwright::document::Source;
use railwright::report::analysis::{figures::figures as drawings, page::compose};
use railwright::report::{Figures, Page, html, markdown};

use crate::review::bench::sound;
use crate::support::dossier::{dossier, infeasible};

const HOSTILE: &str = "</title><script>alert(1)</script><img src=x onerror=y>\" onload=\"z\u{202e}\u{1b}[2J";

fn written(foreign: &str) -> String {
    let dossier = dossier(foreign);
    html::render(&Page::of(&dossier), &Figures::of(&dossier))
}

#[test]
fn foreign_text_opens_no_tag_and_no_attribute() {
    let empty = html::render(&Page::of_infeasible(&infeasible(HOSTILE)), &Figures::default());
    for text in [written(HOSTILE), empty] {
        assert!(!text.contains("<script") && !text.contains("<img"));
        assert!(!text.contains("\" onload"));
        assert_eq!(text.matches("</title>").count() - text.matches("<title id=").count(), 1);
        assert!(!text.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202e}'));
    }
}

/// Names of circuits and rails are foreign text too.
#[test]
fn a_hostile_circuit_opens_nothing_in_any_format() {
    let hostile = "</title><script>alert(1)</script>\\u0022 onload=|`x`";
    let one = format!(
        "circuit: 1\nname: \"{hostile}\"\ntopology: bridge\nwinding: {{emf_rms: 12 V, frequency: 50 Hz, resistance: 1 Ω}}\n\
         diode: {{threshold: 0.7 V, slope: 20 mΩ}}\nfilter: {{kind: reservoir, c1: 2200 uF}}\nload: {{current: 1 A}}\n"
    );
    let file = analysis::read(&Source::new("circuit.yaml", &one)).expect("a sound circuit");
    let wish = Wish { switch_on: true, points: 61, ..Wish::default() };
    let found = analysis::analyse(&file, &wish, &|_| {}).expect("solved");
    let page = compose(&file, &found);
    let text = html::render(&page, &drawings(&file, &found));
    assert!(!text.contains("<script") && !text.contains("\" onload"));
    let text = markdown::render_with(&page, &drawings(&file, &found), "");
    assert!(!text.contains("<script"));
    assert_eq!(
        text.matches("](").count(),
        text.matches("](schematic").count()
            + text.matches("](voltages").count()
            + text.matches("](currents").count()
            + text.matches("](harmonics").count()
            + text.matches("](energy").count()
            + text.matches("](switch-on").count()
    );
}

#[test]
fn nothing_is_fetched_and_no_script_is_needed() {
    let text = written("plain");
    for word in ["src=", "http://", "https://", "@import", "url(", "<script", "<link"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn cautions_come_first_and_every_section_once() {
    let text = written("plain");
    let at =
        |id: &str| text.find(&format!(" id=\"{id}\" aria-labelledby")).unwrap_or_else(|| panic!("no {id}"));
    assert!(at("cautions") < at("summary") && at("summary") < at("parts") && at("parts") < at("stresses"));
    let mut ids: Vec<&str> =
        text.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap_or("")).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands twice");
}

#[test]
fn a_report_of_a_real_record_is_small_and_the_same_twice() {
    let dossier = sound().audited();
    let render = || html::render(&Page::of(&dossier), &Figures::of(&dossier));
    let text = render();
    assert_eq!(text, render());
    assert!(text.len() < 600_000, "{} bytes", text.len());
    assert!(text.contains("<math") && text.contains("<mfrac>"));
}

#[test]
fn markdown_links_each_figure_once() {
    let dossier = sound().audited();
    let figures = Figures::of(&dossier);
    let text = markdown::render_with(&Page::of(&dossier), &figures, "");
    for picture in &figures.pictures {
        assert_eq!(text.matches(&format!("]({})", picture.file())).count(), 1, "{}", picture.name);
    }
}

/// Relative luminance. Source: W3C, Web Content Accessibility Guidelines 2.1, definition of relative luminance.
fn luminance(hex: &str) -> f64 {
    let hex = hex.trim_start_matches('#');
    let digits: Vec<u32> = hex.chars().map(|c| c.to_digit(16).expect("hexadecimal")).collect();
    let bytes: Vec<u32> = match digits.as_slice() {
        [r, g, b] => vec![r * 17, g * 17, b * 17],
        _ => digits.chunks(2).map(|pair| pair[0] * 16 + pair[1]).collect(),
    };
    let part = |byte: u32| {
        let share = f64::from(byte) / 255.0;
        if share <= 0.03928 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(bytes[0]) + 0.7152 * part(bytes[1]) + 0.0722 * part(bytes[2])
}

/// Source: W3C, Web Content Accessibility Guidelines 2.1, success criterion 1.4.3: 4.5 to 1 for text.
#[test]
fn every_text_colour_stands_out_from_every_ground() {
    let mut schemes = 0;
    for rules in html::STYLE.split(":root{").skip(1) {
        let rules = rules.split('}').next().expect("closed");
        let colour = |name: &str| {
            let start = format!("--{name}:");
            let text = rules.split(';').find_map(|rule| rule.strip_prefix(&start));
            luminance(text.unwrap_or_else(|| panic!("no {name} in {rules}")))
        };
        for ground in ["paper", "panel", "warn"] {
            for ink in ["ink", "soft", "a", "b", "c"] {
                let (one, other) = (colour(ground), colour(ink));
                let ratio = (one.max(other) + 0.05) / (one.min(other) + 0.05);
                assert!(ratio >= 4.5, "{ink} on {ground}: {ratio:.2} in {rules}");
            }
        }
        schemes += 1;
    }
    assert_eq!(schemes, 3, "light, dark and print");
}

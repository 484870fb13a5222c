//! One report in three formats: Markdown and HTML have the same sections, tables and figures in the same order, and what JSON
//! holds stands in them, in the same order too.

use railwright::report::{Figures, Page, html, json, markdown, page::Block};
use railwright::review::Dossier;

use crate::review::everywhere::all;

/// Keys of the JSON report in its order, and the section in which a page shows them.
const SECTIONS: [(&str, &str); 23] = [
    ("cautions", "cautions"),
    ("summary", "summary"),
    ("findings", "findings"),
    ("parts", "parts"),
    ("totals", "parts"),
    ("why", "why"),
    ("choice", "why"),
    ("points", "points"),
    ("stresses", "stresses"),
    ("facts", "stresses"),
    ("not_applicable", "stresses"),
    ("margins", "sensitivity"),
    ("heat", "heat"),
    ("reliability", "reliability"),
    ("nominal", "nominal"),
    ("textbook", "textbook"),
    ("lesson", "textbook"),
    ("workings", "workings"),
    // Numbers of the figures, which stand in the sections they belong to.
    ("pictures", ""),
    ("grid", ""),
    ("assumptions", "assumptions"),
    ("notes", "notes"),
    ("deferral", "notes"),
];

/// Some kept designs, with all that an audit can add.
fn dossiers() -> impl Iterator<Item = &'static Dossier> {
    let some = ["beehive-scale", "modular-rack", "practice-amplifier", "workshop-12v"];
    some.into_iter().map(|name| all().iter().find(|one| one.name == name).expect("kept").whole())
}

/// Where each of some texts begins, one behind the other; fails at the first that does not follow.
fn follow<'t>(text: &str, what: &str, needles: impl Iterator<Item = &'t str>) {
    let mut rest = text;
    for needle in needles {
        let at = rest.find(needle).unwrap_or_else(|| panic!("{what}: `{needle}` does not follow"));
        rest = &rest[at + needle.len()..];
    }
}

/// Markdown as it is read: without the signs that keep text from being a mark.
fn read(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&").replace("&#64;", "@");
    text.replace("&#58;", ":").replace('\\', "")
}

#[test]
fn markdown_and_html_have_the_same_sections_tables_and_figures_in_the_same_order() {
    for dossier in dossiers() {
        let (page, figures) = (Page::of(dossier), Figures::of(dossier));
        let whole = html::render(&page, &figures);
        let text = markdown::render_with(&page, &figures, "");
        let mut sections: Vec<&str> = Vec::new();
        let mut expected: Vec<String> = Vec::new();
        for block in &page.blocks {
            match block {
                Block::Heading { anchor, .. } => {
                    expected.extend(
                        figures
                            .of_section(sections.last().copied().unwrap_or(""))
                            .map(|one| one.name.clone()),
                    );
                    sections.push(anchor);
                    expected.push((*anchor).to_owned());
                }
                Block::Table(table) => expected.push(table.caption.clone()),
                _ => {}
            }
        }
        let name = dossier.supply.as_str();
        follow(&whole, name, expected.iter().map(String::as_str));
        follow(&read(&text), name, expected.iter().map(String::as_str));
        let drawn = |mark: &str, text: &str| text.matches(mark).count();
        assert_eq!(drawn("<figure", &whole), figures.pictures.len(), "{name}");
        assert_eq!(drawn("![", &text), figures.pictures.len(), "{name}");
    }
}

#[test]
fn json_has_the_sections_of_the_page_in_its_order() {
    for dossier in dossiers() {
        let text = json::render(dossier).expect("JSON");
        // The outermost keys stand two spaces in.
        let keys: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("  \"")?.split_once("\":").map(|(key, _)| key))
            .collect();
        let of = |key: &&str| SECTIONS.iter().find(|(name, _)| name == key);
        let front = keys.iter().position(|key| of(key).is_some()).expect("a section");
        let rest: Vec<&str> = keys[front..].iter().map(|key| of(key).expect("a known key").0).collect();
        assert_eq!(rest, SECTIONS.map(|(key, _)| key).to_vec(), "{}", dossier.supply);
        let page = Page::of(dossier);
        let anchors: Vec<&str> = page
            .blocks
            .iter()
            .filter_map(|block| match block {
                Block::Heading { anchor, .. } => Some(*anchor),
                _ => None,
            })
            .collect();
        let mut shown: Vec<&str> =
            SECTIONS.iter().map(|(_, section)| *section).filter(|section| !section.is_empty()).collect();
        shown.dedup();
        assert_eq!(anchors, shown, "{}", dossier.supply);
    }
}

#[test]
fn what_json_holds_stands_in_markdown() {
    for dossier in dossiers() {
        let text = read(&markdown::render(&Page::of(dossier)));
        let holds = |what: &str| assert!(text.contains(what), "{}: `{what}` is missing", dossier.supply);
        for one in &dossier.cautions {
            holds(&one.text);
        }
        for one in &dossier.findings {
            holds(&one.text);
        }
        for one in &dossier.parts {
            holds(&one.part);
            holds(&one.maker);
            holds(&one.designators.join(" "));
        }
        for one in &dossier.points {
            holds(&one.reservoir_max.text());
        }
        for one in &dossier.stresses {
            let used = one.utilisation.map_or_else(String::new, railwright::review::Figure::text);
            for what in [&one.stress, &one.applied.text(), &one.limit.text(), &used, &one.clause] {
                holds(what);
            }
            holds(one.vertex.as_deref().unwrap_or(""));
        }
        for one in dossier.facts.iter().chain(&dossier.not_applicable) {
            holds(&one.text);
        }
        for one in dossier.margins.iter().flatten().flat_map(|margin| &margin.movers) {
            holds(&one.change);
        }
        for one in &dossier.heat {
            holds(&one.temperature.text());
        }
        for one in &dossier.nominal {
            holds(&one.value.text());
        }
        for one in &dossier.textbook {
            holds(&one.textbook.text());
        }
        for one in &dossier.lesson {
            holds(&one.substituted);
            holds(&one.with_reservoir.text());
        }
        for one in &dossier.workings {
            holds(&one.substituted);
            holds(&one.domain);
        }
        for one in &dossier.assumptions {
            holds(&one.key);
        }
        for one in &dossier.notes {
            holds(one);
        }
        holds(&dossier.deferral);
    }
}

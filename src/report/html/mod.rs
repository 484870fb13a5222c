//! Pages as one HTML file: nothing is fetched, no script is needed.
//!
//! Foreign text goes through escaping only; what is let through unescaped is our own drawing and our own MathML.

mod table;
mod text;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{
    figures::{Figures, Picture},
    mathml,
    page::{Block, Formula, Page, Step, of_rail},
    svg,
};
use table::{numbers, table};
use text::words;

/// How the page looks.
pub const STYLE: &str = include_str!("style.css");

/// Width from which a drawing is not shrunk to a phone's width.
const BROAD: f64 = 800.0;

/// One section: its heading, if any, and what follows.
struct Section<'a> {
    /// Name in links, once in the file.
    id: String,
    /// Name that figures know.
    anchor: &'static str,
    head: &'a str,
    blocks: Vec<&'a Block>,
}

/// Renders a page with its figures.
pub fn render(page: &Page, figures: &Figures) -> String {
    render_all(&[(page, figures)])
}

/// Renders pages one below the other; the first gives the file its title.
pub fn render_all(pages: &[(&Page, &Figures)]) -> String {
    let title = pages.first().map_or("", |(page, _)| page.title.as_str());
    let text = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                meta name="referrer" content="no-referrer";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(svg::STYLE)) }
            }
            body {
                a.skip href="#content" { "Skip to the report" }
                main.sheet #content {
                    @for (number, (page, figures)) in pages.iter().enumerate() { (sheet(number, page, figures)) }
                }
            }
        }
    };
    let mut text = text.into_string();
    text.push('\n');
    text
}

/// One page.
fn sheet(number: usize, page: &Page, figures: &Figures) -> Markup {
    let prefix = if number == 0 { String::new() } else { format!("p{}-", number + 1) };
    let sections = sections(page, &prefix);
    let called =
        if number == 0 { page.title.clone() } else { format!("{}, report {}", page.title, number + 1) };
    // Cautions, and what stands before all sections, come before the way to the rest.
    let opens = sections.first().is_some_and(|first| matches!(first.anchor, "" | "cautions"));
    html! {
        article {
            header {
                @if !page.kind.is_empty() { p { (page.kind) } }
                h1 id={ (prefix) "title" } { (page.title) }
            }
            @if !opens { (contents(&sections, &called)) }
            @for (index, section) in sections.iter().enumerate() {
                (section_markup(section, figures, &prefix))
                @if index == 0 && opens { (contents(&sections, &called)) }
            }
        }
    }
}

fn sections<'a>(page: &'a Page, prefix: &str) -> Vec<Section<'a>> {
    let mut sections: Vec<Section<'_>> = Vec::new();
    for block in &page.blocks {
        if let Block::Heading { anchor, text } = block {
            let before = sections.iter().filter(|section| section.anchor == *anchor).count();
            let id = if before == 0 {
                format!("{prefix}{anchor}")
            } else {
                format!("{prefix}{anchor}-{}", before + 1)
            };
            sections.push(Section { id, anchor, head: text, blocks: Vec::new() });
            continue;
        }
        if let Some(last) = sections.last_mut() {
            last.blocks.push(block);
        } else {
            sections.push(Section { id: String::new(), anchor: "", head: "", blocks: vec![block] });
        }
    }
    sections
}

/// Links to the sections; what stands first stands before them.
fn contents(sections: &[Section<'_>], title: &str) -> Markup {
    html! {
        nav aria-label={ "Sections of " (title) } {
            ul {
                @for section in sections.iter().filter(|section| !section.id.is_empty()) {
                    li { a href={ "#" (section.id) } { (section.head) } }
                }
            }
        }
    }
}

fn section_markup(section: &Section<'_>, figures: &Figures, prefix: &str) -> Markup {
    let body = html! {
        @for block in &section.blocks { (block_markup(block, section.head)) }
    };
    if section.id.is_empty() {
        return html! {
            (body)
            @for picture in figures.of_section("") { (figure(picture, prefix)) }
        };
    }
    // Of several reports each section is named with its report.
    let head = format!("{}-head", section.id);
    let named = if prefix.is_empty() { head } else { format!("{prefix}title {head}") };
    let first = section.id == format!("{prefix}{}", section.anchor);
    html! {
        section.(section.anchor) id=(section.id) aria-labelledby=(named) {
            h2 id={ (section.id) "-head" } { (words(section.head)) }
            (body)
            @if first {
                @for picture in figures.of_section(section.anchor) { (figure(picture, prefix)) }
            }
        }
    }
}

fn block_markup(block: &Block, section: &str) -> Markup {
    match block {
        Block::Heading { .. } => html! {},
        Block::Subheading(text) => html! { h3 { (words(text)) } },
        Block::Paragraph(text) => html! { p { (words(text)) } },
        Block::Conclusion { good, text } => html! {
            p.verdict.good[*good].bad[!*good] { @if *good { "✓ " } @else { "✗ " } (words(text)) }
        },
        Block::Caution { title, text } => html! {
            div.caution role="note" { p { strong { "▲ " (title) ". " } (words(text)) } }
        },
        Block::Pairs(pairs) => html! {
            dl.pairs { @for (name, value) in pairs { dt { (name) } dd { (words(value)) } } }
        },
        Block::List(items) => html! { ul { @for item in items { li { (words(item)) } } } },
        Block::Table(one) => table(one, section),
        Block::Formula(one) => formula(one),
        Block::Step(one) => step(one),
    }
}

/// An equation, typeset where it can be read.
fn equation(text: &str) -> Markup {
    html! {
        @match mathml::render(text) {
            Some(set) => { (PreEscaped(set)) }
            None => { p.plain { (text) } }
        }
    }
}

fn symbols(list: &[(String, String)]) -> Markup {
    html! {
        @if !list.is_empty() {
            p.small {
                "where "
                @for (index, (name, meaning)) in list.iter().enumerate() {
                    @if index > 0 { "; " }
                    (PreEscaped(mathml::symbol(name))) " " (meaning)
                }
            }
        }
    }
}

/// A step of a lesson: the derivation at the left, the two results at the right.
fn step(step: &Step) -> Markup {
    html! {
        div.step {
            h3 { (step.title) }
            div.derived {
                @for line in &step.lines { (equation(line)) }
                @for case in &step.cases { p.plain { (of_rail(&case.rail, &case.substituted)) } }
                (symbols(&step.symbols))
            }
            (against(step))
            p.change { (step.change) }
            p.small { "Holds for: " (step.domain) ". Source: " (step.source) "." }
        }
    }
}

/// The two results of a step: large for one rail, in rows for several.
fn against(step: &Step) -> Markup {
    match step.cases.as_slice() {
        [case] => html! {
            dl.against {
                dt { (step.heads.0) } dd { (case.textbook) }
                dt { (step.heads.1) } dd.now { (case.exact) }
            }
        },
        cases => html! {
            table.against {
                caption.vh { (step.title) }
                thead { tr { th scope="col" { "rail" } th.r scope="col" { (step.heads.0) } th.r scope="col" { (step.heads.1) } } }
                tbody {
                    @for case in cases {
                        tr { th scope="row" { (case.rail) } td.r { (case.textbook) } td.r.now { (case.exact) } }
                    }
                }
            }
        },
    }
}

/// Longest equation that half the width of paper holds, characters.
const HALF: usize = 46;

fn formula(formula: &Formula) -> Markup {
    html! {
        div.working.long[formula.equation.chars().count() > HALF] {
            p.use { (formula.purpose) }
            (equation(&formula.equation))
            @for (rail, text) in &formula.substituted { p.plain { (of_rail(rail, text)) } }
            (symbols(&formula.symbols))
            p.small { "Holds for: " (formula.domain) ". Source: " (formula.source) "." }
        }
    }
}

fn figure(picture: &Picture, prefix: &str) -> Markup {
    let id = format!("{prefix}figure-{}", picture.name);
    let mut element = picture.drawing.element(&id, &picture.title, &picture.text, false);
    if picture.drawing.width > BROAD {
        element = element.replacen("class=\"fig\"", "class=\"fig wide\"", 1);
    }
    html! {
        figure id=(id) {
            figcaption { (picture.title) }
            div.scroll role="region" aria-label={ "Figure: " (picture.title) } tabindex="0" { (PreEscaped(element)) }
            p { (picture.text) }
            @if let Some(one) = &picture.table {
                details { summary { "Numbers: " (one.caption) } (numbers(one)) }
            }
        }
    }
}
